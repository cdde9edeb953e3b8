"""Variance between batches, between loads and between bars: restricted maximum likelihood, or mean squares."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.stats.design import CellLayout, FloatArray
from bodytest.stats.mean_squares import MeanSquares
from bodytest.stats.restricted_likelihood import Cells, Factors, Solved, solve

_PLACES = np.array([0.0, 0.3, 0.7, 1.2, 2.0, 3.0, 4.5, 6.0, 8.0, 11.0, 15.0, 20.0, 27.0])
"""ln(1 + n θ) of the grid on which the search starts; n is the usual number of bars of a level."""
_CORNERS = np.array([[0, 0], [1, 0], [-1, 0], [0, 1], [0, -1], [1, 1], [1, -1], [-1, 1], [-1, -1]])
_SPACING = 2e-3
"""Of the places whose differences give slopes."""
_PRECISION = 1e-6
_MOST_ROUNDS = 40
_ALIKE = 1e-9
"""Criteria that differ by less are equal but for rounding."""
_FARTHEST = 32.0
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
        kinds = {"batches": self.batch_variance, "loads": self.load_variance}
        at_zero = [kind for kind, variance in kinds.items() if kind in self.kinds and not variance > 0.0]
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
    units = _usual_sizes(factors)
    place = _best_place(cells, units)
    outer, inner = np.expm1(place[..., 0]) / units[0], np.expm1(place[..., 1]) / units[1]
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


def _usual_sizes(factors: Factors) -> tuple[float, float]:
    """Return the usual number of bars of a level of each factor."""
    inner = factors.layout.sizes if factors.inner is None else np.bincount(factors.inner, weights=factors.layout.sizes)
    return float(np.median(factors.outer_sizes)), float(np.median(inner))


def _best_place(cells: Cells, units: tuple[float, float]) -> FloatArray:
    """Minimise the criterion over ln(1 + n θ) of both factors, shape (…, 2), 0 where that is as good."""
    shape = cells.within_squares.shape

    def criterion(places: FloatArray) -> FloatArray:
        ratios = np.expm1(places) / units
        return solve(cells, ratios[..., 0], ratios[..., 1]).criterion

    grid = _grid(cells.factors)
    best = grid[criterion(grid.reshape(-1, *(1,) * len(shape), 2)).argmin(axis=0)]
    free = np.array([len(cells.factors.outer_sizes) > 1, cells.factors.inner is not None])
    least, step = np.full(shape, np.inf), np.zeros((*shape, 2))
    for _ in range(_MOST_ROUNDS):
        place = np.clip(best + step, 0.0, _FARTHEST)
        at_place, slope, bend = _around(criterion, place, free)
        better = (at_place <= least)[..., None]
        best, least = np.where(better, place, best), np.minimum(at_place, least)
        step = np.where(better, _newton_step(place, slope, bend, free), step / 4.0)
        if np.abs(np.clip(best + step, 0.0, _FARTHEST) - best).max() < _PRECISION:
            break
    at_zero = np.where(best < 100.0 * _PRECISION, 0.0, best)
    return np.asarray(np.where((criterion(at_zero) <= criterion(best) + _ALIKE)[..., None], at_zero, best))


def _grid(factors: Factors) -> FloatArray:
    """Return every pair of places, shape (pairs, 2); a factor that is not there stays at 0."""
    outer = _PLACES if len(factors.outer_sizes) > 1 else np.zeros(1)
    inner = _PLACES if factors.inner is not None else np.zeros(1)
    return np.stack(np.meshgrid(outer, inner, indexing="ij"), axis=-1).reshape(-1, 2)


def _around(
    criterion: Callable[[FloatArray], FloatArray], place: FloatArray, free: npt.NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the criterion, its slopes (…, 2) and second derivatives (…, 2, 2) by central differences."""
    steps = _CORNERS * free
    found = criterion(place + _SPACING * steps.reshape(-1, *(1,) * (place.ndim - 1), 2))
    middle = found[0]
    slope = np.stack([found[1] - found[2], found[3] - found[4]], axis=-1) / (2.0 * _SPACING)
    bend = np.empty((*middle.shape, 2, 2))
    bend[..., 0, 0] = found[1] - 2.0 * middle + found[2]
    bend[..., 1, 1] = found[3] - 2.0 * middle + found[4]
    bend[..., 0, 1] = bend[..., 1, 0] = (found[5] - found[6] - found[7] + found[8]) / 4.0
    return middle, slope, bend / _SPACING**2


def _newton_step(place: FloatArray, slope: FloatArray, bend: FloatArray, free: npt.NDArray[np.bool_]) -> FloatArray:
    """Return where to go from here: Newton's step, downhill where there is no bowl; what is held at 0 stays there."""
    moves = free & ~((place <= 0.0) & (slope > 0.0))
    slope = np.where(moves, slope, 0.0)
    across = np.where(moves.all(axis=-1), bend[..., 0, 1], 0.0)
    own = np.where(moves, np.diagonal(bend, axis1=-2, axis2=-1), 1.0)
    determinant = own.prod(axis=-1) - across**2
    bowl = ((determinant > 0.0) & (own > 0.0).all(axis=-1))[..., None]
    towards = own[..., ::-1] * slope - across[..., None] * slope[..., ::-1]
    newton = np.divide(-towards, determinant[..., None], out=-np.sign(slope), where=bowl)
    return np.asarray(np.clip(newton, -1.0, 1.0))
