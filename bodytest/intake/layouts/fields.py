"""The columns of a block: what each heading means, with the help of its cells and of units told elsewhere."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_text, unit_typed
from bodytest.intake.heading_row import quantities_in_doubt, write_doubled, write_unknown
from bodytest.intake.layouts.blocks import Block, Heading
from bodytest.intake.layouts.common_units import common_units, has_numbers, is_lone_unit
from bodytest.intake.layouts.headings import heading_words, meaning
from bodytest.intake.layouts.meant import is_fired, is_reading, kind_of, unnamed_kind
from bodytest.intake.layouts.titles import Titles
from bodytest.intake.layouts.told_by_cells import (
    are_cones,
    body_before_bar,
    dry_of_what,
    heat_told,
    names_bodies,
    names_bodies_anew,
    names_body_and_bar,
    names_each_bar,
    says_what_counts,
    why_left_out,
)
from bodytest.intake.layouts.words import is_of_bar, is_of_mark
from bodytest.intake.stated import may_state, stand_alone
from bodytest.quantities import STATED
from bodytest.units import canonical_unit, dimension_of

Found = dict[tuple[str, str, str], list["Field"]]
"""The columns of each key, mark and bar."""
UNKNOWN, COMPARED = "?", "%"
"""First signs of keys of columns that are none of ours: one that may tell bars apart, percentages beside readings."""
_NOT_BOILED = re.compile(r"\b(?:not|never|no|without|un)[\s-]*boil\w*(?!\w|\s+yet)", re.IGNORECASE)


@dataclass(frozen=True)
class Field:
    """One column of a block that is understood."""

    key: str
    """Key of our column; with `UNKNOWN` or `COMPARED` and its heading one that is none of ours."""
    column: int
    """Its column in the block."""
    unit: str
    """Unit of its numbers; ``""`` where none is told."""
    heading: Heading
    """What stands above it."""
    mark: str = ""
    """Number of the mark that it is read at."""
    bar: str = ""
    """Name of the bar, or heat of the firing, that it is read of, where several stand in one row."""
    why: str = ""
    """What told its unit or meaning, where its heading alone does not."""
    of_cell: Callable[[str], str] | None = None
    """What of the text of a cell is meant, where that is not all of it."""


def understand(block: Block, titles: Titles, notes: Notebook) -> tuple[list[Field], bool]:
    """Return the columns of a block that are understood, and whether its bars can be told from each other.

    A column that may tell bars apart and is not understood has `UNKNOWN` before its heading for a key, percentages
    beside readings have `COMPARED`.
    """
    means = [h.means for h in block.headings]
    units, unnamed, fields, readable = common_units(block, titles, notes), unnamed_kind(means), [], True
    percentages: list[Heading] = []
    found: Found = {}
    for heading in block.headings:
        one = _field(block, heading, units, unnamed, notes)
        if one is None and is_lone_unit(block, heading):
            continue
        if one is not None and not one.mark and any(_of_marks(h, one) for h in block.headings):
            continue  # the average beside the marks that it is made of
        if one is not None:
            found.setdefault((one.key, one.mark, one.bar), []).append(one)
        elif not heading.means.quantities:
            fields += _unknown(heading, notes)
        elif has_numbers(block, heading.column):
            percentages.append(heading)
    if _count_stages(found):
        found = {(key, "", bar): [replace(one, mark="") for one in alike] for (key, _, bar), alike in found.items()}
    _settle(block, found, titles, notes)
    if fields and _lacks_bars_alone(found, titles) and names_each_bar(block, fields[0].heading):
        fields[0] = replace(fields[0], key="bar", why="its cells")
    for (key, *_), alike in found.items():
        if len(alike) == 1 or _agree(block, alike):
            fields.append(alike[0])
        else:
            doubled = [(f.heading.places[-1], f.heading.text) for f in alike]
            divides = key in ("bar", "body", "batch", "firing")
            write_doubled(doubled, heading_words(key), notes, _unread(block, notes) if divides else "")
            readable &= not divides
    _ask_about_units(fields, units, notes)
    keys = {one.key for one in fields}
    return [*fields, *(f for heading in percentages for f in _percentages(heading, keys, notes))], readable


def _knows_body(found: Found, titles: Titles) -> bool:
    """Tell whether a column or a label says of which body the rows are."""
    return ("body", "", "") in found or any(title.body and title.sure for _, title in titles)


def _lacks_bars_alone(found: Found, titles: Titles) -> bool:
    """Tell whether it is known of which body the rows are, and no column says of which bar."""
    return _knows_body(found, titles) and not any(key == "bar" or bar for key, _, bar in found)


def _count_stages(found: Found) -> bool:
    """Tell whether numbers beside readings count their stages, each another one: L0 plastic, L1 dried, L2 fired."""
    numbered = [(kind_of(key), mark) for key, mark, _ in found if mark]
    return (
        all(mark.isdigit() for _, mark in numbered)
        and len(set(numbered)) == len(numbered)
        and len({(key, bar) for key, _, bar in found}) == len(found)
        and not any(is_of_mark(one.heading.text) for alike in found.values() for one in alike if one.mark)
    )


def _settle(block: Block, found: Found, titles: Titles, notes: Notebook) -> None:
    """Take names of bars before ids, and a mix with names for the body; ask about what may be of others."""
    batches = found.get(("batch", "", ""), [])
    names = names_bodies_anew if _knows_body(found, titles) else names_bodies
    if batches and all(names(block, one.heading) for one in batches):
        mixes = [replace(one, key="body", why="its cells") for one in found.pop(("batch", "", ""))]
        found["body", "", ""] = [*found.get(("body", "", ""), []), *mixes]
    codes = found.get(("bar", "", ""), [])
    if len(sure := [one for one in codes if is_of_bar(one.heading.text)]) == 1:
        found["bar", "", ""] = sure
        for one in (one for one in codes if one not in sure):
            notes.add("heading-unknown", **_place(one.heading), value=one.heading.text)
    named = [one for key in ("body", "bar") for one in found.get((key, "", ""), [])]
    if len(named) == 1 and names_body_and_bar(block, named[0].heading):
        found["bar", "", ""] = [replace(named[0], key="bar")]
        found["body", "", ""] = [replace(named[0], key="body", why="its cells", of_cell=body_before_bar)]
    _ask_about_doubts(block, found, notes)


def _ask_about_doubts(block: Block, found: Found, notes: Notebook) -> None:
    """Take out and ask about columns that may be of another bar, stage or firing."""
    in_water = dry_of_what({key for key, *_ in found}, [block.view.grid.name, *(text for _, text in block.above)])
    for told in [told for told in found if told[0] in ("dry_mass", "wet_mass") and in_water]:
        other = "fired mass" if told[0] == "dry_mass" else "boiled mass"
        _ask_which(found.pop(told)[0].heading, other, heading_words(told[0]), notes)
    not_boiled = any(_NOT_BOILED.search(text) for _, text in block.above)
    for told in [told for told in found if told[0] == "boiled_mass" and not_boiled]:
        _ask_which(found.pop(told)[0].heading, "cold-soaked mass", heading_words(told[0]), notes)
    heated = [told for told, (one, *_) in found.items() if one.heading.heat]
    for told in heated if any(is_fired(key) and not bar for key, _, bar in found) else ():
        name = heading_words(told[0])
        _ask_which(found.pop(told)[0].heading, name, f"{name} of another firing", notes)
    counted = _counted(block, found)
    for told in [told for told in found if told[1] and counted]:
        name, (_, mark, _) = heading_words(told[0]), told
        of_mark, of_bar, of_firing = f"{name} of mark {mark}", f"bar {mark} {name}", f"{name} of another firing"
        meant = (of_bar, of_mark) if counted == "bars" else (of_mark, of_firing)
        _ask_which(found.pop(told)[0].heading, *meant, notes)


def _unread(block: Block, notes: Notebook) -> str:
    """Return the words which say that no bar of a block is read, as none can be told from another."""
    first, *_, last = (notes.address(*place) for _, _, place in block.filled())
    return f", and no bar from {first} to {last}: none can be told from another without it"


def _ask_about_units(fields: Sequence[Field], units: dict[str, tuple[str, str]], notes: Notebook) -> None:
    """Ask about columns whose heading tells another unit than a note does; the heading counts."""
    for one in fields:
        dimension = dimension_of(one.unit)
        noted, where = units.get(dimension.name if dimension else "", ("", ""))
        if noted and noted != one.unit and canonical_unit(one.heading.means.unit or "") == one.unit:
            words: dict[str, Any] = {"unit": one.unit, "noted": noted, "where": where}
            notes.add("units-contradict", **_place(one.heading), value=one.heading.text, **words)


def _percentages(heading: Heading, keys: set[str], notes: Notebook) -> Iterator[Field]:
    """Yield a column of percentages: to be compared with readings, or taken as stated where none give them.

    What may be of several quantities that no reading gives is asked about.
    """
    able = may_state(heading.means.quantities)
    if not stand_alone(able, keys):
        if able:
            yield Field(f"{COMPARED}{heading.text}", heading.column, "", heading)
    elif len(able) > 1:
        notes.add("heading-in-doubt", **_place(heading), value=heading.text, **quantities_in_doubt(able))
    elif (key := STATED[able[0]].key) not in keys:
        keys.add(key)
        yield Field(key, heading.column, "%", heading)
    else:
        notes.add("heading-unknown", **_place(heading), value=heading.text)


def _legend_of(heading: Heading, block: Block, notes: Notebook) -> str:
    """Return where the table itself says what a heading means."""
    place = block.view.said.explained.get(heading.text)
    return notes.address(*place) if place else ""


def _field(
    block: Block, heading: Heading, units: dict[str, tuple[str, str]], unnamed: str, notes: Notebook
) -> Field | None:
    """Return what a heading means with the help of its cells and of common units; None where that is not clear."""
    means, why = heading.means, _legend_of(heading, block, notes)
    cells = [block.cell(line, heading.column) for line in block.body]
    if leaves_out := says_what_counts(block, heading):
        left_out = partial(why_left_out, heading.text, leaves_out)
        return Field("left_out", heading.column, "", heading, why="its cells", of_cell=left_out)
    if key := heat_told(block, heading) or ("firing" if "firing" in means.may_be else ""):
        degrees = units.get("temperature", ("", ""))[0] if key == "peak_temperature" else ""
        return Field(key, heading.column, means.unit or degrees, heading, why="its cells")
    if "cone" in means.may_be or are_cones(block, heading):
        return None
    if unnamed and len(left := [key for key in means.may_be if key.endswith(f"_{unnamed}")]) == 1:
        means, why = replace(means, key=left[0], may_be=()), why or "the headings beside it"
    typed = means.unit
    if typed is None and means.key in ("peak_temperature", "set_temperature"):
        typed, why = units.get("temperature", (None, why))
    if typed is None and (means.may_be or is_reading(means.key)):
        in_cells, kinds = unit_typed(cells), means.kinds
        likely = [units[kind] for kind in kinds if kind in units] if len(kinds) == 1 or len(units) == 1 else []
        typed, told_by = (in_cells, "its cells") if in_cells else likely[0] if likely else (None, "")
        why = why or told_by
        if typed and means.may_be:
            means = meaning(f"{heading.text} ({typed})", "bars")
    if not means.key or means.quantities:
        return None
    unit = canonical_unit(typed or "") or typed or ""
    return Field(means.key, heading.column, unit, heading, means.mark, means.bar or heading.heat, why)


def _of_marks(heading: Heading, one: Field) -> bool:
    """Tell whether a heading tells what a column holds for one mark or bar."""
    means = heading.means
    return means.key == one.key and bool(means.mark or (means.bar and not one.bar))


def _counted(block: Block, found: Found) -> str:
    """Return what the numbers of readings may count that may not be marks: bars, firings; nothing where that is clear.

    They may be bars in a table with one row for each body and nothing that names bars, and firings where of several
    lengths the fired one alone is numbered.
    """
    keys, numbered = {key for key, *_ in found}, [f for (_, mark, _), (f, *_) in found.items() if mark]
    if any(f.bar for fields in found.values() for f in fields) or any(is_of_mark(f.heading.text) for f in numbered):
        return ""
    if {f.key for f in numbered} == {"fired_length"} and {"wet_length", "dry_length"} & keys:
        return "firings"
    if "body" not in keys or "bar" in keys or len({f.mark for f in numbered if f.mark.isdigit()}) < 2:
        return ""
    texts = [fields[0].column for (key, *_), fields in found.items() if not is_reading(key)]
    rows = [tuple(read_text(block.cell(line, column)) for column in texts) for line in block.body]
    return "bars" if len(set(rows)) == len(rows) else ""


def _ask_which(heading: Heading, first: str, other: str, notes: Notebook) -> None:
    words: dict[str, Any] = {"meanings": f"{other}” or “{first}", "first": first}
    notes.add("heading-in-doubt", **_place(heading), value=heading.text, **words)


def _agree(block: Block, fields: Sequence[Field]) -> bool:
    first, *others = ([read_text(block.cell(line, f.column)) for line in block.body] for f in fields)
    return all(first == other for other in others)


def _unknown(heading: Heading, notes: Notebook) -> list[Field]:
    """Write down a heading that is not understood; what may tell bars apart below it is looked at with them."""
    if heading.measured or heading.means.passed_over:
        text, place = "" if heading.of_days else heading.text, {**_place(heading), "value": heading.text}
        write_unknown(text, "bars", place, notes, compare=True)
        return []
    return [Field(f"{UNKNOWN}{heading.text}", heading.column, "", heading)]


def _place(heading: Heading) -> dict[str, Any]:
    return heading.places[-1]._asdict()
