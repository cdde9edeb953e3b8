"""Control bars: loads are told apart from clays, and uncertainties hold in simulation."""

import numpy as np
import pytest

from bodytest.stats.control_bars import corrected_for_loads, load_history
from tests.bench.control_coverage import Controlled, controlled

RUNS = 1500
NOISE = 0.017
"""Three standard errors of a coverage of 95 % from so many runs."""


@pytest.mark.parametrize("control", [(2, 2), (2, 2, 2), (2,) * 6, (1, 2, 4, 2, 1, 6)], ids=str)
def test_two_standard_uncertainties_of_a_corrected_mean_hold(control):
    found = controlled(Controlled(control), RUNS, np.random.default_rng([41, sum(control)]))
    assert found.corrected > 0.95 - NOISE
    assert found.half_width < 0.5 * found.measured_half_width


@pytest.mark.parametrize(
    "tried", [Controlled((4,) * 6), Controlled((2, 2)), Controlled((2,) * 6, load_sd=0.1)], ids=str
)
def test_the_mean_as_measured_holds_for_the_loads_to_come(tried):
    found = controlled(tried, RUNS, np.random.default_rng(42))
    assert found.measured > 0.95 - NOISE


def test_a_batch_in_two_loads_is_corrected_for_both_by_its_bars():
    history = load_history([12.0, 12.6, 12.0], [3, 3, 3], 0.0)
    found = corrected_for_loads(12.5, 0.05, [3, 1], history, [1, 0])
    assert found.corrected == pytest.approx(12.5 - 0.75 * 0.4 + 0.25 * 0.2)
    assert found.corrected_uncertainty == pytest.approx(0.05)


def test_one_load_without_control_bars_leaves_the_batch_as_measured():
    history = load_history([12.0, 12.6], [3, 3], 0.1)
    found = corrected_for_loads(12.5, 0.05, [3, 1], history, [1, None])
    assert (found.corrected, found.corrected_uncertainty) == (None, None)


def test_loads_that_differ_no_more_than_bars_do_have_no_scatter_of_their_own():
    assert load_history([12.0, 12.01, 11.99], [2, 2, 2], 0.2).load_sd == 0.0
