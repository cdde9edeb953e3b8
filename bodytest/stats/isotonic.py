"""Monotone regression: pooling of neighbours that break the order, and a smooth monotone curve through the result.

Leading axes of ``means`` are data sets, the last axis is the level, such as the temperature of a firing.
"""

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


def non_decreasing(means: npt.ArrayLike, weights: npt.ArrayLike | None = None) -> FloatArray:
    """Return the non-decreasing sequence that is nearest to the means by weighted least squares.

    Parameters:
        means: mean at each level, in order [unit of the quantity].
        weights: weight of each level, all 1 when None [count].

    Equation: fᵢ = max over a ≤ i of min over b ≥ i of the weighted mean of levels a … b, which is what pooling of
        adjacent violators ends with

    Reference: Robertson, Wright, Dykstra, Order Restricted Statistical Inference, 1988, theorem 1.4.4 (from memory);
        worked values from the test suite of scikit-learn, sklearn/tests/test_isotonic.py.

    >>> print(*non_decreasing([3, 7, 5, 9, 8, 7, 10]))
    3.0 6.0 6.0 8.0 8.0 8.0 10.0
    >>> print(*non_decreasing([10, 0, 2]))
    4.0 4.0 4.0
    """
    level_means = np.asarray(means, dtype=np.float64)
    level_weights = np.ones_like(level_means) if weights is None else np.broadcast_to(weights, level_means.shape)
    total = _from_zero(np.cumsum(level_weights, axis=-1))
    weighted = _from_zero(np.cumsum(level_weights * level_means, axis=-1))
    levels = level_means.shape[-1]
    fitted = np.empty_like(level_means)
    best = np.full(level_means.shape, -np.inf)
    for first in range(levels):
        runs = (weighted[..., first + 1 :] - weighted[..., first, None]) / (
            total[..., first + 1 :] - total[..., first, None]
        )
        lowest = np.minimum.accumulate(runs[..., ::-1], axis=-1)[..., ::-1]
        best[..., first:] = np.maximum(best[..., first:], lowest)
        fitted[..., first] = best[..., first]
    return fitted


def _from_zero(sums: FloatArray) -> FloatArray:
    return np.concatenate([np.zeros((*sums.shape[:-1], 1)), sums], axis=-1)


def rising_then_falling(means: npt.ArrayLike, weights: npt.ArrayLike | None = None) -> FloatArray:
    """Return a sequence that rises up to the level with the largest mean and falls from there on.

    Parameters:
        means: as in `non_decreasing`.
        weights: as in `non_decreasing`.

    Equation: `non_decreasing` up to the largest mean, and from it on backwards

    Reference: as `non_decreasing`. Worked value by hand: the fall 9, 6, 7 after the peak becomes 9, 6.5, 6.5.

    >>> print(*rising_then_falling([3, 7, 5, 9, 6, 7]))
    3.0 6.0 6.0 9.0 6.5 6.5
    """
    level_means = np.asarray(means, dtype=np.float64)
    level_weights = np.ones_like(level_means) if weights is None else np.broadcast_to(weights, level_means.shape)
    peak = level_means.argmax(axis=-1)
    fitted = np.empty_like(level_means)
    for place in range(level_means.shape[-1]):
        here = peak == place
        if not here.any():
            continue
        up, down = level_means[here][..., : place + 1], level_means[here][..., place:]
        up_weights, down_weights = level_weights[here][..., : place + 1], level_weights[here][..., place:]
        rising = non_decreasing(up, up_weights)
        falling = non_decreasing(down[..., ::-1], down_weights[..., ::-1])[..., ::-1]
        fitted[here] = np.concatenate([rising, falling[..., 1:]], axis=-1)
    return fitted


