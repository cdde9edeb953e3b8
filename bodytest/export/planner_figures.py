"""The figures behind the planner workbook: a row for each body, programme or load, direction, dimension and batch."""

from collections.abc import Iterator
from typing import Any

from bodytest.export.csv_tables import guarded_text
from bodytest.plan.amounts import clay_factor
from bodytest.plan.matching import Match, scatter_of
from bodytest.plan.measured import Basis, reaches_fired
from bodytest.plan.stages import usable
from bodytest.plan.student import of_next
from bodytest.plan.trial_pieces import pieces_of, with_pieces
from bodytest.results import Group, PieceComparison, Programme, QuantityResult, Results

BLANK = "(blank)"
"""Stands for a direction or firing without a name."""
NEW_BATCH = "a new batch"
"""Stands for a batch not tested yet, where several were."""
ONE_BATCH = "(the one tested)"
"""Stands for a single batch without a name."""
BY_BARS = "by the bars"
"""Stands for a dimension that is planned by the bars."""
BY_PIECES = "(as the pieces)"
"""Stands for the batch where a dimension is planned by pieces."""
FIGURE_HEADINGS = {
    "body": "body",
    "firing": "programme or load",
    "direction": "direction",
    "dimension": "dimension",  # `BY_BARS`, or one of the pieces
    "batch": "batch",  # its name, or one of those above
    "total": "total shrinkage (%)",
    "low": "low",  # of the interval of its mean
    "high": "high",
    "next_low": "next low",  # of the range of one further piece
    "next_high": "next high",
    "next_sd": "next piece scatter (points)",  # standard deviation
    "next_freedom": "degrees of freedom",
    "alike_sd": "scatter in one load (points)",  # standard deviation of pieces of one batch; None for pieces
    "alike_freedom": "its degrees of freedom",
    "leather_hard": "to leather-hard (%)",
    "drying": "drying (%)",
    "bisque": "dry to bisque (%)",
    "firing_shrinkage": "firing (%)",
    "bars": "bars or pieces",
    "bar_length_mm": "bar length (mm)",  # mean wet length between the marks
    "clay": "wet clay for 1 finished",
    "clay_low": "clay low",
    "clay_high": "clay high",
    "why_no_range": "no range because",
    "speaks_of": "speaks of",
    "reason": "dimensions",  # why to plan that dimension by bars or by pieces
}
"""What stands in a row of the sheet Figures → its heading; the first five are picked on the sheet Planner."""
FiguresRow = dict[str, Any]
"""One row, by the names in `FIGURE_HEADINGS`."""


def figures_rows(results: Results) -> tuple[FiguresRow, ...]:
    """Return the rows: of each body what answers for it, its other programmes, then single loads.

    The only load of a programme is not told again. Batches of one stand together; of bars that differ in absorption
    method alone, the larger group is taken.
    """
    largest: dict[tuple[str, str, str], Group | Programme] = {}
    alone = {(one.body, one.loads[0]) for one in results.programmes if len(one.loads) == 1}
    loads = [group for group in results.groups if (group.body, group.firing) not in alone]
    several: list[Group | Programme] = [*results.programmes, *loads]
    for one in several:
        key = (one.body, one.firing, one.direction)
        same = largest.setdefault(key, one) if reaches_fired(one.quantities) else one
        if type(same) is type(one) and one.bars > same.bars:
            largest[key] = one
    answers = {answer.programme for answer in results.answers}
    answering = {(one.body, one.firing) for one in results.programmes if one.id in answers}
    bodies = list(dict.fromkeys(group.body for group in results.groups))

    def place(one: Group | Programme) -> tuple[int, bool, bool]:
        is_answer = isinstance(one, Programme) and one.id in answers
        return bodies.index(one.body), (one.body, one.firing) not in answering, not is_answer

    return tuple(row for one in sorted(largest.values(), key=place) for row in _rows(results, one))


