"""Variance between batches, between loads and between bars: restricted maximum likelihood, or mean squares."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import product

import numpy as np

from bodytest.stats.design import CellLayout, FloatArray
from bodytest.stats.mean_squares import MeanSquares
from bodytest.stats.restricted_likelihood import Cells, Solved, solve

_FARTHEST = 24.0
"""ln(1 + N θ) beyond which the bars of a level count as alike; N is the number of bars."""
_PLACES = np.linspace(0.0, _FARTHEST, 13)
"""ln(1 + N θ) of the grid on which the search starts."""
_SPACING = 1e-3
"""Of the places whose differences give slopes."""
_PRECISION = 1e-5
"""Last step of the search; what it leaves is about its square."""
_MOST_ROUNDS = 40
_NOTHING = 1e-4
"""ln(1 + N θ) below which the variance is 0."""
APART = 1e8
"""Variance ratio at which each level speaks once, however many bars it has."""


@dataclass(frozen=True)
class Components:
    """Estimated variances; shapes as the data sets."""

    batch_variance: FloatArray
    """Between batches; of both together where batch and load change together; 0 where there is one batch."""
    load_variance: FloatArray
    """Between loads; 0 where there is one load or where batch and load change together."""
    bar_variance: FloatArray
    """Between bars of one batch in one load."""
    fit: Solved
    """The mean that goes with them, the weights of the cells in it, and the likelihood."""
    kinds: tuple[str, ...]
    """The kinds of scatter that were estimated, beside that of bars: batches, loads."""
    by_likelihood: bool
    """Whether REML found them; else mean squares, where no bar has another of its batch and load to differ from."""

    @property
    def estimator(self) -> str:
        """How the variances of one data set were estimated, in words."""
        if not self.by_likelihood:
            return "mean squares"
        variances = {"batches": self.batch_variance, "loads": self.load_variance}
        at_zero = [kind for kind in self.kinds if not variances[kind] > 0.0]
        return f"REML, scatter between {' and '.join(at_zero)} at its bound of 0" if at_zero else "REML"


def reml_components(cells: Cells) -> Components:
    """Return the restricted maximum likelihood estimates, a variance 0 where the likelihood peaks there.

    Parameters:
        cells: the data; some scatter within cells, or beyond what batches and loads add up to, must be there.

    Equation: arg min of the criterion of `solve` over both variance ratios, from the best place of a grid on by
        Newton's steps

    Reference: as `bodytest.stats.restricted_likelihood.solve`; published estimates of the dyestuff data (Davies &
        Goldsmith 1972, 6.4) 1764.05 and 2451.25.

    >>> from bodytest.stats.design import cell_layout
    >>> layout = cell_layout([0] * 30, [bar // 5 for bar in range(30)])[0]
    >>> found = reml_components(Cells(layout, np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0)))
    >>> print(f"{found.load_variance:.0f} {found.bar_variance:.0f} {found.batch_variance:.0f}")
    1764 2451 0
    """
    factors = cells.factors
    ratios = _ratios(cells, _best_place(cells))
    outer, inner = ratios[..., 0], ratios[..., 1:].sum(axis=-1)
    fit = solve(cells, outer, inner)
    of_outer, of_inner = np.asarray(outer * fit.bar_variance), np.asarray(inner * fit.bar_variance)
    load, batch = (of_outer, of_inner) if factors.load_outside else (of_inner, of_outer)
    if cells.layout.design == "confounded":
        load, batch = np.zeros_like(load), load
    return Components(batch, load, fit.bar_variance, fit, _kinds(cells.layout), True)


def components_of(cells: Cells, squares: MeanSquares) -> Components:
    """Return the REML estimates, or those of the mean squares where bars show no scatter of their own.

    Parameters:
        cells: the data.
        squares: their mean squares, with the floor that the reading step sets.

    Equation: `reml_components`; else σ² of batches and loads as their mean squares, all cells of equal weight

    Reference: as `reml_components`. Worked value by hand: three loads of one bar each, variance of 1, 2, 3.

    >>> from bodytest.stats.mean_squares import mean_squares
    >>> from bodytest.stats.restricted_likelihood import cells_of
    >>> cells = cells_of([1.0, 2.0, 3.0], [0, 0, 0], [0, 1, 2])
    >>> float(components_of(cells, mean_squares(cells)).load_variance)
    1.0
    """
    if squares.bar_freedom > 0 and np.all(squares.bar_variance > 0.0):
        return reml_components(_floored(cells, squares))
    apart = np.full(cells.within_squares.shape, APART)
    fit = solve(cells, apart, apart)
    batch, load = squares.batch.value, squares.load.value
    if not squares.batch.freedom:
        batch = squares.piece.value
    elif not squares.load.freedom:
        load = squares.piece.value
    return Components(batch, load, squares.bar_variance, fit, _kinds(cells.layout), False)


def _floored(cells: Cells, squares: MeanSquares) -> Cells:
    """Return the cells with bars that scatter no less than the reading step does (JCGM 100:2008 (GUM) F.2.2.1)."""
    raised = squares.bar_variance * squares.bar_freedom - squares.residual_squares
    return Cells(cells.layout, cells.means, cells.within_squares + np.maximum(raised, 0.0))


def _kinds(layout: CellLayout) -> tuple[str, ...]:
    if layout.design == "confounded":
        return ("batches",)
    return ("batches",) * (layout.batches > 1) + ("loads",) * (layout.loads > 1)


def _best_place(cells: Cells) -> FloatArray:
    """Minimise the criterion over ln(1 + N θ) of the factors, shape (…, factors)."""
    shape = cells.within_squares.shape
    factors = 1 if cells.factors.inner is None else 2

    def criterion(places: FloatArray) -> FloatArray:
        ratios = _ratios(cells, places)
        return solve(cells, ratios[..., 0], ratios[..., -1]).criterion

    grid = np.array(list(product(_PLACES, repeat=factors)))
    place = grid[criterion(grid.reshape(-1, *(1,) * len(shape), factors)).argmin(axis=0)]
    for _ in range(_MOST_ROUNDS):
        last = place
        place = np.clip(last + _newton_step(last, *_slopes(criterion, last)), 0.0, _FARTHEST)
        if np.abs(place - last).max() < _PRECISION:
            break
    return np.where(place < _NOTHING, 0.0, place)


def _ratios(cells: Cells, places: FloatArray) -> FloatArray:
    return np.asarray(np.expm1(places) / cells.layout.bars)


def _slopes(criterion: Callable[[FloatArray], FloatArray], place: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the slopes of the criterion (…, factors) and its second derivatives (…, factors, factors)."""
    factors = place.shape[-1]
    steps, terms = _quadratic(factors)
    found = criterion(place + _SPACING * steps.reshape(-1, *(1,) * (place.ndim - 1), factors))
    fitted = np.moveaxis(np.tensordot(terms, found, 1), 0, -1)
    slope, bend = fitted[..., :factors] / _SPACING, fitted[..., factors:] / _SPACING**2
    return slope, bend.reshape(*place.shape, factors)


@cache
def _quadratic(factors: int) -> tuple[FloatArray, FloatArray]:
    """Return steps to all sides, shape (steps, factors), and what makes slopes and bends of what is found there."""
    steps = np.indices([3] * factors, dtype=np.float64).reshape(factors, -1).T - 1.0
    products = (steps[:, :, None] * steps[:, None, :]).reshape(len(steps), -1) / 2.0
    return steps, np.asarray(np.linalg.pinv(np.hstack([np.ones((len(steps), 1)), steps, products]))[1:])


def _newton_step(place: FloatArray, slope: FloatArray, bend: FloatArray) -> FloatArray:
    """Return Newton's step, downhill along axes that bend the other way; what is held at a bound stays there."""
    moves = np.clip(place - slope, 0.0, _FARTHEST) != place
    bends, axes = np.linalg.eigh(bend * (moves[..., :, None] & moves[..., None, :]))
    inverse = 1.0 / np.maximum(np.abs(bends), np.finfo(np.float64).eps)
    step = np.einsum("...ij,...j,...kj,...k->...i", axes, inverse, axes, slope * moves)
    return np.asarray(-step / np.maximum(1.0, np.abs(step).max(axis=-1, keepdims=True)))
