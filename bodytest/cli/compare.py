"""``bodytest compare``: do batches, bodies, firings, directions or kiln positions differ, and does it matter."""

import enum
from collections import Counter
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import AsJson, Quantities, Sheets

if TYPE_CHECKING:
    from bodytest.comparison import Comparison, Difference, LevelResult


class By(enum.StrEnum):
    """What bars can be compared by."""

    batch = "batch"
    body = "body"
    firing = "firing"
    direction = "direction"
    position = "position"


def compare(
    sheets: Sheets,
    by: Annotated[By, typer.Option(help="What to compare; everything else is held equal.")] = By.batch,
    quantity: Quantities = None,
    tolerance: Annotated[
        float | None,
        typer.Option(
            min=0.0,
            help="Largest difference that does not matter, in the unit of the quantity (percentage points for %).",
            show_default="the Lab sheet's shrinkage tolerance, for shrinkages",
        ),
    ] = None,
    confidence: Annotated[
        float | None,
        typer.Option(
            help="Confidence of all differences together in %, in place of the Lab sheet's.", show_default="95"
        ),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="As --details, and every pair, also of more than six batches or bodies.")
    ] = False,
    details: Annotated[
        bool, typer.Option("--details", help="Show each comparison with its tables and statistics.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Say which batches, bodies, firings, directions or kiln positions are the same, different, or not settled yet.

    Example: bodytest compare trial.xlsx --by batch --tolerance 0.5

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when there is nothing to compute.
    """
    from bodytest.cli.choices import known_quantity

    keys = [known_quantity(name) for name in quantity or ()]
    level = console.confidence_fraction(confidence)
    checked = console.read_bars(sheets)
    from bodytest.analysis.analysing import summarise
    from bodytest.analysis.comparisons import USUAL_QUANTITIES
    from bodytest.analysis.comparisons import compare as compare_bars

    results = summarise(checked, confidence=level)
    found = compare_bars(results, by.value, quantities=keys or USUAL_QUANTITIES, tolerance=tolerance)
    console.print_summary(results.findings)
    if as_json:
        _print_json(found)
    else:
        statistics = everything or details
        whole = statistics or len(found) < 2
        blocks = [_lines(one, everything=everything, statistics=statistics) for one in found]
        blocks = blocks if whole else [_in_short(found)]
        console.say_blocks(blocks if found else [[_nothing(by.value)]], blank_lines=2)
    console.exit_for(results.findings, computed=bool(found))


def _nothing(by: str) -> str:
    held = {
        "batch": "the same body, firing and direction",
        "body": "the same firing and direction",
        "firing": "the same body and direction",
        "direction": "the same body and firing",
        "position": "the same body, firing and direction",
    }
    several = {"body": "bodies", "batch": "batches"}.get(by, f"{by}s")
    return f"Nothing to compare: no two {several} have two bars each of {held[by]} with the readings for it."


def _print_json(found: "tuple[Comparison, ...]") -> None:
    from bodytest.export.document import plain

    document = {"format": "bodytest comparison", "version": 1, "comparisons": plain(found)}
    console.say_json(document)


_MOST_LINES = 12


def _in_short(found: "tuple[Comparison, ...]") -> list[str]:
    """Return what differs, a line for each comparison, those with a difference first, and what the verdicts need."""
    from bodytest.quantities import QUANTITY_BY_KEY

    shown = sorted(found, key=lambda one: all(pair.verdict != "different" for pair in one.differences))
    lines = [_what_differs(found)]
    for one in shown[:_MOST_LINES]:
        common = " · ".join(part for part in (one.body, one.firing, one.direction) if part)
        lines.append(f"{QUANTITY_BY_KEY[one.quantity].name}, {common}: {one.verdict}".replace(", :", ":"))
    if len(shown) > _MOST_LINES:
        lines.append(f"… and {len(shown) - _MOST_LINES} more comparisons.")
    without = any(one.tolerance is None for one in found)
    same = (
        " Where no tolerance is stated nothing can be called the same; state one with --tolerance." if without else ""
    )
    return [*lines, f"By how much, and on a piece of 200 mm: --details.{same}"]


def _what_differs(found: "tuple[Comparison, ...]") -> str:
    """Return how often each two of them differ."""
    pairs = [(one.body or "", pair) for one in found for pair in one.differences]
    seen = Counter((body, pair.first, pair.second) for body, pair in pairs)
    apart = Counter((body, pair.first, pair.second) for body, pair in pairs if pair.verdict == "different")
    told: dict[str, list[str]] = {}
    for (body, first, second), times in apart.most_common():
        told.setdefault(body, []).append(f"{first} and {second} (in {times} of {seen[body, first, second]})")
    if not told:
        return "No two of them differ for certain."
    by_body = (f"{body} {', '.join(some)}".strip() for body, some in told.items())
    return f"Different: {'; '.join(by_body)}."


def _lines(one: "Comparison", *, everything: bool, statistics: bool) -> list[str]:
    from bodytest.quantities import QUANTITY_BY_KEY

    quantity = QUANTITY_BY_KEY[one.quantity]
    common = " · ".join(part for part in (one.body, one.firing, one.direction, one.absorption_method) if part)
    unit = f" ({one.unit})" if one.unit else ""
    about = f"{quantity.name}{unit} by {one.by}"
    lines = [f"{about}: {common}" if common else about, one.verdict, ""]
    shown, left_out = _worth_showing(one.differences, everything=everything)
    lines += [*_level_table(one), "", *_difference_table(one, shown, statistics=statistics), *left_out, ""]
    lines += [one.welch] if statistics else []
    lines.append(f"All intervals of differences hold together with {100 * one.confidence:g} % confidence.")
    if one.tolerance is None:
        lines.append("No tolerance is stated, so nothing can be called the same; state one with --tolerance.")
    return [*lines, *(f"Note: {note}" for note in one.notes)]


def _level_table(one: "Comparison") -> list[str]:
    from bodytest.rounding import column_decimals

    headings = (one.by, "bars", "batches", "mean", "interval of the mean")
    decimals = column_decimals([(level.high - level.low) / 2 for level in one.levels])
    return console.aligned([headings, *(_level_cells(level, decimals) for level in one.levels)])


def _level_cells(level: "LevelResult", decimals: int) -> tuple[str, ...]:
    from bodytest.rounding import number_text

    mean, low, high = (number_text(value, decimals) for value in (level.mean, level.low, level.high))
    return level.name, str(level.bars), str(level.batches), mean, f"{low} to {high}"


_MOST_PAIRS = 15
"""Above this number of pairs (six batches) only those that differ are listed, unless all are wanted."""


def _worth_showing(
    differences: "tuple[Difference, ...]", *, everything: bool
) -> "tuple[tuple[Difference, ...], list[str]]":
    """Return the pairs to list and a line on those that are not."""
    if everything or len(differences) <= _MOST_PAIRS:
        return differences, []
    shown = tuple(found for found in differences if found.verdict == "different")
    others = [found.verdict for found in differences if found.verdict != "different"]
    counts = ", ".join(f"{others.count(verdict)} {verdict}" for verdict in sorted(set(others)))
    return shown, ([f"Not listed: {counts}. See them with --all."] if others else [])


def _difference_table(one: "Comparison", shown: "tuple[Difference, ...]", *, statistics: bool) -> list[str]:
    from bodytest.rounding import column_decimals

    if not shown:
        return ["No two of them differ for certain."]
    on_piece = one.differences[0].mm_on_piece is not None
    headings = ("second − first", "difference", "interval", *(("on 200 mm",) if on_piece else ()))
    headings += ("p", "verdict") if statistics else ("verdict",)
    decimals = column_decimals([(found.high - found.low) / 2 for found in shown])
    return console.aligned([headings, *(_difference_cells(found, decimals, statistics=statistics) for found in shown)])


def _difference_cells(found: "Difference", decimals: int, *, statistics: bool) -> tuple[str, ...]:
    from bodytest.rounding import number_text, with_unit

    interval = f"{number_text(found.low, decimals)} to {number_text(found.high, decimals)}"
    piece = (
        () if found.mm_on_piece is None else (with_unit(number_text(found.mm_on_piece, max(decimals - 1, 1)), "mm"),)
    )
    p = ("< 0.001" if found.p < 0.001 else number_text(found.p, 3),) if statistics else ()
    pair = f"{found.second} − {found.first}"
    return pair, number_text(found.difference, decimals), interval, *piece, *p, found.verdict
