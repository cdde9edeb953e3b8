"""The studentised range: how far the largest and smallest of several means lie apart by chance."""

from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq
from scipy.special import chdtri, gammaln, ndtr, stdtr, stdtrit

FloatArray = npt.NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
_FEW_NODES, _FEW_WEIGHTS = np.polynomial.legendre.leggauss(40)
_FEW = 6.0
"""Below these degrees of freedom the standard error scatters so much that more nodes are needed."""
_FAR = 8.5
_WIDEST = 17.0
_STEP = 17.0 / 1024.0
_TINY = 1e-13
_MANY = 1e6


def range_probability(spread: float, levels: int, degrees_of_freedom: float) -> float:
    """Return the chance that the studentised range of independent means does not exceed a value.

    Parameters:
        spread: range over the standard error of one mean [ratio].
        levels: number of means, two or more [count].
        degrees_of_freedom: of the standard error [count].

    Equation: ∫ f(s) k ∫ φ(z) (Φ(z) − Φ(z − q s))ᵏ⁻¹ dz ds, f the density of √(χ²_ν/ν), by Gauss–Legendre quadrature

    Reference: Copenhaver & Holland 1988, J. Stat. Comput. Simul. 30, 1 (from memory); worked value equal to
        scipy.stats.studentized_range.cdf(3.5, 3, 10) and to ptukey(3.5, 3, 10) of R.

    >>> round(range_probability(3.5, 3, 10), 6)
    0.922897
    """
    if spread <= 0.0:
        return 0.0
    if levels == 2:
        return float(2.0 * stdtr(degrees_of_freedom, spread / np.sqrt(2.0)) - 1.0)
    freedom = min(degrees_of_freedom, _MANY)
    low, high = (float(np.sqrt(chdtri(freedom, tail) / freedom)) for tail in (1.0 - _TINY, _TINY))
    nodes, weights = (_NODES, _WEIGHTS) if freedom < _FEW else (_FEW_NODES, _FEW_WEIGHTS)
    s, s_weights = low + (high - low) * (nodes + 1.0) / 2.0, weights * (high - low) / 2.0
    log_density = (
        freedom / 2.0 * np.log(freedom / 2.0) - gammaln(freedom / 2.0) + np.log(2.0) + (freedom - 1.0) * np.log(s)
    ) - freedom * np.square(s) / 2.0
    return float(min((np.exp(log_density) * s_weights) @ _range_of_normals(spread * s, levels), 1.0))


def _range_of_normals(width: FloatArray, levels: int) -> FloatArray:
    """Return the chance that the range of independent standard normal values is no wider than each width.

    Read off a fine table by cubic interpolation; the table is made once for each number of values.
    """
    known = _range_table(levels)
    place = np.minimum(width, _WIDEST - _STEP) / _STEP
    left = np.clip(place.astype(np.int64), 1, len(known) - 3)
    t = place - left
    return np.asarray(
        -known[left - 1] * t * (t - 1.0) * (t - 2.0) / 6.0
        + known[left] * (t * t - 1.0) * (t - 2.0) / 2.0
        - known[left + 1] * t * (t + 1.0) * (t - 2.0) / 2.0
        + known[left + 2] * t * (t * t - 1.0) / 6.0
    )


@lru_cache(maxsize=64)
def _range_table(levels: int) -> FloatArray:
    width = np.arange(0.0, _WIDEST + _STEP / 2.0, _STEP)
    half = (2.0 * _FAR + width) / 2.0
    z = -_FAR + half[:, None] * (_NODES + 1.0)
    inside = np.maximum(ndtr(z) - ndtr(z - width[:, None]), 0.0) ** (levels - 1)
    density = np.exp(-np.square(z) / 2.0) / np.sqrt(2.0 * np.pi)
    return np.asarray(levels * half * ((density * inside) @ _WEIGHTS))


@lru_cache(maxsize=1024)
def range_quantile(probability: float, levels: int, degrees_of_freedom: float) -> float:
    """Return the value that the studentised range exceeds with a chance of one minus the probability.

    Parameters:
        probability: chance that the range stays below [fraction].
        levels: number of means [count].
        degrees_of_freedom: of the standard error [count].

    Equation: `range_probability` solved for q

    Reference: printed tables of the studentised range, q(0.95; 3, 10) = 3.88 (from memory).

    >>> round(range_quantile(0.95, 3, 10), 2)
    3.88
    """
    if levels == 2:
        return float(np.sqrt(2.0) * stdtrit(degrees_of_freedom, (1.0 + probability) / 2.0))
    high = 4.0
    while range_probability(high, levels, degrees_of_freedom) < probability:
        high *= 2.0
    return float(brentq(lambda q: range_probability(q, levels, degrees_of_freedom) - probability, 0.0, high))
