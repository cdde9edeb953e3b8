"""The range (largest minus smallest) of a few normal values whose scatter is known from bars only."""

from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt
from scipy.special import chdtri, ndtr

Array = npt.NDArray[np.float64]
_NODES = 96
_REACH = 8.5
"""A normal value is no further from its mean than so many standard deviations, for our purposes."""
EXACT_FROM = 1e5
"""Degrees of freedom from which a standard deviation counts as known."""


@dataclass(frozen=True)
class Scatter:
    """Variance of one finished piece: a part estimated from bars and a part that is given."""

    from_bars: float
    """Variance estimated from bars, mm²."""
    degrees_of_freedom: float
    """Degrees of freedom of that estimate."""
    given: float
    """Variance stated by the user, mm²."""

    def deviations(self) -> tuple[Array, Array]:
        """Return standard deviations of one piece that the bars leave possible, with their weights.

        Variances are ν s²/χ² with ν degrees of freedom; the nodes are those of Gauss and Legendre over probability.
        """
        if self.degrees_of_freedom >= EXACT_FROM:
            return np.array([self.known()]), np.ones(1)
        place, weight = _unit_nodes()
        # Nodes are drawn to both ends, where the quantile of χ² is steep.
        probability, weight = place**2 * (3.0 - 2.0 * place), weight * 6.0 * place * (1.0 - place)
        variance = self.from_bars * self.degrees_of_freedom / chdtri(self.degrees_of_freedom, probability)
        return np.sqrt(variance + self.given), weight

    def known(self) -> float:
        """Return the standard deviation as if the bars had shown it exactly."""
        return float(np.sqrt(self.from_bars + self.given))


def chance_of_range(scatter: Scatter, pieces: int, limit: float) -> float:
    """Return the probability that ``pieces`` values lie within ``limit`` of each other.

    For two it is that of Student's t; a Gauss–Legendre sum over what the scatter can be makes the rest.

    >>> round(chance_of_range(Scatter(1.0, 9.0, 0.0), 2, 2.262157 * 2**0.5), 4)
    0.95
    """
    deviations, weights = scatter.deviations()
    chances = np.array([_of_known(limit / deviation if deviation > 0 else np.inf, pieces) for deviation in deviations])
    return float(min(weights @ chances, 1.0))


def chance_above(scatter: Scatter, clearance: float) -> float:
    """Return the probability that the difference of two values about ``clearance`` apart stays above zero.

    >>> round(chance_above(Scatter(1.0, 9.0, 0.0), 0.0), 9)
    0.5
    """
    deviations, weights = scatter.deviations()
    ratio = np.divide(clearance, deviations * np.sqrt(2.0), out=np.full_like(deviations, np.inf), where=deviations > 0)
    return float(min(weights @ ndtr(ratio), 1.0))


def _of_known(limit: float, pieces: int) -> float:
    """Return P(range ≤ limit) of standard normal values: n ∫ φ(x) [Φ(x + limit) − Φ(x)]ⁿ⁻¹ dx."""
    if not np.isfinite(limit) or limit > 2 * _REACH:
        return 1.0
    if pieces == 2:
        return float(2.0 * ndtr(limit / np.sqrt(2.0)) - 1.0)
    probability, weight = _unit_nodes()
    x = -_REACH + 2 * _REACH * probability
    density = np.exp(-0.5 * x**2) / np.sqrt(2.0 * np.pi)
    inside = density * (ndtr(x + limit) - ndtr(x)) ** (pieces - 1)
    return float(2 * _REACH * pieces * (weight @ inside))


@cache
def _unit_nodes() -> tuple[Array, Array]:
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    return (nodes + 1.0) / 2.0, weights / 2.0
