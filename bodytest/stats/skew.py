"""Values that cannot be negative and scatter widely beside their mean: intervals that allow for a long upper tail."""

from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np
from scipy.special import expm1, stdtrit

from bodytest.stats.design import FloatArray
from bodytest.stats.summary import MeanSummary, Skew

_Summary = TypeVar("_Summary", bound=MeanSummary)

SKEWED_FROM = 0.15
"""Scatter over mean from which intervals allow for a long upper tail; below it t intervals hold about as they say."""
_LIMITS_FROM, _LIMITS_TO = 0.03, 0.2
"""A one-sided limit is sooner wrong: room for the tail begins at the first of these and is whole from the second on."""
HOLDS_TO = 0.7
"""Scatter over mean up to which the intervals were shown to hold,"""
HOLDS_FROM = 5
"""from that many bars on."""
_FURTHER_UP = 0.3
"""By how much of the scatter over the mean the interval of a mean reaches further up: bars whose mean is too low by
chance lack the tail, and so scatter too little besides."""
_FARTHEST = 20.0
"""No exponent is taken to be more: such an interval says nothing anyway."""
_NEAREST = 1e-18
"""A mean is taken to lie at least so far above what readings can come out with."""


@dataclass(frozen=True)
class Positive:
    """Values that cannot truly be negative, such as absorption; readings may come out a little below 0."""

    sd: float | FloatArray
    """Standard deviation of one bar [unit of the quantity]."""
    reading_uncertainty: float = 0.0
    """Standard uncertainty of one bar's value from its readings: values so near to 0 say nothing of a tail
    [unit of the quantity]."""

    def relative_scatter(self, mean: float | FloatArray) -> FloatArray:
        """Return the scatter over the mean, both as far as readings can tell; huge for a mean below what they can.

        >>> print(Positive(0.5).relative_scatter(2.0))
        0.25
        """
        return np.asarray(self.sd / self.offset(mean))

    def offset(self, mean: float | FloatArray) -> FloatArray:
        """Return how far the mean lies above the least value that a reading can come out with (k = 2)."""
        return np.asarray(np.maximum(mean + 2.0 * self.reading_uncertainty, _NEAREST))

    def is_skewed(self, mean: float) -> bool:
        """Tell whether a long upper tail is to be allowed for."""
        return bool(self.relative_scatter(mean) > SKEWED_FROM)

    def holds(self, mean: float) -> bool:
        """Tell whether the intervals hold what they claim; the page says so where not."""
        return bool(self.relative_scatter(mean) <= HOLDS_TO)


def allow_for_skew(
    mean: float, half_width: float, values: Positive | None, *, of_mean: bool = True
) -> tuple[float, float]:
    """Return the ends of an interval with room for a long upper tail, where the values may have one.

    Parameters:
        mean: middle of the symmetrical interval [unit of the quantity].
        half_width: of that interval, of the mean, of the next bar or of most bars [unit of the quantity].
        values: how the values scatter, None where they may well be negative [unit of the quantity].
        of_mean: whether the interval is that of the mean.

    Equation: low = mean − h, no lower than 0 where the mean is above it; high = (m + c) exp(f h/(m + c)) − c, c twice
        the reading uncertainty, f = 1 + 0.3 s/(m + c) for the mean and 1 else; mean ± h where the scatter is below
        `SKEWED_FROM` of m + c

    Reference: interval on the logarithmic scale by the delta method (JCGM 100:2008 (GUM) 5.1.2), joined with the plain
        one; the choice is our own, held by simulation of lognormal and gamma bodies. Worked values by hand:
        exp(0.5) = 1.649, exp(1.15 × 0.5) = 1.777.

    Notes: Without f a limit is wrongly met by 7.1 % of lognormal bodies of σ 0.7 (5 bars), with it by 5.4 %; it takes
        the upper end of five bars further from the mean by a tenth (σ 0.3), a fifth (σ 0.5), three tenths (σ 0.7).

    >>> low, high = allow_for_skew(1.0, 0.5, Positive(0.5))
    >>> print(f"{low:.3f} {high:.3f} {allow_for_skew(1.0, 0.5, Positive(0.5), of_mean=False)[1]:.3f}")
    0.500 1.777 1.649
    >>> allow_for_skew(10.0, 0.5, Positive(0.5))
    (9.5, 10.5)
    """
    if values is None or not values.is_skewed(mean):
        return mean - half_width, mean + half_width
    low = mean - half_width
    return (max(low, 0.0) if mean > 0.0 else low), float(_upper_end(mean, half_width, values, of_mean=of_mean))


