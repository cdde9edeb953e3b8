"""The scatter of batches, of loads and of bars, each by itself: quadratic forms of which the intervals are made.

Batch and load effects are fitted by least squares, so that the scatter of batches is free of loads and the other way
round. Where batch and load change together (between pieces of the layout) there is a third form for both.
"""

from dataclasses import dataclass

import numpy as np

from bodytest.stats.design import FloatArray, sums_by
from bodytest.stats.restricted_likelihood import Cells


@dataclass(frozen=True)
class MeanSquare:
    """Variance of the fitted effects of one kind; its expectation is σ² of the kind plus `noise` times that of bars."""

    value: FloatArray
    """Variance of the effects, shape (…)."""
    freedom: float
    """Degrees of freedom; 0 where the layout does not show this scatter by itself."""
    noise: float
    """Variance of one effect over that of a bar, on average."""


@dataclass(frozen=True)
class MeanSquares:
    """All that the layout shows of scatter."""

    batch: MeanSquare
    """Batches within a piece, free of loads."""
    load: MeanSquare
    """Loads within a piece, free of batches."""
    piece: MeanSquare
    """Pieces: its expectation holds `batch_share` of the variance of batches and `load_share` of that of loads."""
    batch_share: float
    """Mean over pieces of 1/number of batches."""
    load_share: float
    """Mean over pieces of 1/number of loads."""
    bar_variance: FloatArray
    """Variance of bars within a cell and of what batches and loads do not add up to; 0 where that shows nowhere."""
    bar_freedom: int
    """Its degrees of freedom."""
    residual_squares: FloatArray
    """The sum of squares that it was found from, without the floor that the reading step sets."""


def mean_squares(cells: Cells, step_uncertainty: float = 0.0) -> MeanSquares:
    """Return the mean squares of batches, loads, pieces and bars.

    Parameters:
        cells: the data.
        step_uncertainty: standard uncertainty of one bar's value from the reading steps: no scatter is taken to be
            less than it [unit of the quantity].

    Equation: least squares of y = μ + bᵢ + lⱼ + e; batch: Σ b̂ᵢ²/(B − P), b̂ centred in each of P pieces, noise
        tr Cov(b̂)/(σ² (B − P)); load: the same with L − P; piece: variance of the piece means with P − 1;
        bar: residual sum of squares over N − B − L + P

    Reference: unweighted sums of squares (Burdick, Borror, Montgomery, Design and Analysis of Gauge R&R Studies, 2005,
        from memory), carried over to layouts with empty cells. Worked values: dyestuff (Davies & Goldsmith 1972, 6.4),
        mean squares 11271.5/5 and 2451.25.

    >>> from bodytest.stats.design import cell_layout
    >>> layout = cell_layout([0] * 30, [bar // 5 for bar in range(30)])[0]
    >>> found = mean_squares(Cells(layout, np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0)))
    >>> print(f"{found.load.value:.1f} {found.load.freedom} {found.load.noise:.1f} {found.bar_variance:.2f}")
    2254.3 5 0.2 2451.25
    """
    layout, freedom = cells.layout, cells.layout.bar_freedom
    of_outer, of_inner, of_piece, residual_squares = _least_squares(cells)
    bars = np.maximum(residual_squares / max(freedom, 1), step_uncertainty**2 * (freedom > 0))
    load_outside = cells.factors.load_outside
    outer = _square(*of_outer, len(cells.factors.outer_sizes) - layout.pieces, step_uncertainty)
    inner = _square(*of_inner, min(layout.batches, layout.loads) - layout.pieces, step_uncertainty)
    return MeanSquares(
        inner if load_outside else outer,
        outer if load_outside else inner,
        _square(*of_piece, layout.pieces - 1, step_uncertainty),
        float(np.mean(1.0 / np.bincount(layout.batch_piece))),
        float(np.mean(1.0 / np.bincount(layout.load_piece))),
        bars,
        freedom,
        residual_squares,
    )


def _square(effects: FloatArray, noise: float, freedom: int, step_uncertainty: float) -> MeanSquare:
    if freedom < 1:
        return MeanSquare(np.zeros(effects.shape[:-1]), 0, 0.0)
    one = noise / freedom
    return MeanSquare(np.maximum(np.square(effects).sum(axis=-1) / freedom, step_uncertainty**2 * one), freedom, one)


_Effects = tuple[FloatArray, float]
"""Effects centred within their piece, or piece means centred, and the trace of their covariance over σ²."""


def _least_squares(cells: Cells) -> tuple[_Effects, _Effects, _Effects, FloatArray]:
    """Return effects of the outer and the inner factor and of pieces, and the residual sum of squares.

    The outer factor is eliminated; inner effects come out centred within their piece.
    """
    layout, factors = cells.layout, cells.factors
    outer_piece = layout.load_piece if factors.load_outside else layout.batch_piece
    one_over = 1.0 / factors.outer_sizes
    of_outer, residual = cells.outer_totals * one_over, cells.squares - np.square(cells.outer_totals) @ one_over
    counts = factors.totals[:, 1:] * one_over[:, None]
    gram = factors.gram[1:, 1:] - factors.totals[:, 1:].T @ counts
    spread = np.linalg.pinv(gram, hermitian=True)
    right = cells.column_totals[..., 1:] - cells.outer_totals @ counts
    inner = right @ spread
    outer = of_outer - inner @ counts.T
    covariance_root = counts @ spread
    sizes = np.bincount(outer_piece)
    piece = sums_by(outer, outer_piece) / sizes
    roots, shares = (sums_by(one.T, outer_piece).T / sizes[:, None] for one in (covariance_root, counts))
    own = sums_by(one_over, outer_piece) / sizes**2
    of_pieces = own + (roots * shares).sum(axis=1)
    trace = one_over.sum() + np.sum(covariance_root * counts)
    piece_noise = float(of_pieces.sum() - (own.sum() + roots.sum(axis=0) @ shares.sum(axis=0)) / layout.pieces)
    return (
        (outer - piece[..., outer_piece], float(trace - of_pieces @ sizes)),
        (inner, float(np.trace(spread))),
        (piece - piece.mean(axis=-1, keepdims=True), piece_noise),
        np.maximum(residual - (right * inner).sum(axis=-1), 0.0),
    )
