"""Comparing means: are they different, are they the same within a tolerance, or can nobody tell yet."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import fdtrc

from bodytest.stats.simultaneous import SharedRisk, Simultaneous, simultaneous

Verdict = Literal["same within tolerance", "different", "cannot tell yet"]


@dataclass(frozen=True)
class LevelMean:
    """Mean of one of the things compared."""

    mean: float
    """Mean [unit of the quantity]."""
    variance: float
    """Square of its standard uncertainty [unit squared]."""
    degrees_of_freedom: float
    """Of that uncertainty."""


@dataclass(frozen=True)
class WelchAnova:
    """Test that all means are equal, without taking the scatter to be equal."""

    statistic: float
    """F."""
    between_freedom: float
    """Degrees of freedom between."""
    within_freedom: float
    """Degrees of freedom within."""
    p: float
    """Chance of an F at least as large when all means are equal."""


@dataclass(frozen=True)
class MeanDifference:
    """The difference of two of several means, all differences judged together."""

    first: int
    """Position of the mean that is subtracted."""
    second: int
    """Position of the other."""
    difference: float
    """Second minus first [unit of the quantity]."""
    low: float
    """Lower end of the simultaneous confidence interval."""
    high: float
    """Upper end of it."""
    p: float
    """Chance of a difference at least as large anywhere among equal means."""
    same_p: float | None
    """Risk at which the two would be called the same within the tolerance; None without a tolerance."""
    verdict: Verdict
    """The three-way verdict."""


def level_mean(values: npt.ArrayLike) -> LevelMean:
    """Return mean and variance of the mean of plain independent values.

    Parameters:
        values: two or more [unit of the quantity].

    Equation: v = s²/n, ν = n − 1

    Reference: NIST/SEMATECH e-Handbook 7.2.2; its particle counts have s = 6.567 and mean 53.7.

    >>> counts = level_mean([50, 48, 44, 56, 61, 52, 53, 55, 67, 51])
    >>> print(f"{counts.mean:.1f} {math.sqrt(10 * counts.variance):.3f}")
    53.7 6.567
    """
    found = np.asarray(values, dtype=np.float64)
    return LevelMean(float(found.mean()), float(found.var(ddof=1)) / found.size, found.size - 1.0)


def welch_anova(levels: Sequence[LevelMean]) -> WelchAnova | None:
    """Return Welch's analysis of variance, None where some mean has no scatter at all.

    Parameters:
        levels: two or more means [unit of the quantity].

    Equation: w = 1/v, F = Σ w (m − m_w)²/(k − 1) / (1 + 2 (k − 2) λ/(k² − 1)), λ = Σ (1 − w/Σw)²/ν,
        with k − 1 and (k² − 1)/(3 λ) degrees of freedom

    Reference: Welch 1951, Biometrika 38, 330 (from memory); worked value equal to R's
        oneway.test(y ~ g) on NIST/SEMATECH e-Handbook 7.4.3, F = 9.0237, p = 0.009051.

    >>> groups = [6.9, 5.4, 5.8, 4.6, 4.0], [8.3, 6.8, 7.8, 9.2, 6.5], [8.0, 10.5, 8.1, 6.9, 9.3]
    >>> found = welch_anova([level_mean(group) for group in groups])
    >>> print(f"{found.statistic:.4f} {found.p:.6f}")
    9.0237 0.009051
    """
    if any(level.variance <= 0.0 for level in levels):
        return None
    k = len(levels)
    means = np.array([level.mean for level in levels])
    weights = np.array([1.0 / level.variance for level in levels])
    centre = (weights * means).sum() / weights.sum()
    freedoms = np.array([level.degrees_of_freedom for level in levels])
    spread = float((np.square(1.0 - weights / weights.sum()) / freedoms).sum())
    between = float((weights * np.square(means - centre)).sum()) / (k - 1)
    statistic = between / (1.0 + 2.0 * (k - 2) * spread / (k * k - 1.0))
    within_freedom = (k * k - 1.0) / (3.0 * spread)
    return WelchAnova(statistic, k - 1.0, within_freedom, float(fdtrc(k - 1.0, within_freedom, statistic)))


def compare_means(
    levels: Sequence[LevelMean],
    *,
    tolerance: float | None = None,
    confidence: float = 0.95,
    paired: Mapping[tuple[int, int], LevelMean] | None = None,
) -> tuple[MeanDifference, ...]:
    """Return every difference of two means with its simultaneous interval and a three-way verdict.

    Parameters:
        levels: two or more means [unit of the quantity].
        tolerance: largest difference that does not matter [unit of the quantity].
        confidence: of all intervals together [fraction]; 1 − confidence is the risk α of any wrong verdict of each
            kind.
        paired: second minus first for pairs of positions whose bars are the same, each compared with itself
            [unit of the quantity].

    Equation: d ± c(α) √(v₁ + v₂), c as in `bodytest.stats.simultaneous.simultaneous`; the same within the tolerance
        when the interval with α on either side lies within it (two one-sided tests), else different when the first
        interval leaves out zero, else cannot tell yet. Bars compared with themselves: d and v = s²/n of their own
        differences, and t(n − 1) at the share of the risk that each pair takes

    Reference: Games & Howell 1976, J. Educ. Stat. 1, 113; Schuirmann 1987, J. Pharmacokinet. Biopharm. 15, 657 (both
        from memory). Worked value: 99 % intervals that R's rstatix gives for published data, in the test suite of
        statsmodels: mental minus medical 1.8889, 0.7123 to 3.0654.

    >>> medical, mental = level_mean([1, 2, 2, 2, 3, 2, 3, 1, 3]), level_mean([4, 4, 5, 3, 4, 4, 4])
    >>> physical = level_mean([4, 4, 3, 5, 4, 1, 1, 2, 3, 3])
    >>> found = compare_means([medical, mental, physical], confidence=0.99)[0]
    >>> print(f"{found.difference:.4f} {found.low:.4f} {found.high:.4f} {found.verdict}")
    1.8889 0.7123 3.0654 different
    """
    known = paired or {}
    found = []
    for pair in combinations(range(len(levels)), 2):
        same = known.get(pair)
        difference, family = (
            (same, SharedRisk(len(levels), same.degrees_of_freedom))
            if same
            else _of_strangers(levels[pair[0]], levels[pair[1]], len(levels))
        )
        found.append(_judged(pair, difference, family, tolerance, confidence))
    return tuple(found)


def _of_strangers(first: LevelMean, second: LevelMean, levels: int) -> tuple[LevelMean, Simultaneous]:
    """Return the difference of the means of different bars, and how it is judged together with the others."""
    freedoms = (first.degrees_of_freedom, second.degrees_of_freedom)
    family = simultaneous((first.variance, second.variance), freedoms, levels)
    return LevelMean(second.mean - first.mean, first.variance + second.variance, family.freedom), family


def _judged(
    pair: tuple[int, int], found: LevelMean, family: Simultaneous, tolerance: float | None, confidence: float
) -> MeanDifference:
    difference, risk, error = found.mean, 1.0 - confidence, math.sqrt(found.variance)
    half = family.factor(risk) * error
    same_p = None if tolerance is None else _same_p(abs(difference), tolerance, error, family)
    low, high = difference - half, difference + half
    verdict: Verdict = "cannot tell yet"
    if same_p is not None and same_p <= risk:
        verdict = "same within tolerance"
    elif low > 0.0 or high < 0.0:
        verdict = "different"
    p = _p(abs(difference), error, family)
    return MeanDifference(*pair, difference, low, high, p, same_p, verdict)


def _p(distance: float, error: float, family: Simultaneous) -> float:
    if error <= 0.0:
        return 0.0 if distance > 0.0 else 1.0
    return family.risk(distance / error)


def _same_p(distance: float, tolerance: float, error: float, family: Simultaneous) -> float:
    """Return the larger p of both one-sided tests, all differences judged together."""
    room = tolerance - distance
    if error <= 0.0:
        return 0.0 if room > 0.0 else 1.0 if room < 0.0 else 0.5
    return family.one_sided(room / error)
