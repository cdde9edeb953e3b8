"""The intervals over batches, from sizes, means and scatter of the batches; many data sets of one layout at once."""

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri, ndtri, stdtridf, stdtrit

from bodytest.stats.variance_components import (
    BatchMoments,
    FloatArray,
    VarianceComponents,
    anova_components,
    reml_components,
)

COVERAGE = 0.95
"""Part of all bars that the tolerance interval holds, and the confidence with which it does."""

_TAIL = 0.975
_MANY = 1e6


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


def batch_intervals(
    moments: BatchMoments, confidence: float, step_uncertainty: float, shared_uncertainty: FloatArray
) -> BatchIntervals:
    """Return the intervals of `bodytest.stats.batches.summarise_batches` for many data sets of one layout at once.

    Parameters:
        moments: the batches.
        confidence: of the intervals of mean and next bar [fraction].
        step_uncertainty: as in `bodytest.stats.batches.summarise_batches`.
        shared_uncertainty: standard uncertainty of the errors that are the same in all bars: calibration, and the
            reading step where bars differ by less than it [unit of the quantity].

    Equation: as in `bodytest.stats.batches.summarise_batches`.

    Reference: as in `bodytest.stats.batches.summarise_batches`; worked value t(0.975, 5) × 19.383 of the dyestuff data.

    >>> dyestuff = BatchMoments(np.full(6, 5.0), np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> print(f"{batch_intervals(dyestuff, 0.95, 0.0, np.zeros(())).half_width:.2f}")
    49.83
    """
    tail = (1.0 + confidence) / 2.0
    floored = _with_floor(moments, step_uncertainty)
    squares = _mean_squares(floored, step_uncertainty)
    shared = np.square(shared_uncertainty)
    of_mean, mean_freedom = mean_variance(floored, confidence, step_uncertainty)
    uncertainty = np.sqrt(of_mean + shared)
    freedom = _effective_freedom(of_mean, mean_freedom, shared)
    return BatchIntervals(
        _components(floored, step_uncertainty),
        floored.means.mean(axis=-1),
        uncertainty,
        freedom,
        np.asarray(stdtrit(freedom, tail) * uncertainty),
        _next_half_width(squares, shared, tail),
        _tolerance_half_width(squares, shared),
    )


def mean_variance(
    moments: BatchMoments, confidence: float, step_uncertainty: float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """Return variance and degrees of freedom of the mean of batch means, from the batches or from the bars in them.

    Parameters:
        moments: the batches.
        confidence: at which both are compared [fraction].
        step_uncertainty: as in `bodytest.stats.batches.summarise_batches`.

    Equation: S²/k with k − 1 degrees of freedom, or MS_within h/k with N − k where that gives the wider interval,
        h = Σ (1/nᵢ)/k

    Reference: as in `bodytest.stats.batches.summarise_batches`. Batch means that agree by chance better than their own
        bars allow say nothing about the mean, so the interval is never narrower than the bars alone would give it;
        worked value: mean square between the dyestuff batches over 30, 11271.5/30 = 375.717.

    >>> dyestuff = BatchMoments(np.full(6, 5.0), np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> variance, freedom = mean_variance(dyestuff, 0.95)
    >>> print(f"{variance:.3f} {freedom:.0f}")
    375.717 5
    """
    tail = (1.0 + confidence) / 2.0
    squares = _mean_squares(moments, step_uncertainty)
    from_batches = squares.between / squares.batches
    one_over_size = float(np.mean(1.0 / moments.sizes))
    from_bars = moments.within_squares / squares.within_freedom * one_over_size / squares.batches
    batch_t, bar_t = (float(stdtrit(freedom, tail)) for freedom in (squares.between_freedom, squares.within_freedom))
    wider = np.square(bar_t) * from_bars > np.square(batch_t) * from_batches
    return (
        np.asarray(np.where(wider, from_bars, from_batches)),
        np.asarray(np.where(wider, squares.within_freedom, squares.between_freedom)),
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


def _effective_freedom(variance: FloatArray, freedom: FloatArray, certain: FloatArray) -> FloatArray:
    """Return the effective degrees of freedom of a variance of few and one of infinitely many of them.

    As `bodytest.stats.summary.effective_freedom`; for one degree of freedom that would hold in 89 % only, and the
    degrees of freedom whose t is Cochran's weighted t are taken.
    """
    total = variance + certain
    known = np.where(total > 0.0, total, 1.0)
    by_part = np.divide(total, variance, out=np.full_like(total, 1e3), where=variance > 0.0)
    lessened = freedom * np.square(np.minimum(by_part - certain / known, 1e3))
    least = float(stdtrit(_MANY, _TAIL))
    weighted = np.maximum((variance * float(stdtrit(1.0, _TAIL)) + certain * float(ndtri(_TAIL))) / known, least)
    return np.asarray(np.where(freedom < 2.0, np.minimum(stdtridf(_TAIL, weighted), _MANY), lessened))


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
