"""The intervals over batches and loads, from cells; many data sets of one layout at once."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtri

from bodytest.stats.components import APART, Components, components_of
from bodytest.stats.design import CellLayout, FloatArray, IntArray, sums_by
from bodytest.stats.mean_squares import mean_squares
from bodytest.stats.restricted_likelihood import Cells, solve
from bodytest.stats.variance_parts import MANY, Part, Shares, total_variance, upper_variance, variance_parts

_TOLERANCE = 0.95
"""Share of bars that the tolerance interval holds, and the confidence with which it does."""

_FARTHEST_APART = 1e5
"""Variance ratio beyond which a fixed batch or load is not told from the random ones more finely."""


@dataclass(frozen=True)
class Target:
    """What the intervals are for."""

    any_batch: bool
    """For any batch, not only those tested."""
    any_load: bool
    """For any load, not only those tested."""
    batch: int | None = None
    """Only this batch of the layout, where it is not for any."""
    load: int | None = None
    """Only this load of the layout, where it is not for any."""


@dataclass(frozen=True)
class EffectIntervals:
    """The intervals of many data sets of one layout; arrays have the shape of the data sets."""

    components: Components
    """Estimates of the variances."""
    mean: FloatArray
    """The mean that the intervals lie about."""
    bar_sd: FloatArray
    """Standard deviation of one bar, with the batches and loads that the intervals speak of."""
    parts: tuple[Part, ...]
    """Variance of the mean by what it rests on."""
    next_parts: tuple[Part, ...]
    """Variance of a further bar about the mean."""
    tolerance_half_width: FloatArray
    """Of the tolerance interval."""


def effect_intervals(
    cells: Cells, target: Target, step_uncertainty: float, shared_uncertainty: FloatArray
) -> EffectIntervals:
    """Return what the intervals of `bodytest.stats.effects.summarise_effects` rest on, many data sets at once.

    Parameters:
        cells: the data, more than one cell.
        target: what the intervals are for.
        step_uncertainty: of one bar's value from the reading steps [unit of the quantity].
        shared_uncertainty: as in `bodytest.stats.effects.Instruments.shared` [unit of the quantity].

    Reference: `bodytest.stats.effects.summarise_effects`; worked value 19.383² of the dyestuff data.

    >>> from bodytest.stats.design import cell_layout
    >>> layout = cell_layout([0] * 30, [bar // 5 for bar in range(30)])[0]
    >>> dyestuff = Cells(layout, np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> print(f"{total_variance(effect_intervals(dyestuff, Target(False, True), 0.0, np.zeros(())).parts) ** 0.5:.3f}")
    19.383
    """
    squares = mean_squares(cells, step_uncertainty)
    components = components_of(cells, squares)
    components = replace(components, bar_variance=np.maximum(components.bar_variance, step_uncertainty**2))
    weights = _weights(cells.layout, components, target)
    of_mean = _of_mean(cells, weights, target)
    of_bar = Shares(np.asarray(float(target.any_batch)), np.asarray(float(target.any_load)), np.ones(()))
    shared = Part("instruments", np.square(shared_uncertainty), MANY)
    parts = (*variance_parts(squares, of_mean), shared)
    next_parts = (*variance_parts(squares, of_mean.plus(of_bar)), shared)
    bar_parts = variance_parts(squares, of_bar)
    one_bar = total_variance(bar_parts)
    spread = 1.0 + np.divide(total_variance(parts[:-1]), one_bar, out=np.zeros(one_bar.shape), where=one_bar > 0.0)
    around = np.sqrt(upper_variance(bar_parts, _TOLERANCE) * spread + shared.variance)
    return EffectIntervals(
        components,
        np.asarray((weights * cells.distances).sum(axis=-1) + cells.centre),
        np.sqrt(one_bar),
        parts,
        next_parts,
        np.asarray(ndtri((1.0 + _TOLERANCE) / 2.0) * around),
    )


def _of_mean(cells: Cells, weights: FloatArray, target: Target) -> Shares:
    """Return the shares in the variance of the mean.

    The weights were found from the same bars and flatter them: where batches or loads agree by chance, large ones count
    for most. The noise of bars is therefore counted half way to what it is when every batch and load counts alike.
    """
    found = _shares(cells.layout, weights, target)
    if target.batch is not None or target.load is not None:
        return found
    apart = np.full(cells.within_squares.shape, APART)
    alike = _shares(cells.layout, solve(cells, apart, apart).weights, target)
    return replace(found, bar=np.asarray((found.bar + alike.bar) / 2.0))


def _shares(layout: CellLayout, weights: FloatArray, target: Target) -> Shares:
    """Return how often each variance counts in that of the weighted mean; what is not random does not count."""

    def squared_sums(level: IntArray) -> FloatArray:
        return np.asarray(np.square(sums_by(weights, level)).sum(axis=-1))

    none = np.zeros(())
    return Shares(
        squared_sums(layout.batch) if target.any_batch else none,
        squared_sums(layout.load) if target.any_load else none,
        np.asarray((np.square(weights) / layout.sizes).sum(axis=-1)),
    )


def _weights(layout: CellLayout, components: Components, target: Target) -> FloatArray:
    """Return the weight of each cell: those of the mixed model, or of one batch or load taken as fixed in it."""
    if target.batch is None and target.load is None:
        return components.fit.weights
    by_batch = target.batch is not None
    fixed, random = (layout.batch, layout.load) if by_batch else (layout.load, layout.batch)
    variance = components.load_variance if by_batch else components.batch_variance
    least = np.maximum(components.bar_variance, variance / _FARTHEST_APART)
    ratio = np.divide(variance, least, out=np.zeros(variance.shape), where=least > 0.0)
    sizes, table = layout.sizes, np.zeros((layout.batches, layout.loads))
    table[layout.batch, layout.load] = sizes
    totals = table.T if by_batch else table
    shrink = ratio[..., None] / (1.0 + totals.sum(axis=1) * ratio[..., None])
    matrix = np.diag(totals.sum(axis=0)) - np.swapaxes(totals, 0, 1) @ (shrink[..., None] * totals)
    wanted = np.eye(len(totals.T))[target.batch if by_batch else target.load]
    effects = np.linalg.solve(matrix, np.broadcast_to(wanted, (*ratio.shape, *wanted.shape))[..., None])[..., 0]
    return np.asarray(sizes * (effects[..., fixed] - (shrink * (effects @ totals.T))[..., random]))
