"""The chance of a verdict that is told before bars are made: held where loads are few and bodies have a long tail."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bodytest.trial.needs import chance_of_verdict, needs_of
from bodytest.trial.planned import plan
from bodytest.trial.question import Scatter
from tests.bench.planned import question
from tests.bench.promises import reached
from tests.stats.one_batch_values import from_r

TESTS = 600


@pytest.mark.parametrize("body", ["normal", "skewed"])
@pytest.mark.parametrize(
    ("most_loads", "expected", "limit"), [(3, 0.2, 2.0), (3, 0.5, 2.0), (3, 3.0, 6.0), (4, 0.2, 1.0), (1, 0.1, 0.3)]
)
def test_as_many_tests_as_told_end_in_the_verdict(most_loads: int, expected: float, limit: float, body: str) -> None:
    asked = question(("tight",), expected=expected, limit=limit, most_loads=most_loads)
    (need,) = needs_of(asked)
    assert need.loads == most_loads
    found = reached(asked, need, body, TESTS, np.random.default_rng(20291129))
    assert found >= need.expected - 2.0 * math.sqrt(need.expected * (1.0 - need.expected) / TESTS)


@pytest.mark.parametrize(("name", "bars", "distance"), [("5_0.7", 5, 0.7), ("11_1", 11, 1.0)])
def test_bars_that_scatter_little_have_the_power_of_the_t_test(name: str, bars: int, distance: float) -> None:
    """Nothing but bars scatters, by 0.02 of their mean: far from any tail. Base R, power.t.test."""
    scatter = Scatter(absorption=1.0, absorption_bar=0.02, absorption_batch=0.0)
    asked = question(("tight",), most_loads=1, scatter=scatter)
    asked = replace(asked, kiln=replace(asked.kiln, temperature_pm_c=0.0))
    told = chance_of_verdict(asked, 1.0 - 0.02 * distance, 1.0, bars)
    assert told == pytest.approx(from_r(f"power_one_sample_{name}")[0], abs=0.03)


def test_a_body_far_from_its_limit_is_told_a_chance_that_is_a_number() -> None:
    sentence = plan(question(("tight",), expected=3.0, limit=6.0, most_loads=1)).needs[0].sentence
    assert sentence == (
        "Tight, for this batch in this load: the verdict “meets” on 6 % is reached with a chance of over 99 %, if the"
        " absorption is 3 % as expected. One bar more: over 99 %."
    )
