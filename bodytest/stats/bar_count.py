"""How many bars: for a wanted half-width of the mean, and to notice a difference that matters."""

import math
from bisect import bisect_left
from collections.abc import Callable

import numpy as np
from scipy.special import chdtri, ndtr, stdtrit

from bodytest.stats.combined_freedom import student_factor
from bodytest.stats.design import FloatArray
from bodytest.stats.simultaneous import FEW
from bodytest.stats.summary import effective_freedom

MOST_BARS = 1000
"""More bars than this are no advice: nobody makes them."""


def bars_for_half_width(
    sd: float, half_width: float, *, confidence: float = 0.95, shared_uncertainty: float = 0.0
) -> int | None:
    """Return the fewest bars of one batch for which the mean is known to within a half-width, scatter being as given.

    Parameters:
        sd: standard deviation of one bar [unit of the quantity].
        half_width: wanted half-width of the confidence interval, above zero [unit of the quantity].
        confidence: of that interval [fraction].
        shared_uncertainty: standard uncertainty that is the same in all bars, such as calibration
            [unit of the quantity].

    Returns:
        bars, at least 2; None when more than `MOST_BARS` would be needed, or no number is enough.

    Equation: smallest n with t(n − 1) √(s²/n + u_shared²) ≤ half-width

    Reference: NIST/SEMATECH e-Handbook 7.2.2.2, with t(n − 1) in place of z. Worked value by hand: s = 1, half-width
        1: t(6; 0.975)/√7 = 0.925, t(5; 0.975)/√6 = 1.049, so 7.

    >>> bars_for_half_width(1.0, 1.0)
    7
    """
    if half_width <= 0.0:
        return None
    return fewest(lambda n: half_width_of(n, sd, confidence, shared_uncertainty) <= half_width)


def fewest(enough: Callable[[int], bool], least: int = 2) -> int | None:
    """Return the fewest bars (or batches, or loads) that are enough.

    Parameters:
        enough: whether so many are; more are never less so [yes or no].
        least: with how many to begin [count].

    Equation: by doubling, then by halving; None when more than `MOST_BARS` would be needed

    Reference: none needed; worked value by hand.

    >>> fewest(lambda n: n * n > 50)
    8
    """
    most = least
    while not enough(most):
        if most > MOST_BARS:
            return None
        most *= 2
    found = bisect_left(range(most), True, lo=least, key=enough)
    return found if found <= MOST_BARS else None


def half_width_of(n: int, sd: float, confidence: float = 0.95, shared_uncertainty: float = 0.0) -> float:
    """Return the half-width of the confidence interval of a mean of n bars that scatter as given.

    Parameters:
        n: bars, at least 2 [count].
        sd: standard deviation of one bar [unit of the quantity].
        confidence: of the interval [fraction].
        shared_uncertainty: as in `bars_for_half_width` [unit of the quantity].

    Equation: t_ν √(s²/n + u_shared²), ν by Welch–Satterthwaite

    Reference: as in `bodytest.stats.summary.summarise_bars`. Worked value by hand: 2.571/√6 = 1.049.

    >>> round(half_width_of(6, 1.0), 3)
    1.049
    """
    scatter = sd**2 / n
    total = scatter + shared_uncertainty**2
    return student_factor(effective_freedom(total, scatter, n - 1.0), confidence) * math.sqrt(total)


def bars_each_for_half_width(
    batch_sd: float, bar_sd: float, batches: int, half_width: float, *, confidence: float = 0.95
) -> int | None:
    """Return the fewest bars of each of a number of batches for which the mean is known to within a half-width.

    Parameters:
        batch_sd: standard deviation between batches [unit of the quantity].
        bar_sd: standard deviation between bars of a batch [unit of the quantity].
        batches: how many there are [count].
        half_width: wanted half-width of the confidence interval [unit of the quantity].
        confidence: of that interval [fraction].

    Returns:
        bars of each batch; None when no sensible number is enough, because the batches differ too much.

    Equation: m = s_bar²/(k h²/t² − s_batch²), t = t(k − 1), rounded up

    Reference: mean of a balanced one-way random effects model, Davies & Goldsmith 1972, 6.4: six batches of five with
        42.00 and 49.51 have a standard error of 19.383, so ± 49.83, which the worked value turns round.

    >>> bars_each_for_half_width(42.00, 49.51, 6, 49.84), bars_each_for_half_width(42.00, 49.51, 6, 44.0)
    (5, None)
    """
    if batches < 2:
        return None
    left = batches * (half_width / student_factor(batches - 1.0, confidence)) ** 2 - batch_sd**2
    if left <= 0.0 or bar_sd**2 > MOST_BARS * left:
        return None
    return max(math.ceil(bar_sd**2 / left), 1)


