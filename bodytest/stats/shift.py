"""From which value on a series lies elsewhere: the newest shift of its level."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.stats.control_chart import RANGE_TO_SD

FEWEST = 8
"""Fewer values show no shift."""
_FEWEST_BEFORE, _FEWEST_AFTER = 3, 2
_CRITICAL = 3.5
"""Standard errors between both levels that 2 % of steady series of 8 to 100 values pass by chance (by simulation)."""


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


def _split(series: npt.NDArray[np.float64]) -> tuple[int, float] | None:
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
    return (int(first[best]), float(errors[best])) if errors[best] > _CRITICAL else None
