"""Invented sheets as people keep them: layouts by a seed, words drawn from the vocabulary, and what they say."""

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import openpyxl

from bodytest.intake.layouts.vocabulary import languages

Rows = list[list[Any]]
STAGES = ("wet", "dry", "fired")
WORDS = languages()["en"]
IDS = [word for word, key in WORDS["column"].items() if key == "bar" and word != "ware"]
BODIES = [word for word, key in WORDS["column"].items() if key == "body"]
CONES = ("06", "04", "1", "5", "6", "8", "10")
LENGTHS = ("length", "L", "len")


@dataclass
class Bar:
    """One invented bar."""

    code: str
    body: str
    cone: str
    lengths: tuple[float, float, float]


@dataclass
class Kept:
    """One sheet and what it says."""

    kind: str
    tabs: dict[str, Rows]
    bars: list[Bar]
    merged: dict[str, list[str]] = field(default_factory=dict)
    asks: str = ""
    """Text that a question has to name, where the sheet does not say enough."""

    def save(self, path: Path) -> Path:
        """Write it as a workbook."""
        book = openpyxl.Workbook()
        book.remove(book.active)
        for name, rows in self.tabs.items():
            tab = book.create_sheet(name)
            for row in rows:
                tab.append([None if cell == "" else cell for cell in row])
            for cells in self.merged.get(name, []):
                tab.merge_cells(cells)
        book.save(path)
        return path


def name_of(chance: random.Random) -> str:
    """Invent the name of a body."""
    return "".join(
        chance.choice(part)
        for part in (("Tor", "Bel", "Gra", "Mun", "Sel"), ("va", "do", "ke", "lin"), ("n", "r", "x"))
    ).title()


def groups(chance: random.Random, bodies: int, cones: int, *, again: bool = False) -> list[list[Bar]]:
    """Invent bars of several bodies and cones; with ``again`` their numbers start again in each group."""
    names: list[str] = []
    while len(names) < bodies:
        if (name := name_of(chance)) not in names:
            names.append(name)
    found, number = [], 0
    for body in names:
        for cone in chance.sample(CONES, cones):
            group = []
            left = [chance.uniform(0.935, 0.945), chance.uniform(0.935, 0.95)]
            for index in range(chance.randint(3, 5)):
                number += 1
                wet = round(chance.uniform(99, 101), 1)
                dry = round(wet * (left[0] + chance.uniform(-0.001, 0.001)), 1)
                fired = round(dry * (left[1] + chance.uniform(-0.001, 0.001)), 1)
                group.append(Bar(str(index + 1 if again else number), body, cone, (wet, dry, fired)))
            found.append(group)
    return found


def heading(chance: random.Random, stage: str, unit: str = "mm") -> str:
    """Return a heading for a length at a stage, in words that the vocabulary has for it alone."""
    words = [
        word for word, means in WORDS["stage"].items() if means[0] == stage and word not in ("matured", "extruded")
    ]
    word, what = chance.choice(words), chance.choice(LENGTHS)
    form = chance.choice(("{w} {l} ({u})", "{l} {w} ({u})", "{w} ({u})", "{w} {u}", "{w} {l} {u}", "{W} {L} [{u}]"))
    return form.format(w=word, l=what, u=unit, W=word.title(), L=what.title())


def heads(chance: random.Random) -> list[str]:
    """Return the headings of the three lengths."""
    return [heading(chance, stage) for stage in STAGES]


def cone_cell(chance: random.Random, cone: str) -> str:
    """Return a cone as people write it."""
    return chance.choice(("{}", "cone {}", "c{}", "^{}", "Cone {}")).format(cone)


def title(chance: random.Random, group: list[Bar]) -> str:
    """Return a title of a group."""
    body, cone = group[0].body, group[0].cone
    return chance.choice(
        ("{b} cone {c}", "{b}, cone {c}", "{b} / c{c}", "{b} test bars, fired to cone {c}", "{b} - ^{c}")
    ).format(b=body, c=cone)


def one_table(chance: random.Random) -> Kept:
    """Body and cone as columns, titles above."""
    bars = [b for g in groups(chance, 2, 2) for b in g]
    first = [chance.choice(IDS), chance.choice(BODIES), chance.choice(("Cone", "cone reached", "^", "fired to"))]
    rows: Rows = [["Shrinkage tests"], []] if chance.random() < 0.5 else []
    rows.append([*first, *heads(chance)])
    cells = [[b.code, b.body, cone_cell(chance, b.cone), *b.lengths] for b in bars]
    return Kept("one table", {"bars": [*rows, *cells]}, bars)


