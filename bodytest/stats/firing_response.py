"""A quantity against peak temperature: the curve, where it reaches a limit, and where it peaks and turns.

Leading axes of the arrays in `LevelMeans` are data sets, the last axis is the temperature.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from bodytest.stats.inverse import accepted_range
from bodytest.stats.isotonic import rising_then_falling, smooth_between

FloatArray = npt.NDArray[np.float64]

PLACES = 601
"""Temperatures at which curves are computed."""


@dataclass(frozen=True)
class LevelMeans:
    """Mean of a quantity at each temperature, with its uncertainty."""

    temperatures_c: FloatArray
    """Rising, at least three, shape (levels,) [°C]."""
    means: FloatArray
    """Shape (…, levels) [unit of the quantity]."""
    standard_uncertainties: FloatArray
    """Of the means, shape (…, levels) [unit of the quantity]."""
    degrees_of_freedom: FloatArray
    """Of the uncertainties, shape (…, levels)."""
    bars: FloatArray
    """Number of bars, shape (levels,)."""
    covariances: FloatArray | None = None
    """Covariance of the means of each two levels, shape (…, levels, levels), where the same batches were fired at
    several temperatures, NaN where only some of them were; None when all means are independent."""


@dataclass(frozen=True)
class ResponseCurve:
    """A curve that rises and falls only where the bars say so, with the band in which the true one lies."""

    temperatures_c: FloatArray
    """Where the curve is computed, shape (places,) [°C]."""
    fitted: FloatArray
    """The curve, shape (…, places) [unit of the quantity]."""
    low: FloatArray
    """Lower end of its band at each temperature by itself, shape (…, places) [unit of the quantity]."""
    high: FloatArray
    """Upper end of it."""


@dataclass(frozen=True)
class ReadTemperature:
    """A temperature read off a curve; NaN where it lies outside the tested range."""

    celsius: FloatArray
    """Estimate [°C]."""
    low: FloatArray
    """Lower end of the interval [°C]."""
    high: FloatArray
    """Upper end of it [°C]."""


def fit_response(levels: LevelMeans, *, rises: bool, confidence: float = 0.95) -> ResponseCurve:
    """Return the curve of a quantity against temperature and its band.

    Parameters:
        levels: means at each temperature [unit of the quantity].
        rises: True for a quantity that rises up to the densest state and falls after it (shrinkage), False for one
            that falls and then rises (absorption).
        confidence: of the band at each temperature [fraction].

    Equation: level means made monotone up to the extreme and beyond it by pooling; a smooth monotone curve through
        them; band = where it may run between levels ± t_ν √((1 − w)² u²_left + w² u²_right), w how far T lies from
        left to right, ν by Welch–Satterthwaite; where batches err together 2 w (1 − w) cov more, and the lesser ν.
        Between levels at distance h it may leave the straight line by c h w (1 − w) Δ, Δ the change of slope to the
        next pair of levels on either side, in the first and last pair at least the part ⅔ of the slope itself, but not
        the range of the two levels

    Reference: Robertson, Wright, Dykstra 1988 (pooling), Fritsch & Butland 1984 (curve), both from memory; JCGM
        100:2008 (GUM) G.4.1. c = 1.5 (3 in the first and last pair, both ways) was chosen by simulation; a parabola
        needs 0.5. Worked value by hand: half way between two levels with u = 0.1 and 4 degrees of freedom each,
        t(0.975; 8) × 0.0707 = 0.163 and room for a bend of 3 × 100 × 0.25 × ⅔ × 0.03 = 1.5.

    >>> levels = LevelMeans(np.array([1000.0, 1100.0, 1200.0]), np.array([9.0, 6.0, 3.0]), np.full(3, 0.1),
    ...                     np.full(3, 4.0), np.full(3, 5.0))
    >>> curve = fit_response(levels, rises=False)
    >>> print(f"{curve.fitted[150]:.2f} {curve.low[150]:.3f} {curve.high[150]:.3f}")
    7.50 5.837 9.163
    """
    places = np.linspace(levels.temperatures_c[0], levels.temperatures_c[-1], PLACES)
    sign = 1.0 if rises else -1.0
    pooled = sign * rising_then_falling(sign * levels.means, levels.bars)
    between = _Between.of(levels.temperatures_c, places)
    smooth = smooth_between(levels.temperatures_c, pooled, places)
    lowest, highest = _room_between(levels.temperatures_c, pooled, between)
    margin = _margin(levels, between, confidence)
    return ResponseCurve(places, smooth, np.minimum(lowest, smooth) - margin, np.maximum(highest, smooth) + margin)


@dataclass(frozen=True)
class _Between:
    """Where places lie between two levels."""

    left: npt.NDArray[np.int64]
    part: FloatArray
    width: FloatArray

    @classmethod
    def of(cls, levels_c: FloatArray, places: FloatArray) -> "_Between":
        left = np.clip(np.searchsorted(levels_c, places, side="right") - 1, 0, len(levels_c) - 2).astype(np.int64)
        width = levels_c[left + 1] - levels_c[left]
        return cls(left, (places - levels_c[left]) / width, width)


_ROOM = 1.5
_ROOM_AT_ENDS = 3.0
_LEAST_ROOM_AT_ENDS = 2.0
"""Share of the slope itself: the first and last stretch see a neighbour on one side only, and equal slopes on both
sides of a firing are no sign of a straight line when the curve turns from steepening to flattening just there."""


def _room_between(levels_c: FloatArray, pooled: FloatArray, between: _Between) -> tuple[FloatArray, FloatArray]:
    """Return how low and how high the true means may run between levels, judged by how the slope changes."""
    left, last = between.left, len(levels_c) - 2
    slopes = np.diff(pooled, axis=-1) / np.diff(levels_c)
    from_left = slopes[..., np.maximum(left - 1, 0)] - slopes[..., left]
    to_right = slopes[..., left] - slopes[..., np.minimum(left + 1, last)]
    tent = between.part * (1.0 - between.part) * between.width
    at_end = (left == 0) | (left == last)
    change = _ROOM_AT_ENDS * np.maximum(np.abs(from_left), np.abs(to_right))
    either = np.maximum(change, _LEAST_ROOM_AT_ENDS * np.abs(slopes[..., left]))
    above = np.where(at_end, either, _ROOM * np.maximum(np.maximum(from_left, to_right), 0.0)) * tent
    below = np.where(at_end, either, _ROOM * np.maximum(np.maximum(-from_left, -to_right), 0.0)) * tent
    ends = pooled[..., left], pooled[..., left + 1]
    straight = (1.0 - between.part) * ends[0] + between.part * ends[1]
    return np.maximum(straight - below, np.minimum(*ends)), np.minimum(straight + above, np.maximum(*ends))


def _margin(levels: LevelMeans, between: _Between, confidence: float) -> FloatArray:
    left = between.left
    before = (1.0 - between.part) * levels.standard_uncertainties[..., left]
    after = between.part * levels.standard_uncertainties[..., left + 1]
    freedom_before, freedom_after = levels.degrees_of_freedom[..., left], levels.degrees_of_freedom[..., left + 1]
    variance = before**2 + after**2
    fourth = before**4 / freedom_before + after**4 / freedom_after
    freedom = np.divide(variance**2, fourth, out=np.ones_like(variance), where=fourth > 0.0)
    if levels.covariances is not None:
        shared = between.part * (1.0 - between.part) * levels.covariances[..., left, left + 1]
        variance = variance + 2.0 * np.maximum(np.where(np.isnan(shared), before * after, shared), -before * after)
        freedom = np.minimum(freedom_before, freedom_after)
    return np.asarray(stdtrit(freedom, (1.0 + confidence) / 2.0) * np.sqrt(variance))


def temperature_at(curve: ResponseCurve, limit: float) -> ReadTemperature:
    """Return where a falling curve first reaches a limit.

    Parameters:
        curve: of absorption.
        limit: value looked for [unit of the quantity].

    Equation: smallest T with f(T) ≤ limit; interval {T: low(T) ≤ limit ≤ high(T)}

    Reference: Fieller 1954, the test of f(T) = limit turned round; worked value by hand: 9, 6, 3 % at 1000, 1100 and
        1200 °C reach 4.5 % at 1150 °C.

    >>> levels = LevelMeans(np.array([1000.0, 1100.0, 1200.0]), np.array([9.0, 6.0, 3.0]), np.full(3, 0.1),
    ...                     np.full(3, 4.0), np.full(3, 5.0))
    >>> at = temperature_at(fit_response(levels, rises=False), 4.5)
    >>> print(f"{at.celsius:.1f} {at.low:.1f} {at.high:.1f}")
    1150.0 1115.7 1184.3
    """
    low, high = accepted_range(curve.temperatures_c, curve.low, curve.high, limit)
    below = curve.fitted <= limit
    first = below.argmax(axis=-1)
    before = np.maximum(first - 1, 0)
    ahead = np.take_along_axis(curve.fitted, before[..., None], axis=-1)[..., 0]
    behind = np.take_along_axis(curve.fitted, first[..., None], axis=-1)[..., 0]
    drop = ahead - behind
    part = np.where(drop > 0.0, (ahead - limit) / np.where(drop > 0.0, drop, 1.0), 1.0)
    start = curve.temperatures_c[before]
    celsius = start + np.clip(part, 0.0, 1.0) * (curve.temperatures_c[first] - start)
    reached = below.any(axis=-1) & ~below[..., 0]
    return ReadTemperature(
        np.asarray(np.where(reached, celsius, np.nan)),
        np.asarray(np.where(np.isfinite(low), low, np.nan)),
        np.asarray(np.where(np.isfinite(high), high, np.nan)),
    )


def temperature_of_peak(levels: LevelMeans, *, confidence: float = 0.95) -> ReadTemperature:
    """Return where a quantity peaks and turns.

    Parameters:
        levels: means at each temperature, of a quantity that rises to one peak and falls after it [unit of the
            quantity].
        confidence: of the interval [fraction].

    Equation: top of the parabola through the largest mean and its two neighbours; interval from the neighbour below
        the coolest to the neighbour above the hottest level that may have the largest true mean, those with
        m_best − m ≤ t √(u²_best + u² − 2 cov), t one-sided at 1 − α/(levels − 1)

    Reference: comparison with the best, Hsu 1981, Ann. Stat. 9, 1026 (from memory), with Bonferroni's inequality; the
        peak of a curve with one peak lies next to its best level. Worked value by hand: heights 8, 10, 9 at 1000,
        1100 and 1200 °C have the top of their parabola at 1116.7 °C.

    >>> levels = LevelMeans(np.array([1000.0, 1100.0, 1200.0]), np.array([8.0, 10.0, 9.0]), np.full(3, 0.1),
    ...                     np.full(3, 4.0), np.full(3, 5.0))
    >>> peak = temperature_of_peak(levels)
    >>> print(f"{peak.celsius:.1f} {peak.low:.1f} {peak.high:.1f}")
    1116.7 1000.0 1200.0
    """
    count = len(levels.temperatures_c)
    best = levels.means.argmax(axis=-1)
    may_be_best = _may_be_best(levels, best, confidence)
    first = may_be_best.argmax(axis=-1)
    last = count - 1 - may_be_best[..., ::-1].argmax(axis=-1)
    low = np.where(first > 0, levels.temperatures_c[np.maximum(first - 1, 0)], np.nan)
    high = np.where(last < count - 1, levels.temperatures_c[np.minimum(last + 1, count - 1)], np.nan)
    inner = (best > 0) & (best < count - 1)
    return ReadTemperature(np.where(inner, _parabola_top(levels, np.clip(best, 1, count - 2)), np.nan), low, high)


def _at(values: FloatArray, place: npt.NDArray[np.int64]) -> FloatArray:
    return np.asarray(np.take_along_axis(values, place[..., None], axis=-1))


def _may_be_best(levels: LevelMeans, best: npt.NDArray[np.int64], confidence: float) -> npt.NDArray[np.bool_]:
    count = len(levels.temperatures_c)
    variances = np.square(levels.standard_uncertainties)
    best_variance, best_freedom = _at(variances, best), _at(levels.degrees_of_freedom, best)
    variance = variances + best_variance
    fourth = variances**2 / levels.degrees_of_freedom + best_variance**2 / best_freedom
    freedom = np.divide(variance**2, fourth, out=np.ones_like(variance), where=fourth > 0.0)
    if levels.covariances is not None:
        with_best = np.take_along_axis(levels.covariances, best[..., None, None], axis=-2)[..., 0, :]
        variance = np.maximum(variance - 2.0 * np.nan_to_num(with_best), 0.0)
        freedom = np.minimum(levels.degrees_of_freedom, best_freedom)
    behind = _at(levels.means, best) - levels.means
    factor = stdtrit(freedom, 1.0 - (1.0 - confidence) / (count - 1))
    return np.asarray(behind <= factor * np.sqrt(variance))


def _parabola_top(levels: LevelMeans, middle: npt.NDArray[np.int64]) -> FloatArray:
    x0, x1, x2 = (levels.temperatures_c[middle + step] for step in (-1, 0, 1))
    y0, y1, y2 = (_at(levels.means, middle + step)[..., 0] for step in (-1, 0, 1))
    left, right = (x1 - x0) * (y1 - y2), (x1 - x2) * (y1 - y0)
    bend = left - right
    shift = ((x1 - x0) * left - (x1 - x2) * right) / (2.0 * np.where(bend == 0.0, 1.0, bend))
    return np.asarray(x1 - np.where(bend == 0.0, 0.0, shift))
