"""How many further bars would probably settle an open decision on a limit, by trying it out."""

from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.special import chdtri, ndtri, stdtrit

from bodytest.stats.design import FloatArray
from bodytest.stats.skew import Positive, upper_limit
from bodytest.stats.summary import effective_freedom

PROBABLY = 2.0 / 3.0
"""What "would probably settle it" means: in two cases of three (likely, on the scale of the IPCC, from memory)."""
MOST_FURTHER_BARS = 200
"""More further bars than this are no advice: nobody makes them."""
_CHANCES = np.outer(np.sqrt((2.0, 3.0, 5.0)), np.arange(3000) + 0.5) % 1.0
"""Points spread evenly, at which the true SD, the scatter of the further bars and their mean are taken."""


@dataclass(frozen=True)
class Seen:
    """What the bars seen so far showed."""

    mean: float
    """Mean [unit of the quantity]."""
    sd: float
    """Standard deviation of one bar; of the mean of one batch or load where several are counted [unit of the
    quantity]."""
    n: int
    """Bars, or batches or loads [count]."""
    shared_uncertainty: float = 0.0
    """Part of the mean's standard uncertainty that more bars do not lessen, such as calibration [unit of the
    quantity]."""
    values: Positive | None = None
    """How the bars scatter where they cannot truly be negative [unit of the quantity]."""


def further_bars(seen: Seen, limit: float, *, confidence: float = 0.95, power: float = PROBABLY) -> int | None:
    """Return how many further bars would probably settle an open decision, judged by the bars seen so far.

    Parameters:
        seen: what they showed.
        limit: end of the window that is nearer [unit of the quantity].
        confidence: of the decision [fraction].
        power: how probably it is to be settled [fraction].

    Returns:
        further bars; None when the mean sits on the limit or when more than `MOST_FURTHER_BARS` would be needed.

    Equation: smallest m with `settling_probability` ≥ power

    Reference: as in `settling_probability`. Worked value: five bars with a mean one SD below the limit,
        undecided at 99 %; a simulation of 10⁶ trials gives 0.806 for 19 further bars.

    >>> further_bars(Seen(2.0, 1.0, 5), 3.0, confidence=0.99, power=0.8)
    18
    """
    if seen.n < 2 or seen.mean == limit or seen.sd <= 0.0:
        return None

    def settles(further: int) -> bool:
        return settling_probability(further, seen, limit, confidence) >= power

    further = bisect_left(range(MOST_FURTHER_BARS + 1), True, lo=1, key=settles)
    return further if further <= MOST_FURTHER_BARS else None


def settling_probability(further: int, seen: Seen, limit: float, confidence: float = 0.95) -> float:
    """Return how probably further bars, taken together with those seen, settle on which side of a limit the mean lies.

    Neither the true mean nor the true scatter is taken to be as seen: both may be anything that the bars seen allow.

    Parameters:
        further: further bars, m [count].
        seen: what the bars showed so far.
        limit: end of the window [unit of the quantity].
        confidence: of the decision [fraction].

    Equation: share of N = n + m bars whose mean M, known to √(S²/N + u_shared²), has its lower or upper confidence
        limit (`bodytest.stats.skew.upper_limit`) beyond the limit, σ² = (n − 1) s²/χ²(n − 1),
        M = mean + z σ √(m/(n N)), (N − 1) S² = (n − 1) s² + z² σ² + σ² χ²(m − 1)

    Reference: predictive distribution of the normal model with the usual flat prior, Gelman et al., Bayesian Data
        Analysis, 3.2 (from memory); over the true mean and SD it averages the power of the one-sample t test. Worked
        value: a simulation of 10⁶ trials gives 0.8066.

    Notes: It is the average over where the mean may truly lie: nearer to the limit than it looked, fewer tests are
        settled (a third of those a quarter of an SD from it), farther more (tests/bench/promises.md).

    >>> round(settling_probability(19, Seen(2.0, 1.0, 5), 3.0, 0.99), 2)
    0.81
    """
    bars, squares = seen.n + further, (seen.n - 1.0) * seen.sd**2
    variances, deviates = squares / _chi_squares(seen.n - 1, 0), ndtri(_CHANCES[2])
    mean = seen.mean + deviates * np.sqrt(variances * further / (seen.n * bars))
    scatter = (squares + variances * (np.square(deviates) + _chi_squares(further - 1, 1))) / (bars - 1.0) / bars
    shared = seen.shared_uncertainty**2
    total = scatter + shared
    expected = seen.sd**2 / bars + shared
    freedom = effective_freedom(expected, seen.sd**2 / bars, bars - 1.0)
    values = seen.values and replace(seen.values, sd=seen.values.sd / seen.sd * np.sqrt(scatter * bars))
    below = upper_limit(mean, np.sqrt(total), freedom, values, confidence) <= limit
    above = mean - stdtrit(freedom, confidence) * np.sqrt(total) > limit
    return float(np.mean(below | above))


@lru_cache(maxsize=512)
def _chi_squares(freedom: int, kind: int) -> FloatArray:
    return np.asarray(chdtri(freedom, _CHANCES[kind]) if freedom else np.zeros(_CHANCES.shape[1]))
