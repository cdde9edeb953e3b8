"""Several batches of a body: mean, next bar and tolerance when batches are a sample of all batches to come."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import chdtri, ndtri, stdtrit

from bodytest.stats.summary import shared_step_uncertainty
from bodytest.stats.variance_components import (
    BatchMoments,
    FloatArray,
    VarianceComponents,
    anova_components,
    batch_moments,
    reml_components,
)

COVERAGE = 0.95
"""Part of all bars that the tolerance interval holds, and the confidence with which it does."""


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


@dataclass(frozen=True)
class BatchIntervals:
    """The intervals of many data sets of one layout; each field has the shape of the data sets."""

    components: VarianceComponents
    """Estimates of both variances."""
    mean: FloatArray
    """Mean of the batch means."""
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
    shared_uncertainty: float | None = None,
) -> BatchesSummary:
    """Return the mean of a body over batches, and the intervals for it, for a bar of a new batch and for 95 % of bars.

    Parameters:
        values: one value for each bar [unit of the quantity].
        batch_index: batch of each bar, whole numbers from 0, at least two batches.
        confidence: of the intervals, as a fraction.
        step_uncertainty: standard uncertainty of one bar's value from the reading steps [unit of the quantity].
        calibration_uncertainty: standard uncertainty from calibration, the same in all bars [unit of the quantity].
        shared_uncertainty: the part of the reading-step uncertainty that is the same error in all bars; found from
            the scatter of the values when None [unit of the quantity].

    Equation: yᵢⱼ = μ + bᵢ + eᵢⱼ; variances by REML, by ANOVA where REML gives no batch variance;
        mean = Σ ȳᵢ/k; S² = Σ (ȳᵢ − mean)²/(k − 1); u² = S²/k with k − 1 degrees of freedom, plus shared errors;
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


def batch_intervals(
    moments: BatchMoments, confidence: float, step_uncertainty: float, shared_uncertainty: FloatArray
) -> BatchIntervals:
    """Return the intervals of `summarise_batches` for many data sets of one layout at once.

    Parameters:
        moments: the batches.
        confidence: of the intervals of mean and next bar, as a fraction.
        step_uncertainty: as in `summarise_batches`.
        shared_uncertainty: standard uncertainty of the errors that are the same in all bars: calibration, and the
            reading step where bars differ by less than it [unit of the quantity].

    Equation: as in `summarise_batches`.

    Reference: as in `summarise_batches`; worked value t(0.975, 5) × 19.383 of the dyestuff data.

    >>> dyestuff = BatchMoments(np.full(6, 5.0), np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> print(f"{batch_intervals(dyestuff, 0.95, 0.0, np.zeros(())).half_width:.2f}")
    49.83
    """
    tail = (1.0 + confidence) / 2.0
    floored = _with_floor(moments, step_uncertainty)
    squares = _mean_squares(floored, step_uncertainty)
    shared = np.square(shared_uncertainty)
    of_mean = squares.between / moments.batches
    uncertainty = np.sqrt(of_mean + shared)
    freedom = _effective_freedom(of_mean, moments.batches - 1.0, shared)
    return BatchIntervals(
        _components(floored, step_uncertainty),
        floored.means.mean(axis=-1),
        uncertainty,
        freedom,
        np.asarray(stdtrit(freedom, tail) * uncertainty),
        _next_half_width(squares, shared, tail),
        _tolerance_half_width(squares, shared),
    )


@dataclass(frozen=True)
class _MeanSquares:
    """The two mean squares that the variance of a bar of a new batch is made of, and their degrees of freedom."""

    between: FloatArray
    """Variance of the batch means."""
    within: FloatArray
    """Variance of bars within a batch, times the part of it that the batch means have averaged out."""
    between_freedom: float
    within_freedom: float
    batches: int