def bars_to_notice(
    difference: float, sd: float, *, seen_freedom: float | None = None, significance: float = 0.05, power: float = 0.8
) -> int | None:
    """Return the fewest bars of each of two batches with which a difference between them would probably be noticed.

    Parameters:
        difference: smallest difference that matters [unit of the quantity].
        sd: standard deviation of one bar, the same in both [unit of the quantity].
        seen_freedom: degrees of freedom of the scatter that it was seen in; None where it is given [count].
        significance: chance of noticing a difference that is not there, two-sided [fraction].
        power: chance of noticing one that is, over all that the scatter seen allows [fraction].

    Returns:
        bars of each batch; None when more than `MOST_BARS` would be needed.

    Equation: smallest n with P(|d| > t(1 − α/2; ν) √(v₁ + v₂)) ≥ power, d normal about the difference with variance
        2 σ²/n, (n − 1) n v/σ² is χ² with n − 1 degrees of freedom, taken at 24 chances each, ν as two means are
        compared (`bodytest.stats.simultaneous.simultaneous`); averaged over σ = s √(ν/χ²_ν) where s was seen

    Reference: power of the two-sample t test; R's power.t.test(delta = 1, sd = 1, power = 0.8) gives n = 16.71. Worked
        value of few bars: 0.62 of 20 000 simulated pairs of three, 3.07 apart, are noticed (numpy), so more are needed.

    >>> bars_to_notice(1.0, 1.0), bars_to_notice(3.07, 1.0)
    (17, 4)
    """
    if difference <= 0.0:
        return None
    if sd <= 0.0:
        return 2
    distances = difference / sd / _true_over_seen(seen_freedom)
    return fewest(lambda n: _noticing_probability(n, distances, significance) >= power)


def _true_over_seen(freedom: float | None) -> FloatArray:
    """Return what the true standard deviation may be, over the one seen, each as probable as the others."""
    if freedom is None:
        return np.ones(1)
    return np.asarray(np.sqrt(freedom / chdtri(freedom, (np.arange(_STEPS) + 0.5) / _STEPS)))


_STEPS = 100


def _noticing_probability(n: int, distances: FloatArray, significance: float) -> float:
    freedom, spread = _as_compared(n)
    room = stdtrit(freedom, 1.0 - significance / 2.0) * spread
    apart = math.sqrt(n) * distances[:, None, None]
    return float(np.mean(ndtr((apart - room) / math.sqrt(2.0)) + ndtr((-apart - room) / math.sqrt(2.0))))


def _as_compared(n: int) -> tuple[FloatArray, FloatArray]:
    """Return what two means of so many bars each may show: degrees of freedom, and √(v₁ + v₂) over σ/√n."""
    seen = chdtri(n - 1.0, (np.arange(24) + 0.5) / 24) / (n - 1.0)
    first, second = seen[:, None], seen[None, :]
    freedom = (n - 1.0) * np.square(first + second) / (np.square(first) + np.square(second))
    return (freedom + n - 1.0) / 2.0 if n - 1.0 < FEW else freedom, np.sqrt(first + second)


def chance_of_sameness(bars: int, tolerance: float, sd: float, *, confidence: float = 0.95) -> float:
    """Return the chance that two batches that are truly alike are found the same within a tolerance.

    Parameters:
        bars: of each batch, at least 2 [count].
        tolerance: largest difference that does not matter [unit of the quantity].
        sd: standard deviation of one bar, the same in both [unit of the quantity].
        confidence: of the verdict [fraction].

    Equation: P(|d| + t(confidence; ν) √(v₁ + v₂) ≤ tolerance), d normal with variance 2 σ²/n, (n − 1) n v/σ² is χ² with
        n − 1 degrees of freedom, taken at 24 chances each, ν as in `bars_to_notice`

    Reference: power of two one-sided tests, Schuirmann 1987, J. Pharmacokinet. Biopharm. 15, 657 (from memory).
        Worked value: 0.876 of 10⁶ simulated pairs of six bars (numpy, seed 1).

    >>> print(f"{chance_of_sameness(6, 2.0, 1.0):.2f}")
    0.88
    """
    if sd <= 0.0:
        return 1.0
    freedom, spread = _as_compared(bars)
    room = tolerance / sd * math.sqrt(bars) - stdtrit(freedom, confidence) * spread
    return float(np.mean(2.0 * ndtr(np.maximum(room, 0.0) / math.sqrt(2.0)) - 1.0))