def units_below(chance: random.Random) -> Kept:
    """Units in a row of their own."""
    bars = [b for g in groups(chance, 1, 2) for b in g]
    rows: Rows = [[chance.choice(IDS), "clay", "cone", "wet length", "dry length", "fired length"]]
    rows.append(["", "", "", "mm", "mm", "mm"])
    return Kept(
        "units below",
        {"Sheet1": [*rows, *([b.code, b.body, cone_cell(chance, b.cone), *b.lengths] for b in bars)]},
        bars,
    )


def units_in_cells(chance: random.Random) -> Kept:
    """A unit beside each number, with a decimal comma."""
    bars = groups(chance, 1, 1)[0]
    rows: Rows = [[title(chance, bars)], [chance.choice(IDS), "wet length", "dry length", "fired length"]]
    rows += [[b.code, *(f"{v:.1f} mm".replace(".", ",") for v in b.lengths)] for b in bars]
    return Kept("units in cells", {bars[0].body: rows}, bars)


def merged_heads(chance: random.Random) -> Kept:
    """Two rows of headings, the upper one merged."""
    bars = [b for g in groups(chance, 1, 2) for b in g]
    word = {stage: [w for w, m in WORDS["stage"].items() if m[0] == stage] for stage in STAGES}
    rows: Rows = [["lengths in mm"], [], [chance.choice(IDS), "clay", "cone", "Length", "", ""]]
    rows.append(["", "", "", *(chance.choice(word[s]) for s in STAGES)])
    rows += [[b.code, b.body, cone_cell(chance, b.cone), *b.lengths] for b in bars]
    return Kept("merged headings", {"Tabelle1": rows}, bars, {"Tabelle1": ["D3:F3"]})


def across(chance: random.Random) -> Kept:
    """Bars as columns."""
    bars = groups(chance, 1, 1)[0]
    rows: Rows = [[title(chance, bars)], [], [chance.choice(IDS), *(int(b.code) for b in bars)]]
    rows += [[head, *(b.lengths[i] for b in bars)] for i, head in enumerate(heads(chance))]
    return Kept("across", {"Sheet1": rows}, bars)


def tab_for_each(chance: random.Random) -> Kept:
    """A tab for each firing, or for each body with the cone in a title."""
    first = chance.choice(IDS)
    head = heads(chance)
    if chance.random() < 0.5:
        found = groups(chance, 1, 3, again=True)
        tabs = {
            f"cone {g[0].cone}": [[first, "clay", *head], *([b.code, b.body, *b.lengths] for b in g)] for g in found
        }
        return Kept("tab for each cone", tabs, [b for g in found for b in g])
    found = groups(chance, 3, 1, again=True)
    tabs = {g[0].body: [[title(chance, g)], [], [first, *head], *([b.code, *b.lengths] for b in g)] for g in found}
    return Kept("tab for each body", tabs, [b for g in found for b in g])


def once_a_block(chance: random.Random) -> Kept:
    """Body and cone in the first row of each block only."""
    found = groups(chance, 2, 2, again=True)
    rows: Rows = [["clay", "cone", chance.choice(IDS), *heads(chance)]]
    for group in found:
        for index, bar in enumerate(group):
            rows.append(
                [bar.body if not index else "", f"cone {bar.cone}" if not index else "", bar.code, *bar.lengths]
            )
        rows.append([])
    return Kept("once a block", {"list": rows}, [b for g in found for b in g])


def below_each_other(chance: random.Random) -> Kept:
    """Blocks below each other with headings of their own, or with a title alone."""
    found = groups(chance, 2, 2, again=True)
    head, repeated = [chance.choice(IDS), *heads(chance)], chance.random() < 0.7
    rows: Rows = [] if repeated else [head]
    for group in found:
        rows += [[title(chance, group)], *([head] if repeated else []), *([b.code, *b.lengths] for b in group)]
        rows += [[]] * chance.randint(0, 2)
    return Kept("below each other", {"tests": rows}, [b for g in found for b in g])


def beside_each_other(chance: random.Random) -> Kept:
    """Blocks beside each other, body and cone above each."""
    found = groups(chance, 3, 1, again=True)
    size = min(map(len, found))
    found = [g[:size] for g in found]
    head, gap = ["#", *heads(chance)], [""] * chance.randint(0, 1)
    rows: Rows = [["Shrinkage, all in mm"], []]
    above, below = [], []
    for group in found:
        above += [group[0].body, f"cone {group[0].cone}", "", "", *gap]
        below += [*head, *gap]
    rows += [above, below]
    rows += [[c for g in found for c in (g[i].code, *g[i].lengths, *gap)] for i in range(size)]
    return Kept("beside each other", {"tests": rows}, [b for g in found for b in g])


