"""Variance between batches and between bars within a batch: REML by its profile likelihood, and ANOVA.

Everything here works on what the likelihood needs of the data, `BatchMoments`, and on many data sets of one layout at
once: leading axes of ``means`` and ``within_squares`` are data sets, the last axis of ``means`` is the batch.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

_GRID = np.concatenate(([0.0], np.geomspace(1e-4, 1e6, 41)))
_PARTS = 21
_ROUNDS = 9
_ALIKE = 1e-9
"""Criteria that differ by less are equal but for rounding."""


@dataclass(frozen=True)
class BatchMoments:
    """Sizes, means and pooled sum of squares of batches: all that the estimators use."""

    sizes: FloatArray
    """Bars of each batch, shape (batches,)."""
    means: FloatArray
    """Mean of each batch, shape (…, batches)."""
    within_squares: FloatArray
    """Sum over all bars of the squared distance to their batch's mean, shape (…)."""

    @property
    def bars(self) -> float:
        """Number of bars in all."""
        return float(self.sizes.sum())

    @property
    def batches(self) -> int:
        """Number of batches."""
        return len(self.sizes)


@dataclass(frozen=True)
class VarianceComponents:
    """Variances of the one-way random effects model and the mean that goes with them."""

    batch_variance: FloatArray
    """Variance between batches."""
    bar_variance: FloatArray
    """Variance between bars of one batch."""
    mean: FloatArray
    """Mean weighted by the inverse variance of each batch's mean."""
    criterion: FloatArray
    """−2 log restricted likelihood at its best, NaN for ANOVA."""


def batch_moments(values: npt.ArrayLike, batch_index: npt.ArrayLike) -> BatchMoments:
    """Return sizes, means and pooled sum of squares of batches, by two passes over the values.

    Parameters:
        values: one value for each bar [unit of the quantity].
        batch_index: batch of each bar, whole numbers from 0 [number of the batch].

    Equation: SS_within = Σᵢ Σⱼ (yᵢⱼ − ȳᵢ)²

    Reference: NIST/SEMATECH e-Handbook 7.4.3.3; the worked value is its example, SS within 17.452.

    >>> level = [0] * 5 + [1] * 5 + [2] * 5
    >>> y = [6.9, 5.4, 5.8, 4.6, 4.0, 8.3, 6.8, 7.8, 9.2, 6.5, 8.0, 10.5, 8.1, 6.9, 9.3]
    >>> round(float(batch_moments(y, level).within_squares), 3)
    17.452
    """
    bars = np.asarray(values, dtype=np.float64)
    index = np.asarray(batch_index, dtype=np.int64)
    sizes = np.bincount(index).astype(np.float64)
    centre = bars.mean()
    means = centre + np.bincount(index, weights=bars - centre) / sizes
    return BatchMoments(sizes, means, np.asarray(np.square(bars - means[index]).sum()))


def weighted_mean(moments: BatchMoments, weights: FloatArray) -> FloatArray:
    """Return the weighted mean of the batch means.

    Parameters:
        moments: the batches.
        weights: weight of each batch, shape (…, batches) [any unit].

    Equation: μ = Σ wᵢ ȳᵢ / Σ wᵢ

    Reference: Searle, Casella, McCulloch, Variance Components, 1992, 3.3 (from memory).

    >>> two = BatchMoments(np.array([2.0, 2.0]), np.array([10.0, 14.0]), np.array(1.0))
    >>> float(weighted_mean(two, np.array([3.0, 1.0])))
    11.0
    """
    return np.asarray((weights * moments.means).sum(axis=-1) / weights.sum(axis=-1))


def restricted_criterion(moments: BatchMoments, ratio: FloatArray) -> FloatArray:
    """Return −2 log restricted likelihood, with the variance of bars profiled out.

    Parameters:
        moments: the batches.
        ratio: variance between batches over variance between bars, shape (…) as the data sets [ratio].

    Equation: (N − 1)(1 + ln(2π Q/(N − 1))) + Σ ln(1 + nᵢ θ) + ln Σ wᵢ,
        wᵢ = nᵢ/(1 + nᵢ θ), Q = SS_within + Σ wᵢ (ȳᵢ − μ)²

    Reference: Bates, Mächler, Bolker, Walker 2015, doi 10.18637/jss.v067.i01, equation 42, for one grouping; the
    worked value is the published one of the dyestuff data (Davies & Goldsmith 1972, 6.4), 319.6543.

    >>> dyestuff = BatchMoments(np.full(6, 5.0), np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> print(f"{restricted_criterion(dyestuff, np.array(1764.05 / 2451.25)):.4f}")
    319.6543
    """
    inflation = 1.0 + moments.sizes * ratio[..., None]
    weights = moments.sizes / inflation
    distance = moments.means - weighted_mean(moments, weights)[..., None]
    squares = moments.within_squares + (weights * np.square(distance)).sum(axis=-1)
    freedom = moments.bars - 1.0
    return np.asarray(
        freedom * (1.0 + np.log(2.0 * np.pi * squares / freedom))
        + np.log(inflation).sum(axis=-1)
        + np.log(weights.sum(axis=-1))
    )


