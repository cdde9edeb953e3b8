"""Several batches of a body: mean, next bar and tolerance when batches are a sample of all batches to come."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.stats.batch_intervals import batch_intervals
from bodytest.stats.summary import shared_step_uncertainty
from bodytest.stats.variance_components import batch_moments


@dataclass(frozen=True)
class BatchesSummary:
    """Mean of bars of several batches, with its uncertainty and what a bar of a new batch will do."""

    n: int
    """Bars."""
    mean: float
    """Mean of the batch means: each batch speaks once, however many bars it has."""
    sd: float | None
    """Standard deviation of one bar, batches included."""
    standard_uncertainty: float | None
    """Combined standard uncertainty of the mean."""
    degrees_of_freedom: float | None
    """Effective degrees of freedom of that uncertainty."""
    low: float | None
    """Lower end of the confidence interval of the mean."""
    high: float | None
    """Upper end of it."""
    next_low: float | None
    """Lower end of the prediction interval for one bar of a new batch."""
    next_high: float | None
    """Upper end of it."""
    tolerance_low: float | None
    """Lower end of the interval that holds 95 % of bars of all batches with 95 % confidence."""
    tolerance_high: float | None
    """Upper end of it."""
    batch_sd: float | None
    """Standard deviation between batches; None when no batch has two bars."""
    bar_sd: float | None
    """Standard deviation between bars of a batch; None when no batch has two bars."""


def summarise_batches(
    values: npt.ArrayLike,
    batch_index: npt.ArrayLike,
    *,
    confidence: float = 0.95,
    step_uncertainty: float = 0.0,
    calibration_uncertainty: float = 0.0,
    shared_uncertainty: float | None = None,
) -> BatchesSummary:
    """Return the mean of a body over batches, and the intervals for it, for a bar of a new batch and for 95 % of bars.

    Parameters:
        values: one value for each bar [unit of the quantity].
        batch_index: batch of each bar, whole numbers from 0, at least two batches [number of the batch].
        confidence: of the intervals [fraction].
        step_uncertainty: standard uncertainty of one bar's value from the reading steps [unit of the quantity].
        calibration_uncertainty: standard uncertainty from calibration, the same in all bars [unit of the quantity].
        shared_uncertainty: the part of the reading-step uncertainty that is the same error in all bars; found from
            the scatter of the values when None [unit of the quantity].

    Equation: yᵢⱼ = μ + bᵢ + eᵢⱼ; variances by REML, by ANOVA where REML gives no batch variance;
        mean = Σ ȳᵢ/k; S² = Σ (ȳᵢ − mean)²/(k − 1); u² = S²/k with k − 1 degrees of freedom, plus shared errors
        (`bodytest.stats.batch_intervals.mean_variance` where batch means agree better than their bars allow);
        next: V = (1 + 1/k) S² + (1 − h) MS_within, h = Σ (1/nᵢ)/k, half-width √V Σ Vₚ tₚ / V over its parts p;
        tolerance: z √((1 + S²/(k σ²)) σ²_upper), σ² = S² + (1 − h) MS_within

    Reference: mean, Thomas & Hultquist 1978 (from memory): exact when batches are equal, and never too narrow at 95 %
        for unequal ones (Bakirov & Székely 2005, from memory). Next: Cochran's weighted t (Cochran & Cox 1957, 4.2,
        from memory). Tolerance: Hoffman & Kringle 2005 (from memory). The three were chosen by simulation. Worked
        values: Davies & Goldsmith 1972, 6.4 (dyestuff), 42.0, 49.51, 1527.5 and standard error 19.383.

    >>> dyestuff = [1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
    ...             1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445]
    >>> found = summarise_batches(dyestuff, [bar // 5 for bar in range(30)])
    >>> print(f"{found.batch_sd:.2f} {found.bar_sd:.2f} {found.mean:.1f} {found.standard_uncertainty:.3f}")
    42.00 49.51 1527.5 19.383
    """
    moments = batch_moments(values, batch_index)
    if shared_uncertainty is None:
        seen_sd = float(np.std(np.asarray(values, dtype=np.float64), ddof=1))
        shared_uncertainty = shared_step_uncertainty(seen_sd, step_uncertainty)
    shared = np.asarray(np.hypot(shared_uncertainty, calibration_uncertainty))
    found = batch_intervals(moments, confidence, step_uncertainty, shared)
    mean, parts = float(found.mean), found.components
    separable = moments.bars > moments.batches
    half, next_half = float(found.half_width), float(found.next_half_width)
    tolerance = float(found.tolerance_half_width)
    return BatchesSummary(
        n=int(moments.bars),
        mean=mean,
        sd=float(np.sqrt(parts.batch_variance + parts.bar_variance)),
        standard_uncertainty=float(found.standard_uncertainty),
        degrees_of_freedom=float(found.degrees_of_freedom),
        low=mean - half,
        high=mean + half,
        next_low=mean - next_half,
        next_high=mean + next_half,
        tolerance_low=mean - tolerance,
        tolerance_high=mean + tolerance,
        batch_sd=float(np.sqrt(parts.batch_variance)) if separable else None,
        bar_sd=float(np.sqrt(parts.bar_variance)) if separable else None,
    )
