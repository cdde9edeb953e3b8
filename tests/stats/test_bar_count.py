import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import stdtrit

from bodytest.stats.bar_count import (
    MOST_BARS,
    bars_each_for_half_width,
    bars_for_half_width,
    bars_to_notice,
    half_width_of,
)
from bodytest.stats.mean_differences import compare_means, level_mean
from bodytest.stats.summary import summarise_bars
from tests.stats.one_batch_values import SHRINKAGE, from_r


@settings(deadline=None)
@given(st.floats(0.01, 10.0), st.floats(0.01, 10.0), st.floats(0.0, 0.5))
def test_the_number_is_enough_and_one_less_is_not(sd, half_width, shared):
    bars = bars_for_half_width(sd, half_width, shared_uncertainty=shared)
    if bars is None:
        assert half_width_of(MOST_BARS, sd, shared_uncertainty=shared) > half_width
    else:
        assert half_width_of(bars, sd, shared_uncertainty=shared) <= half_width
        assert bars == 2 or half_width_of(bars - 1, sd, shared_uncertainty=shared) > half_width


def test_the_half_width_is_that_of_the_summary():
    summary = summarise_bars(SHRINKAGE, calibration_uncertainty=0.03)
    assert half_width_of(7, summary.sd, shared_uncertainty=0.03) == pytest.approx(summary.high - summary.mean)


def test_no_number_of_bars_is_enough_below_the_calibration():
    assert bars_for_half_width(0.1, 0.05, shared_uncertainty=0.03) is None
    assert bars_for_half_width(0.1, 0.0) is None
    assert bars_for_half_width(0.0, 0.1) == 2


@pytest.mark.parametrize("difference", [0.5, 1.0, 2.0])
def test_the_bars_to_notice_a_difference_are_those_of_r(difference):
    # Base R, power.t.test(..., strict = TRUE); tests/stats/r/one_batch.R.
    assert bars_to_notice(difference, 1.0) == math.ceil(from_r(f"bars_two_sample_{difference:g}")[0])


def test_differences_too_small_or_not_there_have_no_number():
    assert bars_to_notice(0.01, 1.0) is None
    assert bars_to_notice(0.0, 1.0) is None
    assert bars_to_notice(0.1, 0.0) == 2


def test_the_bars_to_notice_a_difference_allow_for_what_few_bars_show_of_their_scatter():
    rng = np.random.default_rng(12)
    noticed = runs = 0
    for _ in range(200):
        pilot = rng.normal(0.0, 1.0, 6)
        bars = bars_to_notice(1.2, pilot.std(ddof=1), seen_freedom=5.0)
        assert bars >= bars_to_notice(1.2, pilot.std(ddof=1))
        first, second = rng.normal(0.0, 1.0, (2, 40, bars))
        second += 1.2
        freedom = 2.0 * bars - 2.0
        error = np.sqrt((first.var(axis=1, ddof=1) + second.var(axis=1, ddof=1)) / bars)
        noticed += int((np.abs(second.mean(axis=1) - first.mean(axis=1)) > stdtrit(freedom, 0.975) * error).sum())
        runs += 40
    assert noticed / runs > 0.8


@pytest.mark.parametrize(("difference", "bars"), [(12.1, 2), (5.66, 3), (3.08, 4), (2.39, 5)])
def test_few_bars_notice_a_difference_as_often_as_told_where_they_are_compared(difference, bars):
    """The pooled t test would do with one bar less, which notices it in as few as a third of all cases."""
    assert bars_to_notice(difference, 1.0) == bars
    draw = np.random.default_rng([20291129, bars])
    pairs = zip(draw.normal(0.0, 1.0, (800, bars)), draw.normal(difference, 1.0, (800, bars)), strict=True)
    found = [compare_means([level_mean(first), level_mean(second)])[0].verdict for first, second in pairs]
    assert np.mean([one == "different" for one in found]) > 0.8 - 2.0 * math.sqrt(0.8 * 0.2 / 800)


def test_more_bars_of_the_same_batches_do_not_help_where_batches_differ():
    # Three batches that differ by 0.4 leave t(0.975; 2) × 0.4/√3 = 0.994 with any number of bars.
    assert half_width_of(3, 0.4) == pytest.approx(0.9937, abs=1e-4)
    assert bars_each_for_half_width(0.4, 0.15, 3, 0.99) is None
    assert bars_each_for_half_width(0.4, 0.15, 3, 1.0) == 11
    assert bars_each_for_half_width(0.4, 0.15, 1, 1.0) is None
