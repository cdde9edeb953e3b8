"""The figures behind the planner workbook: a row for each body, programme or load, direction, dimension and batch."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from bodytest.export.csv_tables import guarded_text
from bodytest.plan.amounts import clay_factor
from bodytest.plan.matching import Match, scatter_of
from bodytest.plan.measured import Basis, loads_of, reaches_fired
from bodytest.plan.stages import usable
from bodytest.plan.student import of_next
from bodytest.plan.trial_pieces import with_pieces
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


@dataclass(frozen=True)
class FiguresRow:
    """One row of the sheet Figures; the first five are picked on the sheet Planner."""

    body: str
    """Name of the body."""
    firing: str
    """What the programme is called, or the code of one load."""
    direction: str
    """Direction of the bars."""
    dimension: str
    """`BY_BARS`, or a dimension of the pieces."""
    batch: str
    """Name of the batch, or `NEW_BATCH`."""
    total: float | None
    """Total shrinkage, %."""
    low: float | None
    """Lower end of the interval of its mean."""
    high: float | None
    """Upper end of it."""
    next_low: float | None
    """Lower end of the range of one further piece."""
    next_high: float | None
    """Upper end of it."""
    next_sd: float | None
    """Standard deviation of one further piece, percentage points."""
    next_freedom: float | None
    """Its degrees of freedom."""
    alike_sd: float | None
    """Standard deviation between pieces of one batch in one load, percentage points; None for pieces."""
    alike_freedom: float | None
    """Its degrees of freedom."""
    leather_hard: float | None
    """Shrinkage from wet to leather-hard, %."""
    drying: float | None
    """Shrinkage from wet to dry, %."""
    bisque: float | None
    """Shrinkage from dry to bisque, %."""
    firing_shrinkage: float | None
    """Shrinkage from dry to fired, %."""
    bars: int
    """Bars or pieces that it rests on."""
    bar_length_mm: float | None
    """Mean wet length between the marks of the bars, mm."""
    clay: float | None
    """Wet clay for a finished mass of 1."""
    clay_low: float | None
    """Lower end of its interval."""
    clay_high: float | None
    """Upper end of it."""
    why_no_range: str
    """Why there is no range, ``""`` when there is one."""
    speaks_of: str
    """Whom it speaks of, in words."""
    reason: str
    """Why to plan that dimension by bars or by pieces."""


HEADINGS = (
    "body", "programme or load", "direction", "dimension", "batch", "total shrinkage (%)", "low", "high", "next low",
    "next high", "next piece scatter (points)", "degrees of freedom", "scatter in one load (points)",
    "its degrees of freedom", "to leather-hard (%)", "drying (%)",
    "dry to bisque (%)", "firing (%)", "bars or pieces", "bar length (mm)", "wet clay for 1 finished", "clay low",
    "clay high", "no range because", "speaks of", "dimensions",
)  # fmt: skip
"""Headings of the sheet Figures, in the order of the fields of `FiguresRow`."""


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
    there = [p for p in results.pieces if p.body == one.body and p.firing in loads_of(one) and usable(p.shrinkage)]
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
        yield replace(row, direction=direction, clay=clay.wet, clay_low=clay.low, clay_high=clay.high)


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
    names = zip(_NAMES, (group.body, group.firing, group.direction, *picked), strict=True)
    named: dict[str, Any] = {field: guarded_text(name or BLANK) for field, name in names}
    return FiguresRow(
        **named,
        total=total.mean,
        low=total.low,
        high=total.high,
        next_low=total.next_low,
        next_high=total.next_high,
        next_sd=ahead.scale if ahead else None,
        next_freedom=ahead.degrees_of_freedom if ahead else None,
        **_alike(basis, total, picked[1]),
        **_steps(basis.quantities),
        bars=leading.n,
        bar_length_mm=group.wet_length_mm,
        clay=clay.wet,
        clay_low=clay.low,
        clay_high=clay.high,
        why_no_range=_why(total),
        speaks_of=guarded_text(basis.speaks_of.words(basis.batch)),
        reason=guarded_text(reason),
    )


_NAMES = ("body", "firing", "direction", "dimension", "batch")


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
