"""A small seeded part of tests/bench/comparison_coverage.py: verdicts on several means hold as often as they claim."""

import numpy as np
import pytest

from tests.bench.comparison_coverage import compared, fired_again, reached_by_batches

RUNS = 1500
NOISE = 0.017
"""Three standard errors of 5 % from so many runs."""


@pytest.mark.parametrize(
    ("sizes", "sds"),
    [
        ((2, 10), (3, 1)),
        ((3, 3), (1, 3)),
        ((5, 5, 5), (1, 2, 4)),
        ((2, 10, 10, 10), (3, 1, 1, 1)),
        ((5,) * 5, (1, 1, 2, 3, 4)),
        ((2, 2, 2, 2, 2, 30), (4, 4, 4, 4, 4, 1)),
        ((7, 7, 30), (2.5, 2.5, 1)),
    ],
    ids=str,
)
def test_verdicts_on_several_means_are_wrong_no_more_often_than_they_say(sizes, sds):
    found = compared(sizes, sds, RUNS, np.random.default_rng([26, len(sizes), sum(sizes)]))
    assert found.wrong_different < 0.05 + NOISE
    assert found.wrong_same < 0.05 + NOISE


def test_intervals_of_bars_fired_again_hold_and_are_far_narrower_than_those_of_strangers():
    found = fired_again(5, 1, 0.01, RUNS, np.random.default_rng(27))
    assert found.holds == pytest.approx(0.95, abs=NOISE)
    assert found.half_width < 0.15 * found.as_strangers


def test_as_many_batches_as_are_told_reach_the_half_width_in_half_of_all_cases():
    share, asked = reached_by_batches(5, 2.0, 0.5, 200, np.random.default_rng(28))
    assert asked > 0.5
    assert share > 0.5 - 0.11
