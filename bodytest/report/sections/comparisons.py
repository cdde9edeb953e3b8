"""Same or different: batches, directions and places in the kiln compared in one load of what answers for a body."""

from collections.abc import Iterator
from dataclasses import dataclass

from bodytest.comparison import Comparison, Difference
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.fired import Tested
from bodytest.report.table import Cell, Table, columns_of, table, without_empty_columns
from bodytest.report.wording import Voice, short_verdict_mark
from bodytest.results import Programme, Results
from bodytest.rounding import column_decimals
from bodytest.units import PIECE_MM


@dataclass(frozen=True)
class ComparisonSection:
    """What was compared in one firing of a body."""

    message: str
    """The verdicts on batches, or on what else was compared."""
    differences: Table
    """Every pair with its interval and verdict."""
    notes: tuple[str, ...]
    """What the comparisons can and cannot say."""


def comparison_section(voice: Voice, results: Results, group: Tested) -> ComparisonSection | None:
    """Return the comparisons within the load with most bars; None where there is nothing to compare.

    Bars of one load are compared, so that no difference of loads is taken for one of batches.
    """
    loads = group.loads if isinstance(group, Programme) else (group.firing,)
    bars = results.bars
    mine = bars[(bars["body"] == group.body) & bars["firing"].isin(loads) & (bars["left_out"] == "")]
    load = max(loads, key=lambda code: int((mine["firing"] == code).sum()))
    found = [one for one in results.comparisons if (one.body, one.firing or "") == (group.body, load)]
    if not found:
        return None
    notes = tuple(dict.fromkeys(note for comparison in found for note in comparison.notes))
    if len(loads) > 1:
        notes = (voice.say("comparisons.one_load", load=load, loads=voice.count("load", len(loads))), *notes)
    return ComparisonSection(_message(voice, found), _differences(voice, found, load, results.confidence), notes)


def _message(voice: Voice, found: list[Comparison]) -> str:
    first = found[0]
    quantity = QUANTITY_BY_KEY[first.quantity].name
    by = voice.say(f"comparisons.by_{first.by}")
    return voice.say("comparisons.message", quantity=quantity, by=by, verdict=first.verdict)


def _differences(voice: Voice, found: list[Comparison], load: str, confidence: float) -> Table:
    names = ("pair", "quantity", "difference", "interval", "on_piece", "verdict")
    numeric = {"difference", "interval", "on_piece"}
    columns = columns_of(voice, "comparisons", names, numeric, length=voice.plain(PIECE_MM, "mm"))
    quantities = dict.fromkeys(comparison.quantity for comparison in found)
    precise = {key: _precisions([c for c in found if c.quantity == key]) for key in quantities}
    rows = [row for comparison in found for row in _rows(voice, comparison, precise[comparison.quantity])]
    where = voice.say("comparisons.where", firing=load or voice.say("name.no_firing"))
    tolerances = {c.tolerance for c in found if c.tolerance is not None}
    note = voice.say("comparisons.note", level=voice.percent(confidence))
    if tolerances:
        points = voice.plain(min(tolerances))
        note += " " + voice.say("comparisons.tolerance", points=points)
    return without_empty_columns(table(where, columns, rows, note=note, key="differences"))


def _precisions(found: list[Comparison]) -> tuple[int, int]:
    """Return the decimals of the differences of one quantity, and of what they are on a piece."""
    every = [one for comparison in found for one in comparison.differences]
    on_piece = [(one.mm_high - one.mm_low) / 2 for one in every if one.mm_high is not None and one.mm_low is not None]
    return column_decimals([(one.high - one.low) / 2 for one in every]), column_decimals(on_piece)


def _rows(voice: Voice, comparison: Comparison, precise: tuple[int, int]) -> Iterator[list[Cell | str]]:
    name = QUANTITY_BY_KEY[comparison.quantity].name
    for one in comparison.differences:
        by = voice.say(f"comparisons.one_{comparison.by}")
        where = comparison.direction if comparison.by != "direction" else None
        pair = voice.say("comparisons.minus", by=by, first=one.first, second=one.second)
        yield [
            Cell(pair, small=where or ""),
            name,
            *_numbers(voice, one, *precise),
            Cell("", mark=short_verdict_mark(voice, one.verdict)),
        ]


def _numbers(voice: Voice, one: Difference, decimals: int, of_piece: int) -> list[str]:
    interval = voice.between(one.low, one.high, decimals)
    return [voice.number(one.difference, decimals), interval, voice.number(one.mm_on_piece, of_piece)]
