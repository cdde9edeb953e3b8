"""A decision on a limit that says its risk, and how many further bars would probably settle an open one."""

import math
from typing import Literal

from scipy.special import nctdtr, stdtrit

from bodytest.stats.summary import effective_freedom

Decision = Literal["meets", "does not meet", "cannot tell yet"]

MOST_FURTHER_BARS = 200
"""More further bars than this are no advice: nobody makes them."""


def decide(
    mean: float, standard_uncertainty: float, degrees_of_freedom: float, limit: float, *, confidence: float = 0.95
) -> Decision:
    """Decide whether the true mean is at or below a limit, with a stated risk of being wrong.

    Parameters:
        mean: mean seen [unit of the quantity].
        standard_uncertainty: its combined standard uncertainty [unit of the quantity].
        degrees_of_freedom: of that uncertainty [count].
        limit: highest mean that is accepted [unit of the quantity].
        confidence: one minus the risk of either wrong statement [fraction].

    Equation: meets when mean + t u ≤ limit, does not meet when mean − t u > limit, t = t(confidence; ν) one-sided

    Reference: JCGM 106:2012, guarded acceptance and guarded rejection; ISO/IEC 17025:2017 7.8.6 (decision rule).
        Worked value by hand: t(0.95; 9) = 1.833, so 2.80 ± 0.10 meets 3.0 (2.983) and 2.85 ± 0.10 does not yet.

    Notes: The chance of `meets` for a body whose true mean lies above the limit is at most 1 − confidence, and so is
        that of `does not meet` for one at or below it.

    >>> [decide(mean, 0.10, 9, 3.0) for mean in (2.80, 2.85, 3.25)]
    ['meets', 'cannot tell yet', 'does not meet']
    """
    margin = float(stdtrit(degrees_of_freedom, confidence)) * standard_uncertainty
    if mean + margin <= limit:
        return "meets"
    if mean - margin > limit:
        return "does not meet"
    return "cannot tell yet"


def further_bars(  # noqa: PLR0913 - mean, scatter, number, limit and two risks are what the question is made of
    mean: float,
    sd: float,
    n: int,
    limit: float,
    *,
    confidence: float = 0.95,
    power: float = 0.8,
    shared_uncertainty: float = 0.0,
) -> int | None:
    """Return how many further bars would probably settle an open decision, if mean and scatter are as seen so far.

    Parameters:
        mean: mean seen [unit of the quantity].
        sd: standard deviation of one bar [unit of the quantity].
        n: bars seen [count].
        limit: highest mean that is accepted [unit of the quantity].
        confidence: of the decision [fraction].
        power: how probably it is to be settled [fraction].
        shared_uncertainty: part of the mean's standard uncertainty that more bars do not lessen, such as calibration
            [unit of the quantity].

    Returns:
        further bars; None when the mean sits on the limit or when more than `MOST_FURTHER_BARS` would be needed.

    Equation: smallest N with P(T ≥ t(confidence; ν)·√(1 + N u_shared²/s²)) ≥ power, T noncentral t with N − 1 degrees
        of freedom and noncentrality √N |mean − limit|/s; further bars N − n

    Reference: power of the one-sample t test, NIST/SEMATECH e-Handbook 7.2.2.2; its example (difference of one SD,
        risks 0.05 and 0.10) needs 11 bars in all.

    >>> further_bars(2.0, 1.0, 3, 3.0, power=0.9)
    8
    """
    distance = abs(mean - limit)
    if n < 2 or distance == 0.0:
        return None
    for further in range(1, MOST_FURTHER_BARS + 1):
        if settling_probability(n + further, distance, sd, confidence, shared_uncertainty) >= power:
            return further
    return None


def settling_probability(
    bars: int, distance: float, sd: float, confidence: float = 0.95, shared_uncertainty: float = 0.0
) -> float:
    """Return how probably a number of bars settles on which side of a limit the true mean lies.

    Parameters:
        bars: bars in all [count].
        distance: of the true mean from the limit [unit of the quantity].
        sd: standard deviation of one bar [unit of the quantity].
        confidence: of the decision [fraction].
        shared_uncertainty: as in `further_bars` [unit of the quantity].

    Equation: as in `further_bars`

    Reference: as in `further_bars`; R's power.t.test(n = 11, delta = 1, sd = 1, sig.level = 0.05, type =
        "one.sample", alternative = "one.sided") gives 0.9245.

    >>> round(settling_probability(11, 1.0, 1.0), 4)
    0.9245
    """
    if sd <= 0.0:
        return 1.0 if distance > float(stdtrit(1e6, confidence)) * shared_uncertainty else 0.0
    total = sd**2 / bars + shared_uncertainty**2
    factor = float(stdtrit(effective_freedom(total, sd**2 / bars, bars - 1.0), confidence))
    threshold = factor * math.sqrt(total * bars) / sd
    return 1.0 - float(nctdtr(bars - 1.0, math.sqrt(bars) * distance / sd, threshold))
