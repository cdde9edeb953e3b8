"""A small seeded part of tests/bench/command_coverage.py: what the commands answer holds as often as they say."""

import numpy as np
import pytest
from scipy.stats import binom

from tests.bench.command_coverage import TESTS, absorbed, answered, compared

BODIES = 30
FEWEST = int(binom.ppf(1e-3, BODIES, 0.95))
"""So few bodies are held by intervals of 95 % in one case of a thousand."""
MOST_WRONG = BODIES - FEWEST


@pytest.mark.parametrize("name", ["uneven loads", "partly crossed, uneven, loads rule"])
def test_means_of_programmes_hold(name):
    found = np.array(answered(TESTS[name], BODIES, np.random.default_rng([91, len(name)])))
    assert found[:, 0].sum() >= FEWEST
    assert found[:, 1].mean() > 0.9


def test_one_load_holds_for_itself_and_with_borrowed_scatter_for_any_load():
    own, _, any_load, _, borrowed, _ = np.array(answered(TESTS["one load"], BODIES, np.random.default_rng(92))).T
    assert min(own.sum(), borrowed.sum()) >= FEWEST
    assert any_load.sum() < FEWEST  # why the answer says of which load it speaks


def test_skewed_absorptions_at_the_limit_are_seldom_judged_wrongly():
    held, meets, does_not, _ = np.array(absorbed(0.5, 5, 1, BODIES, np.random.default_rng(93))).T
    assert held.sum() >= FEWEST
    assert max(meets.sum(), does_not.sum()) <= MOST_WRONG


@pytest.mark.parametrize("apart", [0.0, 0.5])
def test_batches_of_unequal_size_and_scatter_are_seldom_compared_wrongly(apart):
    found = compared((2, 10, 10, 10), (0.3, 0.1, 0.1, 0.1), apart, BODIES, np.random.default_rng(94))
    assert np.sum(found) <= MOST_WRONG
