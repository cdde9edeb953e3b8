"""The figures behind the planner workbook: one row for each body, firing, direction and batch that was fired."""

from collections.abc import Iterator
from dataclasses import dataclass

from bodytest.export.csv_tables import guarded_text
from bodytest.results import Group, QuantityResult, Results

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
    """Code of the firing."""
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


HEADINGS = (
    "body", "firing", "direction", "batch", "total shrinkage (%)", "low", "high", "next low", "next high",
    "to leather-hard (%)", "drying (%)", "dry to bisque (%)", "firing (%)", "bars", "bar length (mm)",
    "no range because",
)  # fmt: skip
"""Headings of the sheet Figures, in the order of the fields of `FiguresRow`."""


def figures_rows(results: Results) -> tuple[FiguresRow, ...]:
    """Return the rows, batches of a group together; of groups that differ in absorption method alone, the larger."""
    largest: dict[tuple[str, str, str], Group] = {}
    for group in results.groups:
        key = (group.body, group.firing, group.direction)
        if _fired(group.quantities) and (key not in largest or group.bars > largest[key].bars):
            largest[key] = group
    ordered = sorted(largest.values(), key=lambda group: [one.body for one in largest.values()].index(group.body))
    return tuple(row for group in ordered for row in _rows(group))


def _fired(quantities: dict[str, QuantityResult]) -> bool:
    return "total_shrinkage" in quantities or "firing_shrinkage" in quantities


def _rows(group: Group) -> Iterator[FiguresRow]:
    if len(group.batches) < 2:
        yield _row(group, "".join(group.batches) or ONE_BATCH, group.quantities)
        return
    yield _row(group, NEW_BATCH, group.quantities)
    for batch in group.by_batch:
        if _fired(batch.quantities):
            yield _row(group, batch.batch or BLANK, batch.quantities)


def _row(group: Group, batch: str, quantities: dict[str, QuantityResult]) -> FiguresRow:
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
    )


def _why(total: QuantityResult) -> str:
    if total.low is not None:
        return ""
    return total.why_no_interval or "Bars were not measured both wet and fired, so no range is given here."
