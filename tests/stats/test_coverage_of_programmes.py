"""A small seeded part of tests/bench/programme_coverage.py: answers hold for the next load and the next batch."""

import numpy as np
import pytest

from tests.bench.programme_coverage import LAYOUTS
from tests.bench.simulated_programmes import Body, Programme, borrowed, programme, skewed

RUNS = 1500
NOISE = 0.017
"""Three standard errors of a coverage of 95 % from so many runs."""


def holds(found):
    assert min(found.mean, found.next_bar) > 0.93 - NOISE
    assert not found.tolerance < 0.93 - NOISE
    assert max(found.wrong_meets, found.wrong_does_not_meet) < 0.055 + NOISE


@pytest.mark.parametrize("scatter", [0.1, 0.3])
@pytest.mark.parametrize("sizes", [(4, 3, 3), (2,) * 5, (1,) * 10, (2, 10, 10, 10)], ids=str)
def test_ten_bars_over_several_loads_hold_for_the_next_load(sizes, scatter):
    rng = np.random.default_rng([41, len(sizes), sum(sizes), int(10 * scatter)])
    holds(programme(Programme((sizes,), load_sd=scatter), RUNS, rng))


@pytest.mark.parametrize("number", [3, 6])
@pytest.mark.parametrize("scatter", [0.1, 0.3])
def test_one_load_holds_for_the_next_with_scatter_known_from_elsewhere(number, scatter):
    holds(borrowed(10, scatter, 0.15, number, RUNS, np.random.default_rng([42, number, int(10 * scatter)])))


@pytest.mark.parametrize("scatter", [(0.0, 0.0), (0.15, 0.15), (0.5, 0.1)], ids=str)
@pytest.mark.parametrize("name", list(LAYOUTS)[3:8])
def test_uneven_and_partly_crossed_layouts_hold_for_any_batch_in_any_load(name, scatter):
    rng = np.random.default_rng([43, len(name), int(100 * scatter[0])])
    holds(programme(Programme(LAYOUTS[name], *scatter), RUNS // 2, rng))


def test_coarse_readings_hold_too():
    rng = np.random.default_rng(44)
    layout = LAYOUTS["a chain: each load shares one batch with the next"]
    holds(programme(Programme(layout, 0.15, 0.15, step_mm=0.5, calibration_mm=0.5), RUNS, rng))


def test_one_load_alone_holds_for_itself():
    holds(programme(Programme(((10,),), load_sd=0.3), RUNS, np.random.default_rng(46)))


@pytest.mark.parametrize("loads", [3, 6])
def test_absorptions_of_several_loads_hold_when_skewed(loads):
    holds(skewed(Body(5, loads, 0.3, 0.4), RUNS // 3, np.random.default_rng([47, loads])))
