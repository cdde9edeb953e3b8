"""Same or different: batches, directions and places compared in one load; real pieces compared with their bars."""

from collections.abc import Iterator

from bodytest.comparison import Comparison
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import Tested
from bodytest.report.wording import Voice, short_verdict_mark
from bodytest.results import PieceComparison, QuantityResult, Results
from bodytest.rounding import column_decimals
from bodytest.units import LENGTH_DECIMALS, on_piece


def comparison_section(voice: Voice, results: Results, group: Tested) -> dict[str, object] | None:
    """Return the comparisons within the load with most bars; None where there is nothing to compare.

    Bars of one load are compared, so that no difference of loads is taken for one of batches.
    """
    loads, bars = group.loads, results.bars
    mine = bars[(bars["body"] == group.body) & bars["firing"].isin(loads) & (bars["left_out"] == "")]
    load = max(loads, key=lambda code: int((mine["firing"] == code).sum()))
    found = [one for one in results.comparisons if (one.body, one.firing or "") == (group.body, load)]
    if not found:
        return None
    notes = tuple(dict.fromkeys(note for comparison in found for note in comparison.notes))
    if len(loads) > 1:
        notes = (voice.say("comparisons.one_load", load=load, loads=voice.count("load", len(loads))), *notes)
    differences = _differences(voice, found, load, results)
    return {"message": _message(voice, found), "differences": differences, "notes": notes}


def _message(voice: Voice, found: list[Comparison]) -> str:
    first = found[0]
    quantity = QUANTITY_BY_KEY[first.quantity].name
    by = voice.say(f"comparisons.by_{first.by}")
    return voice.say("comparisons.message", quantity=quantity, by=by, verdict=first.verdict)


def _differences(voice: Voice, found: list[Comparison], load: str, results: Results) -> Table:
    unit = voice.length_unit
    names = ("pair", "quantity", "difference", "interval", "on_piece", "verdict")
    numeric = {"difference", "interval", "on_piece"}
    columns = columns_of(voice, "comparisons", names, numeric, **_of_piece(voice))
    quantities = dict.fromkeys(comparison.quantity for comparison in found)
    precise = {key: _precisions([c for c in found if c.quantity == key], unit) for key in quantities}
    rows = [row for comparison in found for row in _rows(voice, comparison, precise[comparison.quantity])]
    where = voice.say("comparisons.where", firing=load or voice.say("name.no_firing"))
    tolerances = {c.tolerance for c in found if c.tolerance is not None}
    note = voice.say("comparisons.note", level=voice.percent(results.confidence))
    if tolerances:
        points = voice.plain(min(tolerances))
        note += " " + voice.say("comparisons.tolerance", points=points)
    return table(where, columns, rows, note=note, key="differences")


def _precisions(found: list[Comparison], unit: str) -> tuple[int, int]:
    """Return the decimals of the differences of one quantity, and of what they are on a piece."""
    every = [one for comparison in found for one in comparison.differences]
    half_widths = [(one.high - one.low) / 2 for one in every]
    return column_decimals(half_widths), column_decimals([on_piece(half, unit) for half in half_widths])


def _rows(voice: Voice, comparison: Comparison, precise: tuple[int, int]) -> Iterator[list[Cell | str]]:
    name, by = QUANTITY_BY_KEY[comparison.quantity].name, voice.say(f"comparisons.one_{comparison.by}")
    where = comparison.direction if comparison.by != "direction" else None
    decimals, of_piece = precise
    for one in comparison.differences:
        amount = None if one.mm_on_piece is None else on_piece(one.difference, voice.length_unit)
        yield [
            Cell(voice.say("comparisons.minus", by=by, first=one.first, second=one.second), small=where or ""),
            name,
            voice.number(one.difference, decimals),
            voice.between(one.low, one.high, decimals),
            voice.number(amount, of_piece),
            Cell("", mark=short_verdict_mark(voice, one.verdict)),
        ]


def _of_piece(voice: Voice) -> dict[str, str]:
    """Return what the heading of lengths says: on which piece, and in which unit."""
    return {"length": voice.piece(), "unit": voice.length_unit}


_FEW = 2.0
"""Degrees of freedom below which a range is wide because of them, not of the scatter."""


def piece_section(voice: Voice, pieces: tuple[PieceComparison, ...]) -> dict[str, object] | None:
    """Return the pieces of a body; None without any."""
    if not pieces:
        return None
    otherwise = list(dict.fromkeys(one.dimension for one in pieces if one.differs))
    key = "pieces.message_differ" if otherwise else "pieces.message_alike"
    return {
        "message": voice.say(key, dimensions=voice.joined(otherwise)),
        "sentences": [one.sentence for one in pieces if one.verdict in {None, "cannot tell yet"}],
        "pieces": _piece_table(voice, pieces),
    }


def _piece_table(voice: Voice, pieces: tuple[PieceComparison, ...]) -> Table:
    numeric = ("pieces", "predicted", "seen", "difference", "comparisons.on_piece")
    names = ("loads.firing", "dimension", *numeric, "comparisons.verdict", "factor")
    columns = columns_of(voice, "pieces", names, (*numeric, "factor"), **_of_piece(voice))
    rows = [_row(voice, one) for one in pieces]
    return table(voice.say("pieces.caption"), columns, rows, note=why_wide(voice, pieces), key="pieces")


def why_wide(voice: Voice, pieces: tuple[PieceComparison, ...]) -> str:
    """Return which factors have a wide range because of few batches that differ; ``""`` without any."""
    few = [one.dimension for one in pieces if one.shrinkage and one.shrinkage.batch_sd and _knows_little(one.shrinkage)]
    return voice.say("pieces.wide", dimensions=voice.joined(list(dict.fromkeys(few)))) if few else ""


def _knows_little(shrinkage: QuantityResult) -> bool:
    return shrinkage.degrees_of_freedom is not None and shrinkage.degrees_of_freedom < _FEW


def _row(voice: Voice, one: PieceComparison) -> list[Cell | str]:
    unit = voice.length_unit
    between, ends = "", ""
    if one.low is not None and one.high is not None:
        between = voice.between(one.low, one.high, 2)
        ends = voice.between(on_piece(one.low, unit), on_piece(one.high, unit), LENGTH_DECIMALS[unit])
    factors = voice.between(one.corrected_factor_low, one.corrected_factor_high, 3)
    return [
        one.firing or voice.say("name.no_firing"),
        one.dimension,
        str(one.pieces),
        voice.number(one.predicted_shrinkage, 2),
        voice.number(one.piece_shrinkage, 2),
        Cell(voice.number(one.difference, 2), small=between),
        ends,
        Cell("", mark=short_verdict_mark(voice, one.verdict)),
        Cell(voice.number(one.corrected_factor, 3), small=factors if one.corrected_factor_low is not None else ""),
    ]
