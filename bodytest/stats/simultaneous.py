"""How far two of several means, or the furthest two, lie apart by chance, so that all pairs hold what they claim."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import chdtri, gammaln, ndtr, stdtr, stdtrit

from bodytest.stats.combined_freedom import MANY, combined_freedom
from bodytest.stats.design import FloatArray

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
_FEW_NODES, _FEW_WEIGHTS = np.polynomial.legendre.leggauss(40)
_UNSTEADY = 6.0
"""Below these degrees of freedom the standard error scatters so much that more nodes are needed."""
_FAR = 8.5
_WIDEST = 17.0
_STEP = 17.0 / 1024.0
_TINY = 1e-13


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
    freedom = min(degrees_of_freedom, MANY)
    low, high = (float(np.sqrt(chdtri(freedom, tail) / freedom)) for tail in (1.0 - _TINY, _TINY))
    nodes, weights = (_NODES, _WEIGHTS) if freedom < _UNSTEADY else (_FEW_NODES, _FEW_WEIGHTS)
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


FEW = 4.0
"""Below these degrees of freedom (five bars) two means are judged half way to those of the smaller sample."""
_ENOUGH = 6.0
"""From these degrees of freedom on (seven bars) two or three means are judged by Games and Howell."""
_FOR_EACH_FURTHER = 3.0
"""So many more are asked for with each mean beyond three."""
_UPPER = 0.95
"""A scatter of few bars is weighed at the upper limit that it stays below with this probability."""


@dataclass(frozen=True)
class _Pair:
    """Two of several means."""

    levels: int
    """Means compared."""
    freedom: float
    """Degrees of freedom of the difference."""


@dataclass(frozen=True)
class GamesHowell(_Pair):
    """Pairs of means of many bars: the studentised range."""

    def factor(self, risk: float) -> float:
        """Return the factor of the standard error of a difference whose interval holds with all others."""
        return range_quantile(1.0 - risk, self.levels, self.freedom) / math.sqrt(2.0)

    def risk(self, deviate: float) -> float:
        """Return the risk whose factor a number of standard errors is."""
        return 1.0 - range_probability(deviate * math.sqrt(2.0), self.levels, self.freedom)

    def one_sided(self, deviate: float) -> float:
        """Return the same where only one side counts, more than a half on the wrong side (below 0)."""
        of_side = self.risk(abs(deviate)) / 2.0
        return of_side if deviate >= 0.0 else 1.0 - of_side


@dataclass(frozen=True)
class SharedRisk(_Pair):
    """Pairs of means of few bars: Student's t, each pair at its share of the risk."""

    def factor(self, risk: float) -> float:
        """As `GamesHowell.factor`."""
        of_pair = -math.expm1(math.log1p(-risk) / self._pairs)
        return float(stdtrit(self.freedom, 1.0 - of_pair / 2.0))

    def risk(self, deviate: float) -> float:
        """As `GamesHowell.risk`."""
        return self._of_all(2.0 * float(stdtr(self.freedom, -deviate)))

    def one_sided(self, deviate: float) -> float:
        """As `GamesHowell.one_sided`."""
        return self._of_all(float(stdtr(self.freedom, -deviate)))

    @property
    def _pairs(self) -> float:
        return self.levels * (self.levels - 1) / 2.0

    def _of_all(self, of_pair: float) -> float:
        return 1.0 if of_pair >= 1.0 else -math.expm1(self._pairs * math.log1p(-of_pair))


Simultaneous = GamesHowell | SharedRisk


def simultaneous(variances: tuple[float, float], freedoms: tuple[float, float], levels: int) -> Simultaneous:
    """Return how the difference of two of several means is judged together with all other differences.

    Parameters:
        variances: of both means [unit of the quantity squared].
        freedoms: degrees of freedom of these variances [count].
        levels: means compared, two or more [count].

    Equation: c(α) = q(1 − α; k, ν)/√2, ν = (v₁ + v₂)²/(v₁²/ν₁ + v₂²/ν₂), where the smaller of ν₁ and ν₂ is at least 6,
        and three more for each mean beyond three; else c(α) = t(ν) with 1 − (1 − α)^(1/m) for each of the
        m = k(k − 1)/2 pairs and v ν/χ²(0.05; ν) in place of v in ν, for two means with fewer than five bars in one of
        them also (ν + smaller ν)/2 in place of ν

    Reference: Games & Howell 1976, J. Educ. Stat. 1, 113; Šidák 1967, J. Am. Stat. Assoc. 62, 626 (both from memory);
        χ² limit of a standard deviation, NIST/SEMATECH e-Handbook 7.2.3.1. Worked value: q(0.95; 3, 18)/√2 of printed
        tables, 3.61/1.414 = 2.55 (from memory).

    Notes: Games–Howell calls equal means different in 12 % of cases for 2, 10, 10 and 10 bars of which the two scatter
        three times as much, in 36 % for five means of two bars beside three of thirty; Welch's t does in 11 % for 2 and
        10: a scatter that happens to be small brings the degrees of freedom of the larger sample with it. What is done
        here holds 5.5 % over two to twelve means of 2 to 40 bars whose scatters differ up to tenfold (by simulation,
        tests/bench/comparison_coverage.py).

    >>> round(simultaneous((0.1, 0.1), (9, 9), 3).factor(0.05), 2)
    2.55
    """
    fewer = min(freedoms)
    if fewer >= max(_ENOUGH, _ENOUGH + _FOR_EACH_FURTHER * (levels - 3)):
        return GamesHowell(levels, float(combined_freedom(variances, freedoms, fewer)))
    upper = [v * freedom / float(chdtri(freedom, _UPPER)) for v, freedom in zip(variances, freedoms, strict=True)]
    welch = float(combined_freedom(upper, freedoms, fewer))
    return SharedRisk(levels, (welch + fewer) / 2.0 if levels == 2 and fewer < FEW else welch)
