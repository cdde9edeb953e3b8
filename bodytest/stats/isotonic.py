"""Monotone regression up to a peak and beyond it.

Leading axes of ``means`` are data sets, the last axis is the level, such as the temperature of a firing.
"""

import numpy as np
import numpy.typing as npt
from scipy.optimize import isotonic_regression

FloatArray = npt.NDArray[np.float64]


def rising_then_falling(means: npt.ArrayLike, weights: npt.ArrayLike | None = None) -> FloatArray:
    """Return the sequence nearest to the means that rises up to the level with the largest mean and falls after it.

    Parameters:
        means: mean at each level, in order, shape (…, levels) [unit of the quantity].
        weights: weight of each level, shape (levels,), all 1 when None [count].

    Equation: weighted least squares, non-decreasing up to the largest mean and non-increasing from it on

    Reference: Robertson, Wright, Dykstra 1988, Order Restricted Statistical Inference (from memory), computed by
        `scipy.optimize.isotonic_regression`. Worked value by hand: the fall 9, 6, 7 after the peak becomes 9, 6.5, 6.5.

    >>> print(*rising_then_falling([3, 7, 5, 9, 6, 7]))
    3.0 6.0 6.0 9.0 6.5 6.5
    """
    level_means = np.asarray(means, dtype=np.float64)
    level_weights = np.ones(level_means.shape[-1]) if weights is None else np.asarray(weights, dtype=np.float64)
    rows = level_means.reshape(-1, level_means.shape[-1])
    return np.array([_one(row, level_weights) for row in rows]).reshape(level_means.shape)


def _one(means: FloatArray, weights: FloatArray) -> FloatArray:
    peak = int(means.argmax())
    rising = isotonic_regression(means[: peak + 1], weights=weights[: peak + 1]).x
    falling = isotonic_regression(means[peak:], weights=weights[peak:], increasing=False).x
    return np.concatenate([rising, falling[1:]])
