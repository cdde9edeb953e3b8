"""Values that cannot be negative: intervals and verdicts hold for skewed bodies, and say where they may not."""

import numpy as np
import pytest

from bodytest.stats.skew import Positive, allow_for_skew, upper_limit, with_room_for_skew
from bodytest.stats.summary import summarise_bars
from tests.stats.deciding import decide

RUNS = 4000
NOISE = 0.0104
"""Three standard errors of a coverage of 95 % from so many runs."""


def lognormal(sigma, shape, rng):
    """Bodies of mean 1."""
    return np.exp(sigma * rng.standard_normal(shape) - sigma**2 / 2.0)


@pytest.mark.parametrize(
    ("sigma", "bars"),
    [(0.1, 3), (0.1, 20), (0.2, 3), (0.2, 5), (0.5, 5), (0.5, 10), (0.5, 20), (0.7, 3), (0.7, 5), (0.7, 10)],
)
def test_intervals_and_verdicts_hold_for_skewed_bodies(sigma, bars):
    rng = np.random.default_rng([31, bars])
    readings, further = lognormal(sigma, (RUNS, bars), rng), lognormal(sigma, RUNS, rng)
    found = [with_room_for_skew(summarise_bars(values)) for values in readings]
    assert np.mean([one.low <= 1.0 <= one.high for one in found]) > 0.93 - NOISE / 2
    next_holds = [one.next_low <= value <= one.next_high for one, value in zip(found, further, strict=True)]
    assert np.mean(next_holds) > 0.95 - NOISE
    verdicts = [
        [
            decide(f.mean, f.standard_uncertainty, f.degrees_of_freedom, (None, limit), values=Positive(f.sd))
            for limit in (1.0 - 1e-9, 1.0)
        ]
        for f in found
    ]
    assert np.mean([just_above == "meets" for just_above, _ in verdicts]) < 0.055 + NOISE / 2
    assert np.mean([just_at == "does not meet" for _, just_at in verdicts]) < 0.055


def test_a_plain_t_limit_would_call_skewed_bodies_tight_too_often():
    rng = np.random.default_rng(32)
    found = [summarise_bars(values) for values in lognormal(0.5, (RUNS, 5), rng)]
    wrong = [decide(f.mean, f.standard_uncertainty, f.degrees_of_freedom, (None, 1.0 - 1e-9)) == "meets" for f in found]
    assert np.mean(wrong) > 0.1


def test_dense_bodies_whose_readings_come_out_negative_keep_an_interval():
    rng = np.random.default_rng(33)
    reading = 0.03
    readings = 0.02 * lognormal(0.5, (RUNS, 5), rng) + reading * rng.standard_normal((RUNS, 5))
    assert (readings < 0.0).mean() > 0.2
    found = [with_room_for_skew(summarise_bars(values, step_uncertainty=reading), reading) for values in readings]
    assert np.mean([one.low <= 0.02 <= one.high for one in found]) > 0.95 - NOISE
    assert all(np.isfinite(one.tolerance_high) for one in found)


@pytest.mark.parametrize(("sd", "least"), [(0.03, 0.04), (0.1, 0.025), (0.2, 0.015)])
def test_a_limit_holds_for_bodies_that_are_not_skewed_and_asks_little_more_of_them(sd, least):
    rng = np.random.default_rng([34, int(100 * sd)])
    found = [summarise_bars(values) for values in 1.0 + sd * rng.standard_normal((RUNS, 5))]
    limits = [upper_limit(f.mean, f.standard_uncertainty, 4, Positive(f.sd), 0.95) for f in found]
    assert least < np.mean(np.array(limits) < 1.0) < 0.05 + NOISE
    plain = [upper_limit(f.mean, f.standard_uncertainty, 4, None, 0.95) for f in found]
    assert np.median(limits) - 1.0 < 1.5 * (np.median(plain) - 1.0)


def test_little_scatter_beside_the_mean_changes_next_to_nothing():
    plain = summarise_bars([16.2, 15.8, 16.4, 17.1, 16.9])
    assert with_room_for_skew(plain, 0.01) is plain
    arguments = plain.mean, plain.standard_uncertainty, plain.degrees_of_freedom
    assert upper_limit(*arguments, Positive(0.03 * plain.mean), 0.95) == upper_limit(*arguments, None, 0.95)
    assert 0.0 < upper_limit(*arguments, Positive(plain.sd), 0.95) - upper_limit(*arguments, None, 0.95) < 0.01
    assert upper_limit(*arguments, None, 0.95) == pytest.approx(16.98, abs=0.005)  # computed from five published bricks
    assert decide(*arguments, (None, 17.0), values=Positive(plain.sd)) == "meets"


def test_wide_scatter_or_fewer_than_five_bars_are_said_to_be_beyond_what_was_shown():
    assert with_room_for_skew(summarise_bars([0.1, 0.2, 0.3, 0.5, 2.5])).skew == "may not hold"
    assert with_room_for_skew(summarise_bars([0.4, 0.5, 0.7, 1.2])).skew == "may not hold"
    assert with_room_for_skew(summarise_bars([0.4, 0.5, 0.6, 0.7, 1.2])).skew == "allowed for"
    assert not Positive(0.3).holds(-0.1)
    assert allow_for_skew(-0.1, 0.2, Positive(0.3)) == (pytest.approx(-0.3), pytest.approx(0.1))


def test_no_lower_end_lies_below_zero_unless_the_mean_does():
    assert allow_for_skew(0.2, 0.5, Positive(0.3))[0] == 0.0
