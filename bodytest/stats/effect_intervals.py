"""The intervals over batches and loads, from cells; many data sets of one layout at once."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtri

from bodytest.stats.combined_freedom import MANY
from bodytest.stats.components import APART, Components, components_of
from bodytest.stats.design import CellLayout, FloatArray, IntArray, sums_by
from bodytest.stats.mean_squares import mean_squares
from bodytest.stats.restricted_likelihood import Cells, solve
from bodytest.stats.summary import TOLERANCE
from bodytest.stats.variance_parts import Part, Shares, total_variance, upper_variance, variance_parts


@dataclass(frozen=True)
class EffectIntervals:
    """The intervals of many data sets of one layout; arrays have the shape of the data sets."""

    components: Components
    """Estimates of the variances."""
    mean: FloatArray
    """The mean that the intervals lie about."""
    bar_sd: FloatArray
    """Standard deviation of one bar, with the scatter of batches and of loads where there are several."""
    parts: tuple[Part, ...]
    """Variance of the mean by what it rests on."""
    next_parts: tuple[Part, ...]
    """Variance of a further bar about the mean."""
    tolerance_half_width: FloatArray
    """Of the tolerance interval."""


def effect_intervals(cells: Cells, step_uncertainty: float, shared_uncertainty: FloatArray) -> EffectIntervals:
    """Return what the intervals of `bodytest.stats.effects.summarise_effects` rest on, many data sets at once.

    Parameters:
        cells: the data, more than one cell.
        step_uncertainty: of one bar's value from the reading steps [unit of the quantity].
        shared_uncertainty: as in `bodytest.stats.effects.Instruments.shared` [unit of the quantity].

    Reference: `bodytest.stats.effects.summarise_effects`; worked value 19.383² of the dyestuff data.

    >>> from bodytest.stats.design import cell_layout
    >>> layout = cell_layout([0] * 30, [bar // 5 for bar in range(30)])[0]
    >>> dyestuff = Cells(layout, np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> print(f"{total_variance(effect_intervals(dyestuff, 0.0, np.zeros(())).parts) ** 0.5:.3f}")
    19.383
    """
    squares = mean_squares(cells, step_uncertainty)
    components = components_of(cells, squares)
    components = replace(components, bar_variance=np.maximum(components.bar_variance, step_uncertainty**2))
    layout, weights = cells.layout, components.fit.weights
    of_mean = _of_mean(cells, weights)
    of_bar = Shares(np.asarray(float(layout.batches > 1)), np.asarray(float(layout.loads > 1)), np.ones(()))
    shared = Part("instruments", np.square(shared_uncertainty), MANY)
    parts = (*variance_parts(squares, of_mean), shared)
    next_parts = (*variance_parts(squares, of_mean.plus(of_bar)), shared)
    bar_parts = variance_parts(squares, of_bar)
    one_bar = total_variance(bar_parts)
    spread = 1.0 + np.divide(total_variance(parts[:-1]), one_bar, out=np.zeros(one_bar.shape), where=one_bar > 0.0)
    around = np.sqrt(upper_variance(bar_parts, TOLERANCE) * spread + shared.variance)
    return EffectIntervals(
        components,
        np.asarray((weights * cells.distances).sum(axis=-1) + cells.centre),
        np.sqrt(one_bar),
        parts,
        next_parts,
        np.asarray(ndtri((1.0 + TOLERANCE) / 2.0) * around),
    )


def _of_mean(cells: Cells, weights: FloatArray) -> Shares:
    """Return the shares in the variance of the mean.

    The weights were found from the same bars and flatter them: where batches or loads agree by chance, large ones count
    for most. The noise of bars is therefore counted half way to what it is when every batch and load counts alike.
    """
    found = _shares(cells.layout, weights)
    apart = np.full(cells.within_squares.shape, APART)
    alike = _shares(cells.layout, solve(cells, apart, apart).weights)
    return replace(found, bar=np.asarray((found.bar + alike.bar) / 2.0))


def _shares(layout: CellLayout, weights: FloatArray) -> Shares:
    """Return how often each variance counts in that of the weighted mean; a kind of which there is one does not."""

    def squared_sums(level: IntArray) -> FloatArray:
        return np.asarray(np.square(sums_by(weights, level)).sum(axis=-1))

    none = np.zeros(())
    return Shares(
        squared_sums(layout.batch) if layout.batches > 1 else none,
        squared_sums(layout.load) if layout.loads > 1 else none,
        np.asarray((np.square(weights) / layout.sizes).sum(axis=-1)),
    )
