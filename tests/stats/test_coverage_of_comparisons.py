"""A small seeded part of tests/bench/comparison_coverage.py: verdicts on several means hold as often as they claim."""

import numpy as np
import pytest

from tests.bench.comparison_coverage import compared

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
