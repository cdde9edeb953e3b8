"""Batch means in the order of time: charts of individuals and of their moving average, and the newest shift."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.stats.design import FloatArray

RANGE_TO_SD = 1.128
"""d₂ for ranges of two: mean moving range over this estimates the SD (NIST/SEMATECH e-Handbook 6.3.2.2)."""
_RANGE_LIMIT = 3.267
_LIMIT = 3.0
_RUN = 8
_ROUNDING = 1e-9
FEWEST = 8
"""Fewer values show no shift."""
_FEWEST_BEFORE, _FEWEST_AFTER = 3, 2
_SHIFTED = 3.5
"""Standard errors between both levels that 2 % of steady series of 8 to 100 values pass by chance (by simulation)."""


@dataclass(frozen=True)
class IndividualsChart:
    """Centre and limits of single values in the order of time."""

    centre: float
    """Mean of the reference values."""
    sd: float
    """Standard deviation from one value to the next, from their mean moving range."""
    low: float
    """Lower limit."""
    high: float
    """Upper limit."""
    mean_range: float
    """Mean moving range of the reference values."""
    range_high: float
    """Upper limit of a moving range."""
    outside: tuple[int, ...]
    """Positions of the values outside the limits."""
    runs: tuple[int, ...]
    """Positions at which eight in a row lie on one side of the centre."""


@dataclass(frozen=True)
class EwmaChart:
    """Running average that forgets slowly, which shows a drift that no single value shows."""

    averages: tuple[float, ...]
    """The running average after each value."""
    low: tuple[float, ...]
    """Its lower limit at each value."""
    high: tuple[float, ...]
    """Its upper limit at each value."""
    outside: tuple[int, ...]
    """Positions at which it is outside."""


def individuals_chart(values: npt.ArrayLike, *, reference: int | None = None, since: int = 0) -> IndividualsChart:
    """Return the individuals chart of values in the order of time.

    Parameters:
        values: one value for each batch, at least two [unit of the quantity].
        reference: how many of the first values set centre and limits [count]; all when None.
        since: how many of these do not [count].

    Equation: centre ± 3 MR/1.128, MR = mean |x_i − x_(i−1)|; upper limit of a range 3.267 MR

    Reference: NIST/SEMATECH e-Handbook 6.3.2.2; its flow rates are the worked value: 50.81, 45.8159 to 55.8041.
        Run of eight on one side: Western Electric rules as in e-Handbook 6.3.2 (from memory).

    >>> flow = individuals_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> print(f"{flow.centre:.2f} {flow.low:.4f} {flow.high:.4f} {flow.range_high:.4f}")
    50.81 45.8159 55.8041 6.1347
    """
    means = np.asarray(values, dtype=np.float64)
    first = means[since : means.size if reference is None else reference]
    if first.size < 2:
        raise ValueError("limits need at least two reference values")
    centre, mean_range = float(first.mean()), float(np.abs(np.diff(first)).mean())
    sd = mean_range / RANGE_TO_SD
    low, high = centre - _LIMIT * sd, centre + _LIMIT * sd
    return IndividualsChart(
        centre=centre,
        sd=sd,
        low=low,
        high=high,
        mean_range=mean_range,
        range_high=_RANGE_LIMIT * mean_range,
        outside=_outside(means, low, high),
        runs=_runs(means, centre),
    )


def ewma_chart(values: npt.ArrayLike, *, centre: float, sd: float, weight: float = 0.3) -> EwmaChart:
    """Return the chart of the exponentially weighted moving average of values in the order of time.

    Parameters:
        values: one value for each batch [unit of the quantity].
        centre: where the average starts and is expected [unit of the quantity].
        sd: standard deviation of one value [unit of the quantity].
        weight: of the newest value, λ, 0.2 to 0.3 as a rule [fraction].

    Equation: z_i = λ x_i + (1 − λ) z_(i−1), z_0 = centre; centre ± 3 sd √(λ/(2 − λ) (1 − (1 − λ)^(2i)))

    Reference: NIST/SEMATECH e-Handbook 6.3.2.4, which prints the limits after many values, 47.4115 (truncated) and
        52.5884; the factor (1 − (1 − λ)^(2i)) for the first ones: Montgomery, Introduction to Statistical Quality
        Control (from memory). The worked value is the handbook's example, its last average and limit.

    >>> x = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6,
    ...      52.4, 53.6, 52.1]
    >>> chart = ewma_chart(x, centre=50.0, sd=2.0539)
    >>> print(f"{chart.averages[-1]:.2f} {chart.high[-1]:.4f}", chart.outside)
    51.99 52.5884 ()
    """
    means = np.asarray(values, dtype=np.float64)
    averages: list[float] = []
    for value in means:
        last = averages[-1] if averages else centre
        averages.append(weight * float(value) + (1.0 - weight) * last)
    counts = np.arange(1, means.size + 1)
    width = _LIMIT * sd * np.sqrt(weight / (2.0 - weight) * (1.0 - (1.0 - weight) ** (2.0 * counts)))
    low, high = centre - width, centre + width
    outside = _outside(np.asarray(averages, dtype=np.float64), low, high)
    return EwmaChart(tuple(averages), tuple(map(float, low)), tuple(map(float, high)), outside)


def _outside(values: FloatArray, low: float | FloatArray, high: float | FloatArray) -> tuple[int, ...]:
    """Return the positions outside, where a difference in the last digits of the arithmetic does not count."""
    slack = _ROUNDING * np.abs(values)
    return tuple(int(at) for at in np.flatnonzero((values < low - slack) | (values > high + slack)))


def _runs(values: FloatArray, centre: float) -> tuple[int, ...]:
    """Return the positions that are at least the eighth in a row on one side of the centre."""
    found: list[int] = []
    length, side = 0, 0.0
    for at, value in enumerate(values):
        distance = float(value) - centre
        here = 0.0 if abs(distance) <= _ROUNDING * abs(centre) else math.copysign(1.0, distance)
        length = length + 1 if here == side and here != 0.0 else int(here != 0.0)
        side = here
        if length >= _RUN:
            found.append(at)
    return tuple(found)


@dataclass(frozen=True)
class Shift:
    """The level of a series before and after."""

    begins: int
    """Position of the first value of the level before."""
    at: int
    """Position of the first value of the new level."""
    before: float
    """Mean of the level before [unit of the values]."""
    after: float
    """Mean of the new level [unit of the values]."""
    standard_errors: float
    """How far apart they lie."""


def newest_shift(values: npt.ArrayLike) -> Shift | None:
    """Return the newest shift of the level of a series, None where its level is steady or too few values are there.

    Parameters:
        values: in the order of time [any unit].

    Equation: the split that makes |m₂ − m₁|/(s √(1/n₁ + 1/n₂)) largest, s = mean moving range/1.128; a shift where that
        is above 3.5; searched again in the values after a shift, and in those before it for where that level began

    Reference: change of a mean by cumulative sums, as in NIST/SEMATECH e-Handbook 6.3.2.3; the split is the one of
        greatest likelihood (Hinkley 1970, Biometrika 57, 1, from memory). Worked value by hand: moving ranges of 0.1
        (one of 0.05 twice) and one of 1.05, mean 0.1944, s = 0.1724; (1.0 − 0.0)/(0.1724 √(1/5 + 1/5)) = 9.17.

    >>> found = newest_shift([0.05, -0.05, 0.05, -0.05, 0.0, 1.05, 0.95, 1.05, 0.95, 1.0])
    >>> found.at, round(found.before, 2), round(found.after, 2), round(found.standard_errors, 2)
    (5, 0.0, 1.0, 9.17)
    """
    series = np.asarray(values, dtype=np.float64)
    found, begins = None, 0
    while (at := _split(series[begins:])) is not None:
        found, begins = (begins, begins + at[0], at[1]), begins + at[0]
    if found is None:
        return None
    begins, start, errors = found
    older = newest_shift(series[begins:start])
    begins += older.at if older else 0
    return Shift(begins, start, float(series[begins:start].mean()), float(series[start:].mean()), errors)


def _split(series: FloatArray) -> tuple[int, float] | None:
    n = series.size
    if n < FEWEST:
        return None
    sd = float(np.abs(np.diff(series)).mean()) / RANGE_TO_SD
    first = np.arange(_FEWEST_BEFORE, n - _FEWEST_AFTER + 1)
    sums = np.cumsum(series - series.mean())
    apart = np.abs(sums[first - 1]) * n / (first * (n - first))
    if sd <= 0.0:
        return None
    errors = apart / (sd * np.sqrt(1.0 / first + 1.0 / (n - first)))
    best = int(errors.argmax())
    return (int(first[best]), float(errors[best])) if errors[best] > _SHIFTED else None
