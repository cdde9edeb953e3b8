"""What the intervals over batches and loads rest on: by hand, and against the mixed model written out in full."""

import numpy as np
import pytest

from bodytest.stats.components import components_of
from bodytest.stats.design import cell_layout
from bodytest.stats.effect_intervals import effect_intervals
from bodytest.stats.mean_squares import mean_squares
from bodytest.stats.restricted_likelihood import Cells, cells_of
from bodytest.stats.variance_parts import Shares, total_variance, upper_variance, variance_parts

LOADS = cell_layout([0] * 30, [bar // 5 for bar in range(30)])[0]
DYESTUFF = Cells(LOADS, np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
"""Davies & Goldsmith 1972, 6.4: mean squares 11271.5 between six, 2451.25 within."""


def crossed(seed):
    """Thirty bars of three batches in five loads, uneven; the scatter of all is well below 1."""
    rng = np.random.default_rng(seed)
    batch, load = rng.integers(0, 3, 30), rng.integers(0, 5, 30)
    values = 12.0 + 0.2 * rng.standard_normal(3)[batch] + 0.3 * rng.standard_normal(5)[load]
    return values + 0.1 * rng.standard_normal(30), batch, load


def variances(cells):
    """Return those of batches and loads by their mean squares, and that of bars."""
    found = mean_squares(cells)
    bar = float(found.bar_variance)
    return *(float(one.value) - one.noise * bar for one in (found.batch, found.load)), bar


def test_the_tolerance_interval_of_the_dyestuff_data_by_hand():
    """2254.3 with 5 degrees of freedom and 1961 with 24, at most 5/1.14548 and 24/13.8484 times as much: 11935.9.

    The mean adds 375.72 to 4215.3, the instruments 30²: 1.95996 √(11935.9 · 1.08913 + 900).
    """
    found = effect_intervals(DYESTUFF, 0.0, np.asarray(30.0))
    assert float(found.bar_sd) == pytest.approx(4215.3**0.5)
    assert float(found.tolerance_half_width) == pytest.approx(231.08, abs=0.02)
    assert [(part.source, part.freedom) for part in found.parts] == [("loads", 5), ("bars", 24), ("instruments", 1e6)]
    assert float(total_variance(found.next_parts)) == pytest.approx(375.72 + 4215.3 + 900.0, abs=0.01)


def test_the_bars_of_uneven_loads_count_half_way_to_what_they_do_where_loads_count_alike():
    load = np.repeat([0, 1, 2, 3], (2, 9, 3, 4))
    rng = np.random.default_rng(3)
    cells = cells_of(12.0 + 0.3 * rng.standard_normal(4)[load] + 0.2 * rng.standard_normal(18), [0] * 18, load)
    _, of_load, of_bar = variances(cells)
    weights, sizes = components_of(cells, mean_squares(cells)).fit.weights, cells.layout.sizes
    share = (np.sum(weights**2 / sizes) + np.sum(0.25**2 / sizes)) / 2.0
    found = effect_intervals(cells, 0.0, np.zeros(()))
    assert float(total_variance(found.parts)) == pytest.approx(np.sum(weights**2) * of_load + share * of_bar)
    assert float(found.mean) == pytest.approx(float(weights @ cells.means))
    assert float(found.bar_sd) ** 2 == pytest.approx(of_load + of_bar)
    of_one = variance_parts(mean_squares(cells), Shares(np.zeros(()), np.ones(()), np.ones(())))
    around = 1.0 + float(total_variance(found.parts)) / (of_load + of_bar)
    expected = 1.959964 * np.sqrt(upper_variance(of_one, 0.95) * around)
    assert float(found.tolerance_half_width) == pytest.approx(float(expected), rel=1e-6)


def test_loads_that_agree_to_the_last_digit_leave_bars_the_scatter_of_the_reading_step():
    cells = cells_of([12.0, 12.01] * 3, [0] * 6, [0, 0, 1, 1, 2, 2])
    found = effect_intervals(cells, 0.04, np.zeros(()))
    assert float(found.components.bar_variance) == pytest.approx(0.04**2)
