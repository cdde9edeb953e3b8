"""The chart of a series of batches or loads: limits, running average, which rules each breaks, the newest shift."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodytest.over_time import ChartPoint, ShiftedLevel
from bodytest.stats.control_chart import ewma_chart, individuals_chart, newest_shift

FEWEST_POINTS = 3
"""Fewer batches have no limits."""
WEIGHT = 0.3
"""Weight of the newest batch in the running average."""


@dataclass(frozen=True)
class Chart:
    """Points with their limits."""

    points: tuple[ChartPoint, ...]
    """The batches with what was found of each."""
    centre: float | None = None
    """Middle of the limits; None with fewer than three batches, and so are the next three."""
    sd: float | None = None
    """Standard deviation from one batch to the next, from the mean moving range."""
    low: float | None = None
    """Lower limit of a batch mean."""
    high: float | None = None
    """Upper limit of it."""
    reference: tuple[str, ...] = ()
    """The batches that set the limits."""
    shift: ShiftedLevel | None = None
    """The newest shift; None where there is none."""


def chart_of(points: Sequence[ChartPoint], reference: int | None) -> Chart:
    """Return points with limits: those of the first ones, or of the level before the newest shift, or of all.

    Parameters:
        points: in their order.
        reference: how many of the first set the limits; None for those of the level before the newest shift.
    """
    if len(points) < FEWEST_POINTS:
        return Chart(tuple(points))
    values = np.array([point.charted for point in points], dtype=np.float64)
    shift = newest_shift(values)
    since, until = (shift.begins, shift.at) if shift else (0, len(points))
    if reference is not None:
        since, until = 0, min(reference, len(points))
    single = individuals_chart(values, reference=until, since=since)
    running = ewma_chart(values[since:], centre=single.centre, sd=single.sd, weight=WEIGHT)
    broken = {
        "shift": set(range(shift.at, len(points))) if shift else set(),
        "outside": set(single.outside),
        "drift": {since + at for at in running.outside},
        "run": set(single.runs),
    }
    charted = [
        replace(
            point,
            average=running.averages[at], average_low=running.low[at], average_high=running.high[at],
            signals=tuple(rule for rule, where in broken.items() if since + at in where),
        )
        for at, point in enumerate(points[since:])
    ]  # fmt: skip
    level = ShiftedLevel(points[shift.at].batch, shift.before, shift.after, len(points) - shift.at) if shift else None
    names = tuple(point.batch for point in points[since:until])
    every = (*points[:since], *charted)
    return Chart(every, single.centre, single.sd, single.low, single.high, names, level)