def two_marks(chance: random.Random) -> Kept:
    """Two marks of each bar as columns."""
    bars = groups(chance, 1, 1)[0]
    head = [f"{stage} {mark} (mm)" for stage in STAGES for mark in (1, 2)]
    rows: Rows = [[chance.choice(IDS), "body", "cone", *head]]
    for b in bars:
        rows.append(
            [b.code, b.body, cone_cell(chance, b.cone), *(round(v + d, 1) for v in b.lengths for d in (0.1, -0.1))]
        )
    return Kept("two marks", {"marks": rows}, bars)


def with_averages(chance: random.Random) -> Kept:
    """A row of averages below each group, and a column of percentages between."""
    found = groups(chance, 2, 1)
    head = heads(chance)
    rows: Rows = [[chance.choice(IDS), "clay", "cone", *head[:2], "dry %", head[2], "total shrinkage %"]]
    for group in found:
        for b in group:
            wet, dry, fired = b.lengths
            percent = [round(100 * (wet - part) / wet, 1) for part in (dry, fired)]
            rows.append([b.code, b.body, cone_cell(chance, b.cone), wet, dry, percent[0], fired, percent[1]])
        means = [round(sum(b.lengths[i] for b in group) / len(group), 2) for i in range(3)]
        rows.append([chance.choice(("average", "Mean:", "avg")), "", "", *means[:2], "", means[2], ""])
    return Kept("averages", {"2025": rows}, [b for g in found for b in g])


def renamed(chance: random.Random) -> Kept:
    """Our own layout with tabs that another program renamed."""
    bars = [b for g in groups(chance, 1, 2) for b in g]
    form = chance.choice(("{} - Table 1", "Sheet 1 - {}", "{} (2)", "Copy of {}"))
    rows: Rows = [["bar", "body", "firing", *(f"{s} length (mm)" for s in STAGES)]]
    rows += [[b.code, b.body, f"F{b.cone}", *b.lengths] for b in bars]
    firings: Rows = [["firing", "cone"], *([f"F{cone}", cone] for cone in dict.fromkeys(b.cone for b in bars))]
    return Kept("renamed tabs", {form.format("Bars"): rows, form.format("Firings"): firings}, bars)


def in_doubt(chance: random.Random) -> Kept:
    """A heading that may mean several stages."""
    bars = groups(chance, 1, 1)[0]
    word = chance.choice([w for w, m in WORDS["stage_in_doubt"].items() if "wet" in m and len(m) < 4])
    asked = f"{word} length (mm)"
    rows: Rows = [["bar", "clay", "cone", asked, heading(chance, "fired")]]
    rows += [[b.code, b.body, f"cone {b.cone}", b.lengths[0], b.lengths[2]] for b in bars]
    return Kept("in doubt", {"bars": rows}, [], asks=asked)


def divided(chance: random.Random) -> Kept:
    """An unknown column that tells bars apart."""
    bars = groups(chance, 1, 1)[0] * 2
    rows: Rows = [["bar", "clay", "firing", "Slip", *heads(chance)]]
    rows += [[i, b.body, "K1", "red" if i % 2 else "white", *b.lengths] for i, b in enumerate(bars)]
    return Kept("divided", {"bars": rows}, [], asks="Slip")


def decimal_commas(chance: random.Random) -> Kept:
    """Decimal commas as text, body and cone once a block."""
    kept = once_a_block(chance)
    rows = [[str(c).replace(".", ",") if isinstance(c, float) else c for c in row] for row in kept.tabs["list"]]
    return Kept("decimal commas", {"list": rows}, kept.bars)


def inches(chance: random.Random) -> Kept:
    """Lengths in inches with fractions, body and cone in the title."""
    bars = groups(chance, 1, 1)[0]
    rows: Rows = [[title(chance, bars)], [], [chance.choice(IDS), *(f"{stage} length" for stage in STAGES)]]
    told = []
    for bar in bars:
        parts = [round(v / 25.4 * 32) for v in bar.lengths]
        rows.append([bar.code, *(f'{n // 32} {n % 32}/32"' for n in parts)])
        wet, dry, fired = (round(n / 32 * 25.4, 1) for n in parts)
        told.append(Bar(bar.code, bar.body, bar.cone, (wet, dry, fired)))
    return Kept("inches", {"tests": rows}, told)


def days_of_firing(chance: random.Random) -> Kept:
    """A day of firing and a cone; no code of a firing."""
    found = groups(chance, 1, 2)
    rows: Rows = [[chance.choice(IDS), "clay", "date fired", "cone", *heads(chance)]]
    rows += [[b.code, b.body, f"2025-0{n}-12", b.cone, *b.lengths] for n, g in enumerate(found, 3) for b in g]
    return Kept("days of firing", {"tests": rows}, [b for g in found for b in g])


