"""The figures behind the planner workbook: one row for each body, programme or load, direction and batch."""

from collections.abc import Iterator
from dataclasses import dataclass

from bodytest.export.csv_tables import guarded_text
from bodytest.results import Group, Programme, QuantityResult, Results
from bodytest.scope import loads_seen, speaks_of

BLANK = "(blank)"
"""Stands for a direction or firing without a name."""
NEW_BATCH = "a new batch"
"""Stands for a batch not tested yet, where several were."""
ONE_BATCH = "(the one tested)"
"""Stands for a single batch without a name."""


@dataclass(frozen=True)
class FiguresRow:
    """One row of the sheet Figures."""

    body: str
    """Name of the body."""
    firing: str
    """What the programme is called, or the code of one load."""
    direction: str
    """Direction of the bars."""
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
    leather_hard: float | None
    """Shrinkage from wet to leather-hard, %."""
    drying: float | None
    """Shrinkage from wet to dry, %."""
    bisque: float | None
    """Shrinkage from dry to bisque, %."""
    firing_shrinkage: float | None
    """Shrinkage from dry to fired, %."""
    bars: int
    """Bars that it rests on."""
    bar_length_mm: float | None
    """Mean wet length between the marks of the bars, mm."""
    why_no_range: str
    """Why there is no range, ``""`` when there is one."""
    speaks_of: str
    """Whom it speaks of, in words."""


HEADINGS = (
    "body", "firing", "direction", "batch", "total shrinkage (%)", "low", "high", "next low", "next high",
    "to leather-hard (%)", "drying (%)", "dry to bisque (%)", "firing (%)", "bars", "bar length (mm)",
    "no range because", "speaks of",
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
        same = largest.setdefault(key, one) if _fired(one.quantities) else one
        if type(same) is type(one) and one.bars > same.bars:
            largest[key] = one
    answers = {answer.programme for answer in results.answers}
    answering = {(one.body, one.firing) for one in results.programmes if one.id in answers}
    bodies = list(dict.fromkeys(group.body for group in results.groups))

    def place(one: Group | Programme) -> tuple[int, bool, bool]:
        is_answer = isinstance(one, Programme) and one.id in answers
        return bodies.index(one.body), (one.body, one.firing) not in answering, not is_answer

    return tuple(row for one in sorted(largest.values(), key=place) for row in _rows(one))


def _fired(quantities: dict[str, QuantityResult]) -> bool:
    return "total_shrinkage" in quantities or "firing_shrinkage" in quantities


def _rows(group: Group | Programme) -> Iterator[FiguresRow]:
    loads = len(group.loads) if isinstance(group, Programme) else 1
    whom = speaks_of(len(group.batches), loads)
    if len(group.batches) < 2:
        name = "".join(group.batches)
        yield _row(group, name or ONE_BATCH, group.quantities, whom.words(name))
        return
    yield _row(group, NEW_BATCH, group.quantities, whom.words())
    for batch in group.by_batch:
        if _fired(batch.quantities):
            own = speaks_of(1, loads_seen(batch.quantities))
            yield _row(group, batch.batch or BLANK, batch.quantities, own.words(batch.batch))


def _row(group: Group | Programme, batch: str, quantities: dict[str, QuantityResult], whom: str) -> FiguresRow:
    def mean(key: str) -> float | None:
        return quantities[key].mean if key in quantities else None

    total = quantities.get("total_shrinkage", QuantityResult("%", 0, None))
    leading = total if total.n else quantities["firing_shrinkage"]
    return FiguresRow(
        body=guarded_text(group.body or BLANK),
        firing=guarded_text(group.firing or BLANK),
        direction=guarded_text(group.direction or BLANK),
        batch=guarded_text(batch),
        total=total.mean,
        low=total.low,
        high=total.high,
        next_low=total.next_low,
        next_high=total.next_high,
        leather_hard=mean("leather_hard_shrinkage"),
        drying=mean("drying_shrinkage"),
        bisque=mean("bisque_shrinkage"),
        firing_shrinkage=mean("firing_shrinkage"),
        bars=leading.n,
        bar_length_mm=group.wet_length_mm,
        why_no_range=_why(total),
        speaks_of=guarded_text(whom),
    )


def _why(total: QuantityResult) -> str:
    if total.low is not None:
        return ""
    return total.why_no_interval or "Bars were not measured both wet and fired, so no range is given here."
