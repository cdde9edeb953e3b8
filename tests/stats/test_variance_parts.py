"""A variance split into parts, and the interval that follows, by hand."""

import numpy as np
import pytest

from bodytest.stats.mean_squares import MeanSquare, MeanSquares
from bodytest.stats.variance_parts import Part, Shares, half_width, variance_parts


def square(value, freedom, noise):
    return MeanSquare(np.array(float(value)), freedom, noise)


def of_pieces(batch, load, piece):
    """Two pieces of two batches in two loads each, bars of variance 1 with eight degrees of freedom."""
    return MeanSquares(batch, load, piece, 0.5, 0.5, np.array(1.0), 8, np.array(8.0))


def told(parts):
    return {part.source: (pytest.approx(float(part.variance), abs=1e-12), part.freedom) for part in parts}


def test_pieces_of_several_batches_and_loads_add_half_their_freedom_to_each():
    """By hand: σ_b² 8.5 and σ_l² 4.5 seen within pieces, 19 and 15 seen between them, pooled with 2 to 0.5."""
    squares = of_pieces(square(9, 2, 0.5), square(5, 2, 0.5), square(12, 1, 0.25))
    parts = variance_parts(squares, Shares(np.array(0.25), np.array(0.25), np.array(0.2)))
    assert told(parts) == {"batches": (2.775, 2.5), "loads": (1.725, 2.5), "bars": (0.0, 8)}


def test_pieces_that_agree_by_chance_tell_of_no_scatter_below_zero():
    """By hand: nothing is seen between pieces, so that 2 · 8.5/2.5 = 6.8 and 2 · 4.5/2.5 = 3.6 are left."""
    squares = of_pieces(square(9, 2, 0.5), square(5, 2, 0.5), square(0.1, 1, 0.25))
    parts = variance_parts(squares, Shares(np.array(0.25), np.array(0.25), np.array(0.0)))
    assert told(parts) == {"batches": (1.7, 2.5), "loads": (0.9, 2.5), "bars": (0.0, 8)}


def test_where_two_parts_are_nearly_alike_the_larger_one_rules():
    """By hand: √13 (81 · 12.7062 + 16 · 2.7764)/97, above 34.80 (Cochran) and 38.12 (the larger)."""
    parts = [Part("loads", np.array(9.0), 1), Part("bars", np.array(4.0), 4)]
    assert float(half_width(parts, 0.95)) == pytest.approx(39.907, abs=0.001)


def test_no_variance_gives_no_interval():
    assert float(half_width([Part("loads", np.array(0.0), 1), Part("bars", np.array(0.0), 4)], 0.95)) == 0.0
