"""Several batches of a body: mean, next bar and tolerance when batches are a sample of all batches to come."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import chdtri, ndtri, stdtrit

from bodytest.stats.variance_components import (
    BatchMoments,
    FloatArray,
    VarianceComponents,
    anova_components,
    batch_moments,
    reml_components,
)


@dataclass(frozen=True)
class BatchesSummary:
    """Mean of bars of several batches, with its uncertainty and what a bar of a new batch will do."""

    n: int
    """Bars."""
    mean: float
    """Mean of the body, batches weighted by how well each is known."""
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


@dataclass(frozen=True)
class BatchIntervals:
    """The intervals of many data sets of one layout; each field has the shape of the data sets."""

    components: VarianceComponents
    """Estimates of both variances and the mean."""
    standard_uncertainty: FloatArray
    """Of the mean, all sources together."""
    degrees_of_freedom: FloatArray
    """Of that uncertainty."""
    half_width: FloatArray
    """Of the confidence interval of the mean."""
    next_half_width: FloatArray
    """Of the prediction interval."""
    tolerance_half_width: FloatArray
    """Of the tolerance interval."""


def summarise_batches(
    values: npt.ArrayLike,
    batch_index: npt.ArrayLike,
    *,
    confidence: float = 0.95,
    step_uncertainty: float = 0.0,
    calibration_uncertainty: float = 0.0,
) -> BatchesSummary:
    """Return the mean of a body over batches, and the intervals for it, for a bar of a new batch and for 95 % of bars.

    Parameters:
        values: one value for each bar [unit of the quantity].
        batch_index: batch of each bar, whole numbers from 0, at least two batches.
        confidence: of the intervals, as a fraction.
        step_uncertainty: standard uncertainty of one bar's value from the reading steps [unit of the quantity].
        calibration_uncertainty: standard uncertainty from calibration, the same in all bars [unit of the quantity].

    Equation: yᵢⱼ = μ + bᵢ + eᵢⱼ; variances by REML, or ANOVA where REML gives no batch variance;
        u² = Σ wᵢ (ȳᵢ − μ)²/((k − 1) Σ wᵢ) with k − 1 degrees of freedom, wᵢ = nᵢ/(1 + nᵢ σ²_batch/σ²_bar)

    Reference: Davies & Goldsmith 1972, 6.4 (dyestuff): 42.0, 49.51, mean 1527.5, standard error 19.383.

    >>> dyestuff = [1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
    ...             1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445]
    >>> found = summarise_batches(dyestuff, [bar // 5 for bar in range(30)])
    >>> print(f"{found.batch_sd:.2f} {found.bar_sd:.2f} {found.mean:.1f} {found.standard_uncertainty:.3f}")
    42.00 49.51 1527.5 19.383
    """
    moments = batch_moments(values, batch_index)
    found = batch_intervals(moments, confidence, step_uncertainty, calibration_uncertainty)
    mean, parts = float(found.components.mean), found.components
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


def batch_intervals(
    moments: BatchMoments, confidence: float, step_uncertainty: float, calibration_uncertainty: float
) -> BatchIntervals:
    """Return the intervals of `summarise_batches` for many data sets of one layout at once.

    Parameters:
        moments: the batches.
        confidence: of the intervals, as a fraction.
        step_uncertainty: as in `summarise_batches`.
        calibration_uncertainty: as in `summarise_batches`.

    Equation: as in `summarise_batches`.

    Reference: as in `summarise_batches`.

    >>> dyestuff = BatchMoments(np.full(6, 5.0), np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> print(f"{batch_intervals(dyestuff, 0.95, 0.0, 0.0).half_width:.3f}")
    49.827
    """
    tail = (1.0 + confidence) / 2.0
    floored = _with_floor(moments, step_uncertainty)
    parts = _components(floored, step_uncertainty)
    variance, freedom = _mean_variance(floored, parts, tail)
    combined = variance + calibration_uncertainty**2
    effective = _satterthwaite(combined, variance, freedom)
    one_bar, one_bar_freedom, upper = _one_bar(floored, confidence)
    further = one_bar + combined
    next_freedom = np.clip(_satterthwaite(further, one_bar, one_bar_freedom), 1.0, 1e6)
    spread = ndtri(0.975) * np.sqrt(upper + upper / np.maximum(one_bar, 1e-300) * combined)
    return BatchIntervals(
        parts,
        np.sqrt(combined),
        effective,
        np.asarray(stdtrit(effective, tail) * np.sqrt(combined)),
        np.asarray(stdtrit(next_freedom, tail) * np.sqrt(further)),
        np.asarray(spread),
    )


def _with_floor(moments: BatchMoments, step_uncertainty: float) -> BatchMoments:
    """Let bars of a batch scatter no less than the reading step does."""
    least = step_uncertainty**2 * (moments.bars - moments.batches)
    return BatchMoments(moments.sizes, moments.means, np.maximum(moments.within_squares, least))


def _components(moments: BatchMoments, step_uncertainty: float) -> VarianceComponents:
    if moments.bars == moments.batches:
        spread = np.maximum(moments.means.var(axis=-1, ddof=1), step_uncertainty**2)
        return VarianceComponents(
            np.zeros_like(spread), spread, moments.means.mean(axis=-1), np.full_like(spread, np.nan)
        )
    anova = anova_components(moments)
    usable = np.where(moments.within_squares > 0.0, moments.within_squares, 1.0)
    reml = reml_components(BatchMoments(moments.sizes, moments.means, usable))
    take = (reml.batch_variance > 0.0) & (moments.within_squares > 0.0)
    pick = lambda a, b: np.asarray(np.where(take, a, b))
    return VarianceComponents(
        pick(reml.batch_variance, anova.batch_variance),
        pick(reml.bar_variance, anova.bar_variance),
        pick(reml.mean, anova.mean),
        pick(reml.criterion, anova.criterion),
    )


def _mean_variance(moments: BatchMoments, parts: VarianceComponents, tail: float) -> tuple[FloatArray, FloatArray]:
    """Return variance and degrees of freedom of the mean: from batches, or from bars where that says more scatter."""
    ratio = parts.batch_variance / np.where(parts.bar_variance > 0.0, parts.bar_variance, 1.0)
    weights = moments.sizes / (1.0 + moments.sizes * ratio[..., None])
    distance = np.square(moments.means - parts.mean[..., None])
    freedom = moments.batches - 1.0
    from_batches = (weights * distance).sum(axis=-1) / (freedom * weights.sum(axis=-1))
    if moments.bars == moments.batches:
        return np.maximum(from_batches, parts.bar_variance / moments.bars), np.full(from_batches.shape, freedom)
    bar_freedom = moments.bars - moments.batches
    from_bars = moments.within_squares / bar_freedom / moments.bars
    wider = stdtrit(bar_freedom, tail) * np.sqrt(from_bars) > stdtrit(freedom, tail) * np.sqrt(from_batches)
    return np.where(wider, from_bars, from_batches), np.where(wider, bar_freedom, freedom)


def _one_bar(moments: BatchMoments, confidence: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the variance of a bar of a new batch, its degrees of freedom, and an upper limit of it."""
    freedom = moments.batches - 1.0
    between = moments.means.var(axis=-1, ddof=1)
    bar_freedom = moments.bars - moments.batches
    within = moments.within_squares / max(bar_freedom, 1.0) * (1.0 - np.mean(1.0 / moments.sizes))
    total = between + within
    squares = between**2 / freedom + within**2 / max(bar_freedom, 1.0)
    margin = np.square(between * (freedom / chdtri(freedom, confidence) - 1.0))
    if bar_freedom:
        margin = margin + np.square(within * (bar_freedom / chdtri(bar_freedom, confidence) - 1.0))
    return total, total**2 / np.maximum(squares, 1e-300), total + np.sqrt(margin)


def _satterthwaite(total: FloatArray, part: FloatArray, freedom: FloatArray) -> FloatArray:
    """Return the effective degrees of freedom of a sum of which one part has few and the rest infinitely many."""
    return np.asarray(freedom * np.square(np.divide(total, part, out=np.ones_like(total), where=part > 0.0)))