def linear_between(positions: npt.ArrayLike, heights: npt.ArrayLike, at: npt.ArrayLike) -> FloatArray:
    """Return the broken line through points, at other positions between the first and the last.

    Parameters:
        positions: of the points, rising, shape (levels,) [°C].
        heights: of the points, shape (…, levels) [unit of the quantity].
        at: where to read, shape (places,) [°C].

    Equation: (1 − w) hᵢ + w hᵢ₊₁, w = (x − xᵢ)/(xᵢ₊₁ − xᵢ)

    Reference: plain linear interpolation; worked value by hand.

    >>> print(*linear_between([0, 10, 20], [0, 1, 5], [5, 15]))
    0.5 3.0
    """
    left, part, _ = _places(np.asarray(positions, dtype=np.float64), np.asarray(at, dtype=np.float64))
    level = np.asarray(heights, dtype=np.float64)
    return np.asarray((1.0 - part) * level[..., left] + part * level[..., left + 1])


def smooth_between(positions: npt.ArrayLike, heights: npt.ArrayLike, at: npt.ArrayLike) -> FloatArray:
    """Return a smooth curve through points that rises and falls only where the points do.

    Parameters:
        positions: as in `linear_between`, at least three.
        heights: as in `linear_between`.
        at: as in `linear_between`.

    Equation: cubic Hermite pieces; slope at a point is the weighted harmonic mean of the slopes beside it, zero where
        they differ in sign

    Reference: Fritsch & Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300 (from memory); equal to
        scipy.interpolate.PchipInterpolator, which gives the worked value.

    >>> print(*smooth_between([0, 10, 20], [0, 1, 5], [5, 15]).round(6))
    0.3 2.5125
    """
    points = np.asarray(positions, dtype=np.float64)
    level = np.asarray(heights, dtype=np.float64)
    left, part, width = _places(points, np.asarray(at, dtype=np.float64))
    slopes = _slopes(points, level)
    rest = 1.0 - part
    from_left = (1.0 + 2.0 * part) * rest**2 * level[..., left] + part * rest**2 * width * slopes[..., left]
    right = left + 1
    from_right = part**2 * (3.0 - 2.0 * part) * level[..., right] - part**2 * rest * width * slopes[..., right]
    return np.asarray(from_left + from_right)


def _places(points: FloatArray, at: FloatArray) -> tuple[npt.NDArray[np.int64], FloatArray, FloatArray]:
    """Return for each place the point to its left, how far it is to the next, and that distance."""
    left = np.clip(np.searchsorted(points, at, side="right") - 1, 0, len(points) - 2).astype(np.int64)
    width = points[left + 1] - points[left]
    return left, (at - points[left]) / width, width


def _slopes(points: FloatArray, level: FloatArray) -> FloatArray:
    widths = np.diff(points)
    between = np.diff(level, axis=-1) / widths
    before, after = between[..., :-1], between[..., 1:]
    near, far = 2.0 * widths[1:] + widths[:-1], widths[1:] + 2.0 * widths[:-1]
    same_sign = before * after > 0.0
    harmonic = (near + far) / (near / np.where(same_sign, before, 1.0) + far / np.where(same_sign, after, 1.0))
    slopes = np.zeros_like(level)
    slopes[..., 1:-1] = np.where(same_sign, harmonic, 0.0)
    slopes[..., 0] = _end_slope(widths[0], widths[1], between[..., 0], between[..., 1])
    slopes[..., -1] = _end_slope(widths[-1], widths[-2], between[..., -1], between[..., -2])
    return slopes


def _end_slope(width: float, next_width: float, slope: FloatArray, next_slope: FloatArray) -> FloatArray:
    """Return the three-point slope at an end, held back so that the curve does not turn."""
    end = ((2.0 * width + next_width) * slope - width * next_slope) / (width + next_width)
    end = np.where(end * slope <= 0.0, 0.0, end)
    return np.asarray(np.where((slope * next_slope <= 0.0) & (np.abs(end) > 3.0 * np.abs(slope)), 3.0 * slope, end))