def reml_components(moments: BatchMoments) -> VarianceComponents:
    """Return the restricted maximum likelihood estimates, the batch variance zero where the likelihood peaks there.

    Parameters:
        moments: the batches; within_squares must be positive.

    Equation: θ = arg min of `restricted_criterion`, found on grids in θ, each finer than the last;
        σ²_bar = Q/(N − 1), σ²_batch = θ σ²_bar

    Reference: as `restricted_criterion`; published estimates of the dyestuff data 1764.05 and 2451.25.

    >>> dyestuff = BatchMoments(np.full(6, 5.0), np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> found = reml_components(dyestuff)
    >>> print(f"{found.batch_variance:.2f} {found.bar_variance:.2f} {found.mean:.1f}")
    1764.05 2451.25 1527.5
    """
    ratio = _best_ratio(moments)
    weights = moments.sizes / (1.0 + moments.sizes * ratio[..., None])
    mean = weighted_mean(moments, weights)
    squares = moments.within_squares + (weights * np.square(moments.means - mean[..., None])).sum(axis=-1)
    bar_variance = np.asarray(squares / (moments.bars - 1.0))
    return VarianceComponents(ratio * bar_variance, bar_variance, mean, restricted_criterion(moments, ratio))


def _best_ratio(moments: BatchMoments) -> FloatArray:
    """Minimise the criterion over the variance ratio: the best cell of a grid, then finer grids within it."""
    shape = moments.within_squares.shape
    grid = _GRID.reshape(-1, *(1,) * len(shape))
    on_grid = restricted_criterion(moments, np.broadcast_to(grid, (len(_GRID), *shape)))
    best = on_grid.argmin(axis=0)
    low = _GRID[np.maximum(best - 1, 0)]
    high = _GRID[np.minimum(best + 1, len(_GRID) - 1)]
    parts = np.linspace(0.0, 1.0, _PARTS).reshape(-1, *(1,) * len(shape))
    for _ in range(_ROUNDS):
        finer = low + (high - low) * parts
        best = restricted_criterion(moments, finer).argmin(axis=0)
        width = (high - low) / (_PARTS - 1)
        low, high = (
            np.clip(low + (best - 1) * width, low, high),
            np.clip(low + (best + 1) * width, low, high),
        )
    middle = np.asarray((low + high) / 2.0)
    at_zero = on_grid[0] <= restricted_criterion(moments, middle) + _ALIKE
    return np.asarray(np.where(at_zero, 0.0, middle))


def anova_components(moments: BatchMoments) -> VarianceComponents:
    """Return the analysis of variance estimates, the batch variance not below zero.

    Parameters:
        moments: the batches, at least one of them with two bars.

    Equation: σ²_bar = MS_within, σ²_batch = max(0, (MS_between − MS_within)/n₀), n₀ = (N − Σ nᵢ²/N)/(k − 1)

    Reference: Searle, Casella, McCulloch, Variance Components, 1992, 3.6 (from memory); mean squares of the dyestuff
    data 11271.5 and 2451.25 as published (Davies & Goldsmith 1972, 6.4).

    >>> dyestuff = BatchMoments(np.full(6, 5.0), np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> print(f"{anova_components(dyestuff).batch_variance:.2f}")
    1764.05
    """
    total, batches = moments.bars, moments.batches
    pooled = weighted_mean(moments, np.broadcast_to(moments.sizes, moments.means.shape))
    between = (moments.sizes * np.square(moments.means - pooled[..., None])).sum(axis=-1) / (batches - 1)
    bar_variance = np.asarray(moments.within_squares / (total - batches))
    usual_size = (total - np.square(moments.sizes).sum() / total) / (batches - 1)
    batch_variance = np.maximum(between - bar_variance, 0.0) / usual_size
    ratio = batch_variance / np.where(bar_variance > 0.0, bar_variance, 1.0)
    mean = weighted_mean(moments, moments.sizes / (1.0 + moments.sizes * ratio[..., None]))
    return VarianceComponents(batch_variance, bar_variance, mean, np.full(np.shape(mean), np.nan))
