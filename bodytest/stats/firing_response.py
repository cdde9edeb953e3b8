"""A quantity against peak temperature: the curve with its band, and where it falls to a limit.

Leading axes of the arrays in `LevelMeans` are data sets, the last axis is the temperature.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from bodytest.stats.combined_freedom import MANY
from bodytest.stats.design import FloatArray
from bodytest.stats.inverse import first_fall

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
    temperature_uncertainties_c: FloatArray | None = None
    """Standard uncertainty of each level's own temperature, which all its bars share, shape (levels,) [°C]; None when
    temperatures are taken to be exact."""
    temperature_freedom: float = MANY
    """Degrees of freedom of those uncertainties; as good as endless where they were stated."""

    def temperature_margins_c(self, confidence: float) -> FloatArray:
        """Return half the interval of each level's temperature [°C] at a confidence [fraction]."""
        if self.temperature_uncertainties_c is None:
            return np.zeros_like(self.temperatures_c)
        factor = stdtrit(self.temperature_freedom, (1.0 + confidence) / 2.0)
        return np.asarray(factor * self.temperature_uncertainties_c)


@dataclass(frozen=True)
class ResponseCurve:
    """A curve that rises and falls only where the bars say so, and how far the true one may be from it."""

    temperatures_c: FloatArray
    """Where the curve is computed, shape (places,) [°C]."""
    fitted: FloatArray
    """The curve, shape (…, places) [unit of the quantity]."""
    lowest: FloatArray
    """How low a true curve through the level means may run, shape (…, places) [unit of the quantity]."""
    highest: FloatArray
    """How high it may run."""
    margin: FloatArray
    """Half the interval of the curve at each temperature by itself, shape (…, places) [unit of the quantity]."""
    margin_c: FloatArray
    """Half the interval of the temperature at which the curve stands, shape (places,) [°C]."""

    @property
    def low(self) -> FloatArray:
        """Lower end of the band at each temperature by itself, shape (…, places) [unit of the quantity]."""
        return np.asarray(self.lowest - np.hypot(self.margin, self._changes_by(self.lowest)))

    @property
    def high(self) -> FloatArray:
        """Upper end of it."""
        return np.asarray(self.highest + np.hypot(self.margin, self._changes_by(self.highest)))

    def _changes_by(self, edge: FloatArray) -> FloatArray:
        """Return by how much an edge may change within the margin of the temperature, by its steepest slope there.

        Where the margin reaches outside the tested range, by the steepest slope in the range.
        """
        step = float(self.temperatures_c[1] - self.temperatures_c[0])
        reach = np.round(self.margin_c / step).astype(np.int64)
        places = np.arange(len(reach))
        sides = [np.clip(places + way * reach, 0, len(places) - 1) for way in (-1, 1)]
        slope = np.abs(np.gradient(self.fitted, step, axis=-1))
        outside = (places < reach) | (places + reach >= len(places))
        steepest = np.maximum.reduce([slope, *(slope[..., side] for side in sides)])
        steepest = np.where(outside, slope.max(axis=-1, keepdims=True), steepest)
        moved = (np.abs(edge[..., side] - edge) for side in sides)
        return np.asarray(np.maximum.reduce([steepest * self.margin_c, *moved]))


@dataclass(frozen=True)
class ReadTemperature:
    """A temperature read off a curve; NaN where it lies outside the tested range.

    The ends of the interval may lie outside by as much as the coolest or hottest load may have been cooler or hotter.
    """

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
        the range of the two levels. Wrong temperatures move a place by t √((1 − w)² u²_left + w² u²_right) along the
        temperature; the two margins are added in squares

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
    from scipy.interpolate import PchipInterpolator

    places = np.linspace(levels.temperatures_c[0], levels.temperatures_c[-1], PLACES)
    sign = 1.0 if rises else -1.0
    pooled = sign * rising_then_falling(sign * levels.means, levels.bars)
    between = _Between.of(levels.temperatures_c, places)
    smooth = PchipInterpolator(levels.temperatures_c, pooled, axis=-1)(places)
    lowest, highest = _room_between(levels.temperatures_c, pooled, between)
    off_c = levels.temperature_margins_c(confidence)
    moved = np.hypot((1.0 - between.part) * off_c[between.left], between.part * off_c[between.left + 1])
    margin = _margin(levels, between, confidence)
    return ResponseCurve(places, smooth, np.minimum(lowest, smooth), np.maximum(highest, smooth), margin, moved)


