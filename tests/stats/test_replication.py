"""The chance that a number of bars, batches or loads is enough, and which of them it helps to have more of."""

import math

import numpy as np
import pytest
from scipy import stats

from bodytest.stats.replication import (
    Components,
    Replicates,
    chance_of_half_width,
    fewest_for_half_width,
    what_limits,
)


def test_bars_of_one_batch_are_limited_by_bars_and_by_what_all_share():
    found = what_limits(Components(0.2, bars=6, shared=0.05))
    assert (found.unit, found.sd, found.seen) == ("bars", 0.2, 6)
    assert found.rest == pytest.approx(1.959964 * 0.05)


def test_the_part_with_the_largest_share_of_the_half_width_limits():
    batches = what_limits(Components(0.2, bars=24, batch_sd=0.4, batches=4, load_sd=0.1, loads=3))
    # t(0.975; 3)² 0.16/4 = 0.405 of batches, t(0.975; 2)² (0.01 + 0.04 × 3/24)/3 = 0.0926 of loads with the bars.
    assert (batches.unit, batches.sd, batches.seen) == ("batches", 0.4, 4)
    assert batches.rest == pytest.approx(stats.t.ppf(0.975, 2) * math.sqrt((0.01 + 0.04 / 8.0) / 3.0))
    loads = what_limits(Components(0.2, bars=24, batch_sd=0.05, batches=4, load_sd=0.4, loads=3))
    assert (loads.unit, loads.seen) == ("loads", 3)


def test_given_scatter_of_batches_and_loads_is_met_by_loads_with_a_batch_of_their_own_each():
    found = what_limits(Components(0.15, batch_sd=0.3, load_sd=0.4, bars_each=5))
    assert (found.unit, found.seen) == ("loads", 0)
    assert found.sd == pytest.approx(math.sqrt(0.09 + 0.16 + 0.0225 / 5))


def test_bars_already_made_are_enough_or_not():
    of = Replicates("bars", 0.2, 6)
    now = stats.t.ppf(0.975, 5) * 0.2 / math.sqrt(6)
    assert chance_of_half_width(6, of, now * 1.001) == 1.0
    assert chance_of_half_width(6, of, now * 0.999) == 0.0


def test_no_number_is_enough_below_what_is_left_with_any():
    of = Replicates("batches", 0.2, 6, rest=0.1)
    assert chance_of_half_width(900, of, 0.1) == 0.0
    assert fewest_for_half_width(of, 0.1, 0.5) is None


@pytest.mark.parametrize(
    "of", [Replicates("bars", 1.0, 5), Replicates("loads", 1.0, 0), Replicates("bars", 1.0, 3, 0.2)]
)
@pytest.mark.parametrize("chance", [0.5, 0.9])
def test_the_fewest_are_enough_and_one_less_is_not(of, chance):
    number = fewest_for_half_width(of, 0.6, chance)
    assert chance_of_half_width(number, of, 0.6) >= chance > chance_of_half_width(number - 1, of, 0.6)


@pytest.mark.parametrize("chance", [0.5, 0.9])
@pytest.mark.parametrize(("seen", "half_width"), [(3, 0.5), (5, 0.3), (5, 0.8), (10, 0.5)])
def test_the_chance_is_reached_in_as_large_a_share_of_simulated_tests(seen, half_width, chance):
    """The long run is in tests/bench/comparison_coverage.py."""
    rng = np.random.default_rng([3, seen, int(10 * half_width)])
    reached = asked = 0
    for _ in range(600):
        bars = rng.standard_normal(seen)
        if stats.t.ppf(0.975, seen - 1) * bars.std(ddof=1) / math.sqrt(seen) <= half_width:
            continue  # enough already, so nothing is promised
        number = fewest_for_half_width(Replicates("bars", bars.std(ddof=1), seen), half_width, chance)
        every = np.concatenate([bars, rng.standard_normal(number - seen)])
        reached += stats.t.ppf(0.975, number - 1) * every.std(ddof=1) / math.sqrt(number) <= half_width
        asked += 1
    assert asked > 300
    assert reached / asked > chance - 3.0 * math.sqrt(chance * (1.0 - chance) / asked)
