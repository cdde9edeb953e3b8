"""The temperature at which shrinkage peaks and turns."""

from dataclasses import replace

import numpy as np
import pytest

from bodytest.stats.firing_response import LevelMeans
from bodytest.stats.response_peak import temperature_of_peak

CONES = np.array([1162.0, 1186.0, 1222.0, 1239.0])


def levels(means, *, uncertainty=0.1, celsius=CONES, covariances=None):
    means = np.array(means, dtype=float)
    shape = np.full(means.shape, 1.0)
    return LevelMeans(celsius, means, uncertainty * shape, 4.0 * shape, np.full(len(celsius), 5.0), covariances)


def test_the_peak_is_the_top_of_the_parabola_through_the_best_three():
    true = 13.0 - np.square((CONES - 1215.0) / 30.0)
    found = temperature_of_peak(levels(true, uncertainty=0.02))
    assert float(found.celsius) == pytest.approx(1215.0)
    assert 1186.0 < float(found.low) < 1215.0
    assert float(found.high) == 1239.0


@pytest.mark.parametrize(
    ("means", "low", "high"), [([9, 10, 11, 12], 1222.0, np.nan), ([12, 11, 10, 9], np.nan, 1186.0)]
)
def test_a_quantity_that_only_rises_or_only_falls_has_no_peak_in_the_tested_range(means, low, high):
    found = temperature_of_peak(levels(means))
    assert np.isnan(found.celsius)
    assert (float(found.low), float(found.high)) == pytest.approx((low, high), nan_ok=True)


def test_levels_that_may_be_best_widen_the_interval_of_the_peak():
    found = temperature_of_peak(levels([9.0, 12.1, 12.2, 12.15]))
    assert float(found.low) == 1162.0
    assert np.isnan(found.high)


def test_a_rise_that_slackens_takes_time_to_reach_the_best_level():
    """From 1186 °C it rises by 1, at most 2.5 times as steeply as by 3 over 24 °C before: 3.2 °C at least."""
    found = temperature_of_peak(levels([8.0, 11.0, 12.0, 9.0], uncertainty=1e-9))
    assert float(found.low) == pytest.approx(1186.0 + 1.0 / (2.5 * 3.0 / 24.0))


def test_a_rise_that_steepens_may_peak_at_once():
    assert float(temperature_of_peak(levels([10.0, 10.2, 12.0, 9.0], uncertainty=1e-9)).low) == 1186.0


def test_wrong_temperatures_move_the_ends_out():
    exact = levels([10.0, 10.2, 12.0, 9.0])
    wrong = replace(exact, temperature_uncertainties_c=np.array([2.0, 3.0, 4.0, 2.0]))
    found = temperature_of_peak(wrong)
    assert float(found.low) == pytest.approx(1186.0 - (np.hypot(1.96 * 3.0, 36.0 / 3.0) - 36.0 / 3.0), abs=0.01)
    assert float(found.high) == pytest.approx(1239.0 + (np.hypot(1.96 * 2.0, 17.0 / 3.0) - 17.0 / 3.0), abs=0.01)


def test_batches_that_err_together_do_not_hide_a_turn():
    means, uncertainty = [10.0, 11.3, 12.2, 11.9], 0.2
    together = np.full((4, 4), 0.999 * uncertainty**2)
    apart, alike = (levels(means, uncertainty=uncertainty, covariances=c) for c in (np.zeros((4, 4)), together))
    assert np.isnan(temperature_of_peak(apart).high)
    assert float(temperature_of_peak(alike).high) == 1239.0