def _rows(results: Results, one: Group | Programme) -> Iterator[FiguresRow]:
    """Yield the rows by the bars (a new batch first), then those by pieces."""
    there = [piece for piece in pieces_of(results, one) if usable(piece.shrinkage)]
    dimensions = {piece.dimension: piece for piece in reversed(there)}
    name, several = "".join(one.batches), len(one.batches) > 1
    basis = Basis(one, None if several else name, one.quantities, ())
    of_bars = _why_by_bars(list(reversed(dimensions.values())))
    yield _row(results, basis, (BY_BARS, NEW_BATCH if several else name or ONE_BATCH), of_bars)
    for batch in one.by_batch if several else ():
        if reaches_fired(batch.quantities):
            own = Basis(one, batch.batch, batch.quantities, ())
            yield _row(results, own, (BY_BARS, batch.batch), of_bars)
    for dimension, piece in reversed(dimensions.items()):
        of_pieces = with_pieces(results, basis, dimension)
        row = _row(results, of_pieces, (dimension, BY_PIECES), piece.sentence)
        clay = clay_factor(one.quantities, results.confidence)  # what weighs alike whatever its dimension
        direction = guarded_text(one.direction or BLANK)
        yield row | {"direction": direction, "clay": clay.wet, "clay_low": clay.low, "clay_high": clay.high}


def _why_by_bars(pieces: list[PieceComparison]) -> str:
    if not pieces:
        return "No real pieces were measured wet and fired: every dimension is taken to shrink as the bars did."
    differ = [
        f"{one.sentence} To plan by these pieces, pick the dimension {one.dimension}." for one in pieces if one.differs
    ]
    return " ".join(differ) or "Real pieces were measured too: pick a dimension to plan by them."


def _row(results: Results, basis: Basis, picked: tuple[str, str], reason: str) -> FiguresRow:
    total = basis.quantities.get("total_shrinkage", QuantityResult("%", 0, None))
    leading = total if total.n else basis.quantities["firing_shrinkage"]
    ahead = of_next(total, results.confidence)
    clay = clay_factor(basis.quantities, results.confidence)
    group = basis.group
    names = zip(FIGURE_HEADINGS, (group.body, group.firing, group.direction, *picked), strict=False)
    return {
        **{field: guarded_text(name or BLANK) for field, name in names},
        "total": total.mean,
        "low": total.low,
        "high": total.high,
        "next_low": total.next_low,
        "next_high": total.next_high,
        "next_sd": ahead.scale if ahead else None,
        "next_freedom": ahead.degrees_of_freedom if ahead else None,
        **_alike(basis, total, picked[1]),
        **_steps(basis.quantities),
        "bars": leading.n,
        "bar_length_mm": group.wet_length_mm,
        "clay": clay.wet,
        "clay_low": clay.low,
        "clay_high": clay.high,
        "why_no_range": _why(total),
        "speaks_of": guarded_text(basis.speaks_of.words(basis.batch)),
        "reason": guarded_text(reason),
    }


def _steps(quantities: dict[str, QuantityResult]) -> dict[str, Any]:
    """Return the shrinkage of each step, None where it was not measured."""
    keys = {"leather_hard": "leather_hard_shrinkage", "drying": "drying_shrinkage", "bisque": "bisque_shrinkage"}
    keys["firing_shrinkage"] = "firing_shrinkage"
    return {name: quantities[key].mean if key in quantities else None for name, key in keys.items()}


def _alike(basis: Basis, total: QuantityResult, batch: str) -> dict[str, Any]:
    """Return how pieces of one batch in one load differ, as the command match takes it."""
    if batch == BY_PIECES or total.mean is None or total.sd is None:
        return {"alike_sd": None, "alike_freedom": None}
    scatter = scatter_of(basis, total, Match("1mm"), 100.0)
    return {"alike_sd": scatter.known(), "alike_freedom": round(scatter.degrees_of_freedom, 3)}


def _why(total: QuantityResult) -> str:
    if total.low is not None:
        return ""
    return total.why_no_interval or "Bars were not measured both wet and fired, so no range is given here."
