"""A small seeded part of tests/bench/coverage.py: intervals and verdicts hold as often as they claim."""

import numpy as np
import pytest

from tests.bench.simulated_firings import Layout, several_batches

RUNS = 4000
NOISE = 0.0104
"""Three standard errors of a coverage of 95 % from so many runs."""


@pytest.mark.parametrize("correlation", [0.0, 0.3, 0.9])
@pytest.mark.parametrize("sizes", [(5, 5), (5, 5, 5), (3, 8, 15), (1, 2, 10, 3, 6), (3,) * 10], ids=str)
def test_intervals_over_batches_hold(sizes, correlation):
    rng = np.random.default_rng([21, len(sizes), sum(sizes), int(10 * correlation)])
    found = several_batches(Layout(sizes, correlation), RUNS, rng)
    least = 0.93 - NOISE / 2
    assert found.mean > 0.95 - NOISE
    assert found.next_bar > least
    assert found.tolerance > least
    assert max(found.wrong_meets, found.wrong_does_not_meet) < 0.05 + NOISE


@pytest.mark.parametrize("step_mm", [0.1, 0.5, 1.0])
def test_intervals_over_batches_hold_with_coarse_readings_and_a_calibration_error(step_mm):
    rng = np.random.default_rng([22, int(10 * step_mm)])
    for sizes, wet_sd in (((5, 5, 5), 0.3), ((4, 6, 3, 5), 0.0), ((5, 5), 0.3)):
        layout = Layout(sizes, 0.3, step_mm=step_mm, wet_sd_mm=wet_sd, calibration_mm=0.5)
        found = several_batches(layout, RUNS, rng)
        assert min(found.mean, found.next_bar, found.tolerance) > 0.93 - NOISE / 2
        assert max(found.wrong_meets, found.wrong_does_not_meet) < 0.05 + NOISE


def test_the_mean_holds_exactly_as_claimed_where_batches_differ():
    rng = np.random.default_rng(23)
    found = several_batches(Layout((5, 5, 5, 5), 0.8), 4 * RUNS, rng)
    assert found.mean == pytest.approx(0.95, abs=NOISE / 2)
