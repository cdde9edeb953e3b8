"""A variance split into parts, and the interval that follows, by hand."""

import numpy as np
import pytest

from bodytest.stats.mean_squares import MeanSquare, MeanSquares
from bodytest.stats.variance_parts import Part, Shares, half_width, upper_variance, variance_parts

NONE = MeanSquare(np.array(0.0), 0, 0.0)


def square(value, freedom, noise):
    return MeanSquare(np.array(float(value)), freedom, noise)


def of_pieces(batch, load, piece, batch_share=0.5, load_share=0.5):
    """Pieces of two batches in two loads each, if not told otherwise, bars of variance 2 with eight degrees."""
    return MeanSquares(batch, load, piece, batch_share, load_share, np.array(2.0), 8, np.array(16.0))


def shares(batch, load, bar):
    return Shares(np.array(batch), np.array(load), np.array(bar))


def told(parts):
    return {part.source: (pytest.approx(float(part.variance), abs=1e-12), part.freedom) for part in parts}


def test_pieces_of_several_batches_and_loads_add_half_their_freedom_to_each():
    """By hand: σ_b² 8 and σ_l² 4 seen within pieces, 21 and 30 seen between them, pooled with 2 to 0.5."""
    squares = of_pieces(square(9, 2, 0.5), square(5, 2, 0.5), square(12, 1, 0.25), load_share=0.25)
    parts = variance_parts(squares, shares(0.25, 0.25, 0.2))
    assert told(parts) == {"batches": (2.9, 2.5), "loads": (2.45, 2.5), "bars": (0.0, 8)}


def test_pieces_that_agree_by_chance_tell_of_no_scatter_below_zero():
    """By hand: nothing is seen between pieces, so that 2 · 8/2.5 = 6.4 and 2 · 4/2.5 = 3.2 are left."""
    squares = of_pieces(square(9, 2, 0.5), square(5, 2, 0.5), square(0.1, 1, 0.25))
    parts = variance_parts(squares, shares(0.25, 0.25, 0.0))
    assert told(parts) == {"batches": (1.6, 2.5), "loads": (0.8, 2.5), "bars": (0.0, 8)}


def test_batches_over_loads_vouch_for_the_loads_and_bars_beneath_them():
    """By hand: σ_l² = 5 − 2/2 = 4, beneath 2/4 + 4/2 = 2.5, σ_b² = 12 − 2.5 = 9.5; 9.5/3 + 4/6 + 2/12 rests on batches.

    0.2 − 1/6 of the loads with their noise is left to these, 4/30 + 2/60, and 0.1 of the bars to themselves.
    """
    squares = of_pieces(NONE, square(5, 4, 0.5), square(12, 2, 0.25), batch_share=1.0)
    parts = variance_parts(squares, shares(1 / 3, 0.2, 0.2))
    assert told(parts) == {"batches": (4.0, 2), "loads": (1 / 6, 4), "bars": (0.2, 8)}


def test_loads_over_batches_do_the_same():
    squares = of_pieces(square(5, 4, 0.5), NONE, square(12, 2, 0.25), load_share=1.0)
    parts = variance_parts(squares, shares(0.2, 1 / 3, 0.2))
    assert told(parts) == {"loads": (4.0, 2), "batches": (1 / 6, 4), "bars": (0.2, 8)}


def test_batches_that_scatter_less_than_what_is_beneath_them_vouch_for_it_in_proportion():
    """By hand: 1 in place of 2.5, so 0.4 of 4/6 + 2/12 rests on batches, and the rest on loads and bars."""
    squares = of_pieces(NONE, square(5, 4, 0.5), square(1, 2, 0.25), batch_share=1.0)
    parts = variance_parts(squares, shares(1 / 3, 0.2, 0.2))
    assert told(parts) == {"batches": (1 / 3, 2), "loads": (2 / 3, 4), "bars": (0.2, 8)}


def test_batches_and_loads_that_change_together_are_one_part():
    """By hand: 4 − 2/2 = 3 between pieces, a third of it and of the noise, and what is left of the bars."""
    squares = of_pieces(NONE, NONE, square(4, 2, 0.5), batch_share=1.0, load_share=1.0)
    parts = variance_parts(squares, shares(1 / 3, 1 / 3, 0.2))
    assert told(parts) == {"batches and loads": (4 / 3, 2), "bars": (1 / 15, 8)}


def test_bars_that_are_all_alike_have_parts_of_nothing():
    squares = MeanSquares(NONE, square(0, 2, 0.5), NONE, 1.0, 1.0, np.array(0.0), 3, np.array(0.0))
    assert told(variance_parts(squares, shares(1.0, 0.3, 0.2))) == {"loads": (0.0, 2), "bars": (0.0, 3)}


def test_where_two_parts_are_nearly_alike_the_larger_one_rules():
    """By hand: √13 (81 · 12.7062 + 16 · 2.7764)/97, above 34.80 (Cochran) and 38.12 (the larger)."""
    parts = [Part("loads", np.array(9.0), 1), Part("bars", np.array(4.0), 4)]
    assert float(half_width(parts, 0.95)) == pytest.approx(39.907, abs=0.001)


def test_no_variance_gives_no_interval():
    assert float(half_width([Part("loads", np.array(0.0), 1), Part("bars", np.array(0.0), 4)], 0.95)) == 0.0


def test_where_two_parts_are_known_nearly_as_well_they_count_by_their_variances():
    """By hand: 3 (4 · 3.1824 + 5 · 2.5706)/9, above 8.427 (by squares) and 6.365 (the larger)."""
    parts = [Part("loads", np.array(4.0), 3), Part("bars", np.array(5.0), 5)]
    assert float(half_width(parts, 0.95)) == pytest.approx(8.528, abs=0.001)


def test_what_two_parts_may_be_more_adds_up_by_squares():
    """By hand: 3 + √((9/3.3251 − 1)² + 2² (3/0.35185 − 1)²)."""
    parts = [Part("bars", np.array(1.0), 9), Part("loads", np.array(2.0), 3)]
    assert float(upper_variance(parts, 0.95)) == pytest.approx(18.149, abs=0.005)
