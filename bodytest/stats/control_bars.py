"""Bars of a control body that stand in every load: what of a difference is the kiln, what the clay."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodytest.stats.combined_freedom import MANY, student_factor


@dataclass(frozen=True)
class LoadHistory:
    """What control bars say of loads, in the order given."""

    differences: tuple[float, ...]
    """Mean of the control bars of each load less their mean over all loads [unit of the quantity]."""
    uncertainties: tuple[float, ...]
    """Standard uncertainty of each difference, two of which hold 95 % [unit of the quantity]."""
    load_sd: float
    """Standard deviation between loads, the scatter of bars taken off [unit of the quantity]."""
    noise_sd: float = 0.0
    """Standard deviation of the mean of a load's control bars from the scatter of bars alone [unit of the quantity]."""


@dataclass(frozen=True)
class CorrectedMean:
    """A mean as measured and as it would be in the mean of all loads."""

    measured_uncertainty: float
    """Standard uncertainty of the mean as measured as one of all loads: bars, and the scatter between loads."""
    corrected: float | None
    """Less the difference of its load; None without control bars in it."""
    corrected_uncertainty: float | None
    """Its standard uncertainty: bars, and what the control bars leave open."""


def load_history(means: Sequence[float], sizes: Sequence[int], bar_sd: float) -> LoadHistory:
    """Return by how much each load differs from the mean of all, as the control bars have it.

    Parameters:
        means: mean of the control bars of each load, two or more [unit of the quantity].
        sizes: control bars in each [count].
        bar_sd: standard deviation between control bars of one load [unit of the quantity].

    Equation: d = m − Σ m/L, u² = f² (s²/n (1 − 2/L) + Σ s²/n/L²), f as `few_known` of the Σ (n − 1) that s is known by,
        σ_load² = max(0, Σ d²/(L − 1) − mean of s²/n)

    Reference: analysis of variance of one factor (NIST/SEMATECH e-Handbook 7.4.3); propagation, JCGM 100:2008 5.1.2.
        Worked values by hand: three loads of two bars, s² = 0.02: 0.01 (1/3) + 0.03/9 = 0.00667, f = 3.182/1.960.

    >>> found = load_history([12.0, 12.4, 11.9], [2, 2, 2], math.sqrt(0.02))
    >>> [round(one, 2) for one in found.differences], round(found.uncertainties[0], 4), round(found.load_sd, 3)
    ([-0.1, 0.3, -0.2], 0.1326, 0.245)
    """
    loads = len(means)
    differences = np.asarray(means, dtype=np.float64) - float(np.mean(means))
    noise = bar_sd**2 / np.asarray(sizes, dtype=np.float64)
    squares = few_known(sum(sizes) - loads) ** 2 * (noise * (1.0 - 2.0 / loads) + noise.sum() / loads**2)
    between = float(np.square(differences).sum()) / (loads - 1) - float(noise.mean())
    return LoadHistory(
        tuple(map(float, differences)),
        tuple(map(float, np.sqrt(squares))),
        math.sqrt(max(between, 0.0)),
        math.sqrt(float(noise.mean())),
    )


def few_known(degrees_of_freedom: float) -> float:
    """Return by how much the standard uncertainty from few readings grows, so that two of them hold 95 % all the same.

    Parameters:
        degrees_of_freedom: of the standard deviation that it comes from; at least 1 is taken [count].

    Equation: t(0.975; ν)/z(0.975); from ν = 4 on within 2 % of √(ν/(ν − 2))

    Reference: JCGM 101:2008 6.4.9.4 (standard deviation of the t distribution, from memory). Worked value by hand:
        2.776/1.960.

    >>> round(few_known(4), 3)
    1.417
    """
    return student_factor(max(degrees_of_freedom, 1.0), 0.95) / student_factor(MANY, 0.95)


def corrected_for_loads(
    mean: float, uncertainty: float, bars: Sequence[int], history: LoadHistory, loads: Sequence[int | None]
) -> CorrectedMean:
    """Return the mean of a batch as measured and as corrected for the loads that its bars stood in.

    Parameters:
        mean: of the bars [unit of the quantity].
        uncertainty: standard uncertainty of the mean from the scatter of its bars, few of them allowed for
            [unit of the quantity].
        bars: bars of the batch in each of its loads [count].
        history: what control bars say of loads.
        loads: position of each of these loads in the history; None for one without control bars, and then nothing is
            corrected [position].

    Equation: y − Σ w d, w the share of the bars; u² = u_bars² + Σ w² u_d²; as measured
        u² = u_bars² − Σ w² v + Σ w² f² (σ_load² + v), f as `few_known` of L − 1; v = min(u_bars²/Σ w², u₀²) is what the
        scatter of the loads' means vouches for besides, u₀² the noise of bars in it, less in proportion where they
        scatter by less than that noise

    Reference: JCGM 100:2008 F.1.2.3 (a correction and its uncertainty; from memory); the splitting as in
        `bodytest.stats.variance_parts`. Worked value by hand: 12.5 in a load that runs 0.3 high, u = √(0.06² + 0.08²)
        = 0.1; two loads tell little of others: f = 12.706/1.960.

    Notes: Without v two loads that happen to agree by less than their bars scatter told of no scatter at all, and the
        mean as measured held in 0.87.

    >>> history = LoadHistory((-0.3, 0.3), (0.08, 0.08), 0.4)
    >>> found = corrected_for_loads(12.5, 0.06, [5], history, [1])
    >>> round(found.corrected, 2), round(found.corrected_uncertainty, 3), round(found.measured_uncertainty, 3)
    (12.2, 0.1, 2.594)
    """
    weights = np.asarray(bars, dtype=np.float64) / float(np.sum(bars))
    squares = float(np.square(weights).sum())
    vouched = min(uncertainty**2 / squares, history.noise_sd**2) * _in_proportion(history)
    of_loads = few_known(len(history.differences) - 1.0) ** 2 * (history.load_sd**2 + vouched)
    as_measured = math.sqrt(uncertainty**2 + squares * (of_loads - vouched))
    known = [load for load in loads if load is not None]
    if len(known) < len(loads):
        return CorrectedMean(as_measured, None, None)
    difference = float(weights @ np.asarray(history.differences)[known])
    left = float(np.sqrt(np.square(weights * np.asarray(history.uncertainties)[known]).sum()))
    return CorrectedMean(as_measured, mean - difference, math.hypot(uncertainty, left))


def _in_proportion(history: LoadHistory) -> float:
    """Return by how much less than the noise of bars alone the loads scatter, 1 where they scatter by more."""
    seen = float(np.square(history.differences).sum()) / (len(history.differences) - 1.0)
    return min(seen / history.noise_sd**2, 1.0) if history.noise_sd > 0.0 else 1.0