def _upper_end(
    mean: float | FloatArray, half_width: float | FloatArray, values: Positive, *, of_mean: bool
) -> FloatArray:
    above = values.offset(mean)
    further = 1.0 + _FURTHER_UP * values.relative_scatter(mean) * of_mean
    reach = above * expm1(np.minimum(further * half_width / above, _FARTHEST))
    return np.asarray(mean + np.maximum(reach, half_width))


def with_room_for_skew(summary: _Summary, reading_uncertainty: float = 0.0) -> _Summary:
    """Return a summary of values that cannot truly be negative, its intervals with room for a long upper tail.

    Parameters:
        summary: as for values of any sign [unit of the quantity].
        reading_uncertainty: standard uncertainty of one bar's value from its readings [unit of the quantity].

    Equation: `allow_for_skew` for the mean, the next bar and most bars

    Reference: as `allow_for_skew`. Worked value: five bars whose scatter is a third of their mean.

    >>> from bodytest.stats.summary import summarise_bars
    >>> plain = summarise_bars([0.6, 0.7, 0.9, 1.1, 1.5])
    >>> wide = with_room_for_skew(plain)
    >>> print(f"{plain.low:.2f} {plain.high:.2f}, {wide.low:.2f} {wide.high:.2f}, {wide.skew}")
    0.52 1.40, 0.52 1.61, allowed for
    """
    if summary.sd is None or summary.high is None:
        return summary
    values = Positive(summary.sd, reading_uncertainty)
    if not values.is_skewed(summary.mean):
        return summary
    ends: dict[str, Any] = {}
    for start in ("", "next_", "tolerance_"):
        high: float | None = getattr(summary, f"{start}high")
        if high is not None:
            half = high - summary.mean
            ends[f"{start}low"], ends[f"{start}high"] = allow_for_skew(summary.mean, half, values, of_mean=not start)
    skew: Skew = "allowed for" if values.holds(summary.mean) and summary.n >= HOLDS_FROM else "may not hold"
    return replace(summary, **ends, skew=skew)


def upper_limit(
    mean: float | FloatArray,
    standard_uncertainty: float | FloatArray,
    degrees_of_freedom: float | FloatArray,
    values: Positive | None,
    confidence: float,
) -> FloatArray:
    """Return the one-sided upper confidence limit of a mean, or of many.

    Parameters:
        mean: mean seen [unit of the quantity].
        standard_uncertainty: its combined standard uncertainty [unit of the quantity].
        degrees_of_freedom: of that uncertainty [count].
        values: how the values scatter, None where they may well be negative [unit of the quantity].
        confidence: that the true mean is no higher [fraction].

    Equation: p + g (q − p), p = mean + t u with t one-sided, q the upper end of `allow_for_skew` for the two-sided t
        (with a long upper tail all but all misses of a two-sided interval are misses at its upper end), g from 0 at a
        scatter of 0.03 of the mean to 1 at 0.2

    Reference: JCGM 106:2012, guarded acceptance; the limit for skewed values as `allow_for_skew`, g held by simulation.
        Worked values by hand: t(0.95; 9) = 1.833; exp(1.09 × 2.262 × 0.1) = 1.280.

    Notes: Without g lognormal bodies of σ 0.1 to 0.2 meet a limit wrongly in 5.7 to 6.9 % (3 to 20 bars), with it in
        5.5 % at most. Bodies that are normal after all meet it wrongly in 4 to 5 % where they scatter by 0.05 to 0.1
        of their mean, and in 2 to 4 % at 0.15 to 0.2: at 0.1 the limit of five bars lies a sixth further from the mean.

    >>> print(f"{upper_limit(2.8, 0.1, 9, None, 0.95):.3f} {upper_limit(1.0, 0.1, 9, Positive(0.3), 0.95):.3f}")
    2.983 1.280
    """
    plain = np.asarray(mean + stdtrit(degrees_of_freedom, confidence) * standard_uncertainty)
    if values is None:
        return plain
    part = (values.relative_scatter(mean) - _LIMITS_FROM) / (_LIMITS_TO - _LIMITS_FROM)
    half = np.asarray(stdtrit(degrees_of_freedom, (1.0 + confidence) / 2.0) * standard_uncertainty)
    return np.asarray(plain + np.clip(part, 0.0, 1.0) * (_upper_end(mean, half, values, of_mean=True) - plain))