def remarks_among_readings(chance: random.Random) -> Kept:
    """A dash, a question mark or a word where nothing was read, and a last column of free text."""
    bars = groups(chance, 1, 1)[0]
    bars.append(Bar("99", bars[0].body, bars[0].cone, bars[0].lengths))
    rows: Rows = [[chance.choice(IDS), "clay", "cone", *heads(chance), "weight fired (g)", "notes"]]
    rows += [[b.code, b.body, f"cone {b.cone}", *b.lengths, chance.choice(("-", "n/a", "")), "ok"] for b in bars]
    return Kept("remarks among readings", {"tests": rows}, bars)


def lost_mark(chance: random.Random) -> Kept:
    """Two marks as columns, one of one bar lost in the firing."""
    kept = two_marks(chance)
    kept.tabs["marks"][1][-1] = ""
    bar = kept.bars[0]
    wet, dry, fired = bar.lengths
    kept.bars[0] = Bar(bar.code, bar.body, bar.cone, (wet, dry, round(fired + 0.1, 1)))
    return kept


def lost_zero(chance: random.Random) -> Kept:
    """A number that was a cone of low fire before a spreadsheet took its zero."""
    bars = groups(chance, 1, 1)[0]
    rows: Rows = [["bar", "clay", "cone", *heads(chance), "notes"]]
    rows += [[b.code, b.body, 4, *b.lengths, "earthenware"] for b in bars]
    return Kept(
        "lost zero", {"tests": rows}, [Bar(b.code, b.body, "4", b.lengths) for b in bars], asks="read as cone 4, not 04"
    )


def no_stage(chance: random.Random) -> Kept:
    """A length without a stage."""
    bars = groups(chance, 1, 1)[0]
    asked = f"{chance.choice(LENGTHS)} (mm)"
    rows: Rows = [["bar", "clay", "cone", asked, heading(chance, "fired")]]
    rows += [[b.code, b.body, f"cone {b.cone}", b.lengths[0], b.lengths[2]] for b in bars]
    return Kept("no stage", {"tests": rows}, [], asks=asked)


def two_bodies(chance: random.Random) -> Kept:
    """Two columns that name the body and disagree."""
    bars = groups(chance, 1, 1)[0]
    rows: Rows = [["bar", "clay", "body", "cone", *heads(chance)]]
    rows += [[b.code, b.body, f"{b.body} {i % 2}", f"cone {b.cone}", *b.lengths] for i, b in enumerate(bars)]
    return Kept("two bodies", {"tests": rows}, [], asks="body")


def mm_or_cm(chance: random.Random) -> Kept:
    """Numbers of centimetres, and no unit anywhere."""
    bars = groups(chance, 1, 1)[0]
    rows: Rows = [["bar", "clay", "cone", *(f"{stage} length" for stage in STAGES)]]
    rows += [[b.code, b.body, f"cone {b.cone}", *(round(v / 10, 2) for v in b.lengths)] for b in bars]
    told = [Bar(b.code, b.body, b.cone, tuple(round(v / 10, 1) for v in b.lengths)) for b in bars]  # type: ignore[arg-type]
    return Kept("mm or cm", {"tests": rows}, told, asks="wet length")


def soaked_somehow(chance: random.Random) -> Kept:
    """A mass after soaking that may be two methods, beside clear lengths."""
    bars = groups(chance, 1, 1)[0]
    asked = chance.choice(("soaked weight (g)", "weight after soak (g)", "soaked wt g"))
    rows: Rows = [["bar", "clay", "cone", *heads(chance), "fired weight (g)", asked]]
    rows += [[b.code, b.body, f"cone {b.cone}", *b.lengths, 60.1, 62.4] for b in bars]
    return Kept("soaked somehow", {"tests": rows}, bars, asks=asked)


def percent_only(chance: random.Random) -> Kept:
    """Percentages without readings: of some shrinkage, it is not said of which."""
    bars = groups(chance, 1, 1)[0]
    rows: Rows = [["clay", "cone", "shrinkage %"]]
    rows += [[b.body, f"cone {b.cone}", round(100 - b.lengths[2] / b.lengths[0] * 100, 1)] for b in bars]
    return Kept("percent only", {"tests": rows}, [], asks="shrinkage %")


KINDS: tuple[Callable[[random.Random], Kept], ...] = (
    one_table, units_below, units_in_cells, merged_heads, across, tab_for_each, once_a_block, below_each_other,
    beside_each_other, two_marks, with_averages, renamed, in_doubt, divided, decimal_commas, inches, days_of_firing,
    remarks_among_readings, lost_mark, lost_zero, no_stage, two_bodies, mm_or_cm, soaked_somehow, percent_only,
)  # fmt: skip


def kept_sheet(seed: int) -> Kept:
    """Invent one sheet."""
    return KINDS[seed % len(KINDS)](random.Random(seed))
