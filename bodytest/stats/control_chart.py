"""Charts of batch means in the order of time: individuals and exponentially weighted moving average."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

RANGE_TO_SD = 1.128
"""d₂ for ranges of two: mean moving range over this estimates the SD (NIST/SEMATECH e-Handbook 6.3.2.2)."""
_RANGE_LIMIT = 3.267
_LIMIT = 3.0
_RUN = 8
_ROUNDING = 1e-9


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
        outside=_outside(means, np.full(means.size, low), np.full(means.size, high)),
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


def _outside(values: FloatArray, low: FloatArray, high: FloatArray) -> tuple[int, ...]:
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
