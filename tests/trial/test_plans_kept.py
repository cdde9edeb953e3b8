"""What a plan promises is kept: a small part of tests/bench/planned.py, whose table is kept beside it."""

import math

import numpy as np
import pytest

from bodytest.trial.needs import CHANCE
from bodytest.trial.planned import plan
from bodytest.trial.question import Question
from tests.bench.planned import question, shares


@pytest.mark.parametrize(
    ("asked", "tests"),
    [
        (question(("size",)), 25),
        (question(("tight",), expected=1.2, limit=2.0), 25),
        (question(("range",), "6 4 5 7", expected=1.5, limit=2.0), 25),
        (question(("same",), tolerance=0.3), 40),
        (question(("match",), pair_mm=1.5), 40),
    ],
    ids=lambda value: value.goals[0] if isinstance(value, Question) else "",
)
def test_as_many_tests_as_told_reach_what_is_promised(asked: Question, tests: int) -> None:
    """The share may fall short of what is told by two standard errors of so few tests, no more."""
    planned = plan(asked)
    (need,) = planned.needs
    reached, _ = shares(planned, tests, np.random.default_rng(20281121))[need.goal]
    told = need.expected if need.goal in ("tight", "same", "match") else CHANCE
    assert reached >= told - 2.0 * math.sqrt(told * (1.0 - told) / tests)
