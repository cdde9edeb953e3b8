"""Control bars: loads are told apart from clays, and uncertainties hold in simulation."""

import numpy as np
import pytest

from bodytest.stats.control_bars import corrected_for_loads, load_history


def test_corrected_means_hold_and_are_surer_than_measured_ones():
    rng = np.random.default_rng(41)
    loads, bars, control, runs = 6, 5, 4, 4000
    errors, measured, told = np.empty(runs), np.empty(runs), np.empty((runs, 2))
    for run in range(runs):
        kiln = 0.3 * rng.standard_normal(loads)
        rods = kiln[:, None] + 0.1 * rng.standard_normal((loads, control))
        clay = 12.0 + kiln[2] + 0.1 * rng.standard_normal(bars)
        bar_sd = float(np.sqrt(rods.var(axis=1, ddof=1).mean()))
        history = load_history(rods.mean(axis=1).tolist(), [control] * loads, bar_sd)
        found = corrected_for_loads(float(clay.mean()), 0.1 / bars**0.5, [bars], history, [2])
        errors[run] = found.corrected - 12.0 - kiln.mean()  # in the mean of these loads
        measured[run] = found.measured - 12.0
        told[run] = found.corrected_uncertainty, found.measured_uncertainty
    assert np.mean(told[:, 0] ** 2) == pytest.approx(errors.var(), rel=0.08)
    assert np.mean(told[:, 1] ** 2) == pytest.approx(measured.var(), rel=0.08)
    assert errors.std() < 0.3 * measured.std()


def test_a_batch_in_two_loads_is_corrected_for_both_by_its_bars():
    history = load_history([12.0, 12.6, 12.0], [3, 3, 3], 0.0)
    found = corrected_for_loads(12.5, 0.05, [3, 1], history, [1, 0])
    assert found.corrected == pytest.approx(12.5 - 0.75 * 0.4 + 0.25 * 0.2)
    assert found.corrected_uncertainty == pytest.approx(0.05)


def test_one_load_without_control_bars_leaves_the_batch_as_measured():
    history = load_history([12.0, 12.6], [3, 3], 0.1)
    found = corrected_for_loads(12.5, 0.05, [3, 1], history, [1, None])
    assert (found.measured, found.corrected, found.corrected_uncertainty) == (12.5, None, None)


def test_loads_that_differ_no_more_than_bars_do_have_no_scatter_of_their_own():
    assert load_history([12.0, 12.01, 11.99], [2, 2, 2], 0.2).load_sd == 0.0
