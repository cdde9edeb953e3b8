"""``bodytest compare``: do batches, bodies, firings, directions or kiln positions differ, and does it matter."""

from collections import Counter
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from bodytest.cli import console
from bodytest.cli.choices import NO_MATTER, All, Confidence, Details, Quantities, Sheets, number
from bodytest.cli.sources import read_and_summarise
from bodytest.rounding import counted

if TYPE_CHECKING:
    from bodytest.comparison import Comparison, Difference, LevelResult


def compare(
    sheets: Sheets,
    by: Annotated[
        Literal["batch", "body", "firing", "direction", "position"],
        typer.Option(help="What to compare; everything else is held equal."),
    ] = "batch",
    quantity: Quantities = None,
    tolerance: Annotated[
        float | None, number(NO_MATTER, "the Lab sheet's shrinkage tolerance, for shrinkages", least=0.0)
    ] = None,
    confidence: Confidence = None,
    everything: All = False,
    details: Details = False,
) -> None:
    """Say which batches, bodies, firings, directions or kiln positions are the same, different, or not settled yet.

    Example: bodytest compare trial.xlsx --by batch --tolerance 0.5

    All intervals of differences hold together with the confidence.

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when there is nothing to compute.
    """
    from bodytest.analysis.comparisons import USUAL_QUANTITIES
    from bodytest.analysis.comparisons import compare as compare_bars
    from bodytest.errors import NotMeasured
    from bodytest.export.document import plain

    results = read_and_summarise(sheets, confidence)
    found = compare_bars(results, by, quantities=quantity or USUAL_QUANTITIES, tolerance=tolerance)
    if not found:
        raise NotMeasured("nothing-to-compare", **_held_equal(by))
    console.answer(
        "comparison",
        lambda: {"comparisons": plain(found)},
        lambda: _in_words(found, everything=everything, details=details),
        results.findings,
    )


def _in_words(found: "tuple[Comparison, ...]", *, everything: bool, details: bool) -> list[str]:
    statistics = everything or details
    if not statistics and len(found) > 1:
        return _in_short(found)
    blocks = (_lines(one, everything=everything, statistics=statistics) for one in found)
    return console.spaced(blocks, blank_lines=2)


def _held_equal(by: str) -> dict[str, str]:
    from bodytest.analysis.comparable import HELD_EQUAL
    from bodytest.plan.measured import listed

    held = listed(name for name in HELD_EQUAL[by] if name != "absorption_method")
    return {"held": f"the same {held}", "several": {"body": "bodies", "batch": "batches"}.get(by, f"{by}s")}


_MOST_LINES = 12


def _in_short(found: "tuple[Comparison, ...]") -> list[str]:
    """Return what differs, a line for each comparison, those with a difference first, and what the verdicts need."""
    from bodytest.quantities import QUANTITY_BY_KEY
    from bodytest.units import PIECE

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
    unit = found[0].length_unit
    return [*lines, f"By how much, and on a piece of {PIECE[unit]:.0f} {unit}: --details.{same}"]


def _what_differs(found: "tuple[Comparison, ...]") -> str:
    """Return how often each two of them differ."""
    pairs = [(one.body or "", pair) for one in found for pair in one.differences]
    seen = Counter((body, pair.first, pair.second) for body, pair in pairs)
    apart = Counter((body, pair.first, pair.second) for body, pair in pairs if pair.verdict == "different")
    told: dict[str, list[str]] = {}
    for (body, first, second), times in apart.most_common():
        all_times = seen[body, first, second]
        of = f"{all_times}" if told else counted(all_times, "comparison")
        told.setdefault(body, []).append(f"{first} and {second} (in {times} of {of})")
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
    return console.aligned([headings, *(_level_cells(one.quantity, level, decimals) for level in one.levels)])


def _level_cells(key: str, level: "LevelResult", decimals: int) -> tuple[str, ...]:
    from bodytest.quantities import possible
    from bodytest.rounding import end_text, number_text

    low = end_text(possible(key, level.low, level.high), decimals)
    mean, high = (number_text(value, decimals) for value in (level.mean, level.high))
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
    from bodytest.units import PIECE

    if not shown:
        return ["No two of them differ for certain."]
    unit = one.length_unit
    piece = () if one.differences[0].mm_on_piece is None else (f"on {PIECE[unit]:.0f} {unit}",)
    p = ("p",) if statistics else ()
    headings = ("second − first", "difference", "interval", *piece, *p, "verdict")
    decimals = column_decimals([(found.high - found.low) / 2 for found in shown])
    return console.aligned(
        [headings, *(_difference_cells(found, decimals, unit, statistics=statistics) for found in shown)]
    )


def _difference_cells(found: "Difference", decimals: int, unit: str, *, statistics: bool) -> tuple[str, ...]:
    from bodytest.rounding import number_text, with_unit
    from bodytest.units import LENGTH_DECIMALS, on_piece

    interval = f"{number_text(found.low, decimals)} to {number_text(found.high, decimals)}"
    finest, amount = LENGTH_DECIMALS[unit], on_piece(found.difference, unit)
    told = with_unit(number_text(amount, max(decimals - 2 + finest, finest)), unit)
    piece = () if found.mm_on_piece is None else (told,)
    p = ("< 0.001" if found.p < 0.001 else number_text(found.p, 3),) if statistics else ()
    pair = f"{found.second} − {found.first}"
    return pair, number_text(found.difference, decimals), interval, *piece, *p, found.verdict
