"""The temperature at which a quantity peaks and turns."""

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from bodytest.stats.combined_freedom import combined_freedom
from bodytest.stats.design import FloatArray
from bodytest.stats.firing_response import LevelMeans, ReadTemperature

Places = npt.NDArray[np.int64]

_STEEPER = 2.5
"""How many times steeper than in the stretch before a curve may rise towards its peak (and fall after it)."""

_ASIDE = 1.0 / 3.0
"""Part of the stretch beside the best level in which the peak does not lie: nearer to its other end than that, and the
other end would be the best level. A margin of the temperature uses it up first."""


def temperature_of_peak(levels: LevelMeans, *, confidence: float = 0.95) -> ReadTemperature:
    """Return where a quantity peaks and turns.

    Parameters:
        levels: means at each temperature, of a quantity that rises to one peak and falls after it [unit of the
            quantity].
        confidence: of the interval [fraction].

    Equation: top of the parabola through the largest mean and its two neighbours; interval from above the neighbour
        below the coolest to below the neighbour above the hottest level that may have the largest true mean, those
        with m_best − m ≤ t √(u²_best + u² − 2 cov), t two-sided. From the neighbour the curve
        must rise by r to the level that may be best, no more than 2.5 times as steeply as by b over h before:
        above by r h/(2.5 b) less its margin, where the rise slackens (r/h₀ < b/h). Then out by
        √(off² + (h₀/3)²) − h₀/3, off the margin of the temperature there

    Reference: comparison with the best, Hsu 1981, Ann. Stat. 9, 1026 (from memory); the peak of a curve with one peak
        lies next to its best level. One t for each level is enough, since the best may be left out where its neighbour
        on the far side of the peak is not (by simulation, plateaus too); the factor 2.5 was chosen by simulation.
        Worked value by hand: heights 8, 10, 9 at 1000, 1100 and 1200 °C have the top of their parabola at 1116.7 °C.

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
    low = _beyond_neighbour(levels, first, -1, confidence)
    high = _beyond_neighbour(levels, last, 1, confidence)
    inner = (best > 0) & (best < count - 1)
    return ReadTemperature(np.where(inner, _parabola_top(levels, np.clip(best, 1, count - 2)), np.nan), low, high)


def _beyond_neighbour(levels: LevelMeans, outermost: Places, way: int, confidence: float) -> FloatArray:
    """Return how far below (-1) or above (1) the outermost level that may be best the peak may lie."""
    count, celsius = len(levels.temperatures_c), levels.temperatures_c
    beside, beyond = (np.clip(outermost + step * way, 0, count - 1) for step in (1, 2))
    off_c = levels.temperature_margins_c(confidence)
    width = np.abs(celsius[outermost] - celsius[beside])
    inward = _advance(levels, (outermost, beside, beyond), off_c, confidence)
    part = inward / np.where(width > 0.0, width, 1.0)
    off, aside = np.hypot((1.0 - part) * off_c[beside], part * off_c[outermost]), _ASIDE * width
    return np.where(beside == outermost, np.nan, celsius[beside] + way * (np.hypot(off, aside) - aside - inward))


def _advance(levels: LevelMeans, three: tuple[Places, ...], off_c: FloatArray, confidence: float) -> FloatArray:
    """Return how far from the level beside it the curve must run before it is as high as the outermost."""
    outermost, beside, beyond = three
    factor = np.asarray(stdtrit(_at(levels.degrees_of_freedom, outermost), (1.0 + confidence) / 2.0), np.float64)
    rise, rise_margin = _difference(levels, outermost, beside, factor)
    before, before_margin = _difference(levels, beside, beyond, factor)
    width, width_before = (
        np.abs(levels.temperatures_c[one] - levels.temperatures_c[beside]) for one in (outermost, beyond)
    )
    known = (beyond != beside) & (before > before_margin) & (rise * width_before < before * width)
    before, width_before = np.where(known, before, 1.0), np.where(known, width_before, 1.0)
    slope = _STEEPER * before / width_before
    advance = np.maximum(rise, 0.0) / slope
    relative = np.hypot(before_margin / before, np.hypot(off_c[beside], off_c[beyond]) / width_before)
    return np.where(known, np.maximum(advance - np.hypot(rise_margin / slope, advance * relative), 0.0), 0.0)


def _difference(levels: LevelMeans, one: Places, other: Places, factor: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return by how much one level is above another, and the margin of that."""
    margin = factor * np.hypot(_at(levels.standard_uncertainties, one), _at(levels.standard_uncertainties, other))
    return _at(levels.means, one) - _at(levels.means, other), margin


def _at(values: FloatArray, place: Places) -> FloatArray:
    return np.asarray(np.take_along_axis(values, place[..., None], axis=-1)[..., 0])


def _may_be_best(levels: LevelMeans, best: Places, confidence: float) -> npt.NDArray[np.bool_]:
    variances = np.square(levels.standard_uncertainties)
    best_variance, best_freedom = (_at(one, best)[..., None] for one in (variances, levels.degrees_of_freedom))
    variance = variances + best_variance
    freedom = combined_freedom((variances, best_variance), (levels.degrees_of_freedom, best_freedom))
    if levels.covariances is not None:
        with_best = np.take_along_axis(levels.covariances, best[..., None, None], axis=-2)[..., 0, :]
        variance = np.maximum(variance - 2.0 * np.nan_to_num(with_best), 0.0)
        freedom = np.minimum(levels.degrees_of_freedom, best_freedom)
    behind = _at(levels.means, best)[..., None] - levels.means
    factor = stdtrit(freedom, (1.0 + confidence) / 2.0)
    return np.asarray(behind <= factor * np.sqrt(variance))


def _parabola_top(levels: LevelMeans, middle: Places) -> FloatArray:
    x0, x1, x2 = (levels.temperatures_c[middle + step] for step in (-1, 0, 1))
    y0, y1, y2 = (_at(levels.means, middle + step) for step in (-1, 0, 1))
    left, right = (x1 - x0) * (y1 - y2), (x1 - x2) * (y1 - y0)
    bend = left - right
    shift = ((x1 - x0) * left - (x1 - x2) * right) / (2.0 * np.where(bend == 0.0, 1.0, bend))
    return np.asarray(x1 - np.where(bend == 0.0, 0.0, shift))
