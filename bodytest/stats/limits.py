"""How many further bars would probably settle an open decision on a limit."""

from bisect import bisect_left

import numpy as np
from scipy.special import chdtr, chdtri, stdtrit

PROBABLY = 2.0 / 3.0
"""What "would probably settle it" means: in two cases of three (likely, on the scale of the IPCC, from memory)."""
MOST_FURTHER_BARS = 200
"""More further bars than this are no advice: nobody makes them."""
_CHANCES = (np.arange(48) + 0.5) / 48
"""Chances at which the true SD is taken."""
_DEVIATES = np.linspace(-5.0, 5.0, 201)
"""Standard normal deviates at which the mean of the further bars is taken."""
_WEIGHTS = np.exp(-np.square(_DEVIATES) / 2.0) / np.exp(-np.square(_DEVIATES) / 2.0).sum()


def further_bars(  # noqa: PLR0913 - mean, scatter, number, limit and two risks are what the question is made of
    mean: float,
    sd: float,
    n: int,
    limit: float,
    *,
    confidence: float = 0.95,
    power: float = PROBABLY,
    shared_uncertainty: float = 0.0,
) -> int | None:
    """Return how many further bars would probably settle an open decision, judged by the bars seen so far.

    Parameters:
        mean: mean seen [unit of the quantity].
        sd: standard deviation of one bar, as seen [unit of the quantity].
        n: bars seen [count].
        limit: end of the window that is nearer [unit of the quantity].
        confidence: of the decision [fraction].
        power: how probably it is to be settled [fraction].
        shared_uncertainty: part of the mean's standard uncertainty that more bars do not lessen, such as calibration
            [unit of the quantity].

    Returns:
        further bars; None when the mean sits on the limit or when more than `MOST_FURTHER_BARS` would be needed.

    Equation: smallest m with `settling_probability` ≥ power

    Reference: as in `settling_probability`. Worked value: five bars with a mean one SD below the limit,
        undecided at 99 %; a simulation of 10⁶ trials gives 0.806 for 19 further bars.

    >>> further_bars(2.0, 1.0, 5, 3.0, confidence=0.99, power=0.8)
    18
    """
    distance = abs(mean - limit)
    if n < 2 or distance == 0.0 or sd <= 0.0:
        return None

    def settles(further: int) -> bool:
        return settling_probability(further, distance / sd, n, confidence, shared_uncertainty / sd) >= power

    further = bisect_left(range(MOST_FURTHER_BARS + 1), True, lo=1, key=settles)
    return further if further <= MOST_FURTHER_BARS else None


def settling_probability(
    further: int, distance: float, n: int, confidence: float = 0.95, shared_uncertainty: float = 0.0
) -> float:
    """Return how probably further bars, taken together with those seen, settle on which side of a limit the mean lies.

    Neither the true mean nor the true scatter is taken to be as seen: both may be anything that the bars seen allow.

    Parameters:
        further: further bars, m [count].
        distance: of the mean seen from the limit, over the SD seen [ratio].
        n: bars seen [count].
        confidence: of the decision [fraction].
        shared_uncertainty: as in `further_bars`, over the SD seen [ratio].

    Equation: P(|M − limit| > t √(S²/N + u_shared²)), N = n + m, over σ² = (n − 1) s²/χ²(n − 1),
        M = mean + z σ √(m/(n N)), (N − 1) S² = (n − 1) s² + z² σ² + σ² χ²(m − 1)

    Reference: predictive distribution of the normal model with the usual flat prior, Gelman et al., Bayesian Data
        Analysis, 3.2 (from memory); over the true mean and SD it averages the power of the one-sample t test. Worked
        value: a simulation of 10⁶ trials gives 0.8066.

    >>> round(settling_probability(19, 1.0, 5, 0.99), 2)
    0.81
    """
    variances = (n - 1.0) / chdtri(n - 1.0, _CHANCES)[:, None]
    bars = n + further
    distances = distance + _DEVIATES * np.sqrt(variances * further / (n * bars))
    total = variances / bars + shared_uncertainty**2
    freedom = (bars - 1.0) * (total * bars / variances - shared_uncertainty**2 / total) ** 2
    allowed = np.square(distances / stdtrit(freedom, confidence)) - shared_uncertainty**2
    left = bars * (bars - 1.0) * allowed - (n - 1.0) - variances * np.square(_DEVIATES)
    if further == 1:
        settled = (left > 0.0).astype(np.float64)
    else:
        settled = chdtr(further - 1.0, np.maximum(left, 0.0) / variances)
    return float(settled.mean(axis=0) @ _WEIGHTS)