def rising_then_falling(means: npt.ArrayLike, weights: npt.ArrayLike | None = None) -> FloatArray:
    """Return the sequence nearest to the means that rises up to the level with the largest mean and falls after it.

    Parameters:
        means: mean at each level, in order, shape (…, levels) [unit of the quantity].
        weights: weight of each level, shape (levels,), all 1 when None [count].

    Equation: weighted least squares, non-decreasing up to the largest mean and non-increasing from it on

    Reference: Robertson, Wright, Dykstra 1988, Order Restricted Statistical Inference, max-min formulas (from memory):
        the rising value at i is the largest, over a ≤ i, of the least mean of a..b over b ≥ i, the falling one likewise
        from the other side. Worked value by hand: the fall 9, 6, 7 after the peak becomes 9, 6.5, 6.5.

    >>> print(*rising_then_falling([3, 7, 5, 9, 6, 7]))
    3.0 6.0 6.0 9.0 6.5 6.5
    """
    level_means = np.asarray(means, dtype=np.float64)
    count = level_means.shape[-1]
    level_weights = np.ones(count) if weights is None else np.asarray(weights, dtype=np.float64)
    first, last = np.indices((count, count))
    sums, whole = (
        np.concatenate([np.zeros((*one.shape[:-1], 1)), one.cumsum(axis=-1)], axis=-1)
        for one in (level_means * level_weights, level_weights)
    )
    bars = np.where(first < last, whole[last + 1] - whole[first], 1.0)
    pooled = np.where(first < last, (sums[..., last + 1] - sums[..., first]) / bars, level_means[..., first])
    peak = level_means.argmax(axis=-1)[..., None, None]
    least = np.minimum.accumulate(np.where((first <= last) & (last <= peak), pooled, np.inf)[..., ::-1], axis=-1)[
        ..., ::-1
    ]
    rising = np.where(first <= last, least, -np.inf).max(axis=-2)
    least = np.minimum.accumulate(np.where((first <= last) & (first >= peak), pooled, np.inf), axis=-2)
    falling = np.where(first <= last, least, -np.inf).max(axis=-1)
    return np.asarray(np.where(np.arange(count) <= peak[..., 0], rising, falling))


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

    Equation: smallest T with f(T) ≤ limit; low = T_room − √((T_room − T_margin)² + off²), where the lowest curve that
        runs through the means reaches the limit at T_room, less its margin at T_margin, and off is the margin of the
        temperature there; high the same with the highest curve, on the other side

    Reference: Fieller 1954, the test of f(T) = limit turned round; Zou & Donner 2008, Stat. Med. 27, 1693, for adding
        one-sided margins in squares (both from memory); worked value by hand: 9, 6, 3 % at 1000, 1100 and 1200 °C
        reach 4.5 % at 1150 °C.

    >>> levels = LevelMeans(np.array([1000.0, 1100.0, 1200.0]), np.array([9.0, 6.0, 3.0]), np.full(3, 0.1),
    ...                     np.full(3, 4.0), np.full(3, 5.0))
    >>> at = temperature_at(fit_response(levels, rises=False), 4.5)
    >>> print(f"{at.celsius:.1f} {at.low:.1f} {at.high:.1f}")
    1150.0 1115.7 1184.3
    """
    celsius = first_fall(curve.temperatures_c, curve.fitted, limit)
    low = _moved_out(curve, curve.lowest, -1.0, limit)
    high = _moved_out(curve, curve.highest, 1.0, limit)
    return ReadTemperature(*(np.where(np.isfinite(one), one, np.nan) for one in (celsius, low, high)))


def _moved_out(curve: ResponseCurve, edge: FloatArray, way: float, limit: float) -> FloatArray:
    """Return where an edge of the band reaches the limit, moved out down (-1) or up (1) by that of the place."""
    places = curve.temperatures_c
    with_margin = first_fall(places, edge + way * curve.margin, limit)
    inner, outer = (np.clip(one, places[0], places[-1]) for one in (first_fall(places, edge, limit), with_margin))
    moved = inner + way * np.hypot(outer - inner, np.interp(inner, places, curve.margin_c))
    return np.where(with_margin == way * np.inf, np.nan, moved)