def _with_floor(moments: BatchMoments, step_uncertainty: float) -> BatchMoments:
    """Let bars of a batch scatter no less than the reading step does."""
    least = step_uncertainty**2 * (moments.bars - moments.batches)
    return BatchMoments(moments.sizes, moments.means, np.maximum(moments.within_squares, least))


def _mean_squares(moments: BatchMoments, step_uncertainty: float) -> _MeanSquares:
    one_over_size = float(np.mean(1.0 / moments.sizes))
    freedom = moments.bars - moments.batches
    between = np.maximum(moments.means.var(axis=-1, ddof=1), step_uncertainty**2 * one_over_size)
    within = moments.within_squares / max(freedom, 1.0) * (1.0 - one_over_size)
    return _MeanSquares(between, within, moments.batches - 1.0, max(freedom, 1.0), moments.batches)


def _components(moments: BatchMoments, step_uncertainty: float) -> VarianceComponents:
    """REML, or ANOVA where REML gives no batch variance or bars of a batch are all alike."""
    if moments.bars == moments.batches:
        spread = np.maximum(moments.means.var(axis=-1, ddof=1), step_uncertainty**2)
        none = np.full_like(spread, np.nan)
        return VarianceComponents(np.zeros_like(spread), spread, moments.means.mean(axis=-1), none)
    anova = anova_components(moments)
    scattered = moments.within_squares > 0.0
    usable = np.where(scattered, moments.within_squares, 1.0)
    reml = reml_components(BatchMoments(moments.sizes, moments.means, usable))
    take = scattered & (reml.batch_variance > 0.0)
    return VarianceComponents(
        np.asarray(np.where(take, reml.batch_variance, anova.batch_variance)),
        np.asarray(np.where(take, reml.bar_variance, anova.bar_variance)),
        np.asarray(np.where(take, reml.mean, anova.mean)),
        np.asarray(np.where(take, reml.criterion, np.nan)),
    )


def _effective_freedom(variance: FloatArray, freedom: float, certain: FloatArray) -> FloatArray:
    """`bodytest.stats.summary.effective_freedom` for arrays."""
    total = variance + certain
    by_part = np.divide(total, variance, out=np.full_like(total, 1e3), where=variance > 0.0)
    lessened = by_part - np.divide(certain, total, out=np.zeros_like(total), where=total > 0.0)
    return np.asarray(freedom * np.square(np.minimum(lessened, 1e3)))


def _next_half_width(squares: _MeanSquares, shared: FloatArray, tail: float) -> FloatArray:
    """Half-width for a bar of a new batch: Cochran's weighted t over the parts of its variance."""
    parts = np.stack([squares.between * (1.0 + 1.0 / squares.batches), squares.within])
    points = stdtrit(np.array([squares.between_freedom, squares.within_freedom]), tail)
    weighted = np.tensordot(points, parts, axes=1) + ndtri(tail) * shared
    whole = parts.sum(axis=0) + shared
    return np.asarray(weighted / np.sqrt(np.where(whole > 0.0, whole, 1.0)))


def _tolerance_half_width(squares: _MeanSquares, shared: FloatArray) -> FloatArray:
    """Half-width that holds 95 % of bars with 95 % confidence: Howe's form on an upper limit of the variance."""
    upper = _upper_variance(squares)
    one_bar = squares.between + squares.within
    of_mean = squares.between / squares.batches / np.where(one_bar > 0.0, one_bar, 1.0)
    return np.asarray(ndtri((1.0 + COVERAGE) / 2.0) * np.sqrt(upper * (1.0 + of_mean) + shared))


def _upper_variance(squares: _MeanSquares) -> FloatArray:
    """Upper limit of the sum of two variances: modified large sample (Graybill and Wang)."""
    margins = (
        part * (freedom / chdtri(freedom, COVERAGE) - 1.0)
        for part, freedom in (
            (squares.between, squares.between_freedom),
            (squares.within, squares.within_freedom),
        )
    )
    return np.asarray(squares.between + squares.within + np.sqrt(sum(np.square(margin) for margin in margins)))
