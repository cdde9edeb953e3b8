"""The response to firing: curves, temperatures read off them, and what cannot be read."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import stdtrit

from bodytest.stats.firing_response import PLACES, LevelMeans, fit_response, temperature_at, temperature_of_peak

CONES = np.array([1162.0, 1186.0, 1222.0, 1239.0])


def levels(means, *, uncertainty=0.1, celsius=CONES, covariances=None):
    means = np.array(means, dtype=float)
    shape = np.full(means.shape, 1.0)
    return LevelMeans(celsius, means, uncertainty * shape, 4.0 * shape, np.full(len(celsius), 5.0), covariances)


def place_of(celsius):
    return round((celsius - CONES[0]) / (CONES[-1] - CONES[0]) * (PLACES - 1))


def test_the_curve_goes_through_means_that_fall_in_order_and_never_rises():
    curve = fit_response(levels([5.3, 2.9, 1.3, 0.7]), rises=False)
    assert curve.fitted[0] == pytest.approx(5.3)
    assert curve.fitted[-1] == pytest.approx(0.7)
    assert (np.diff(curve.fitted) <= 1e-12).all()


def test_means_out_of_order_are_pooled_up_to_the_lowest_and_beyond_it():
    curve = fit_response(levels([5.3, 5.5, 1.3, 1.9]), rises=False)
    assert curve.fitted[0] == pytest.approx(5.4)
    assert curve.fitted[place_of(1222.0)] == pytest.approx(1.3, abs=0.01)
    assert curve.fitted[-1] == pytest.approx(1.9)


def test_at_a_tested_temperature_the_band_is_the_t_interval_of_its_mean():
    curve = fit_response(levels([5.3, 2.9, 1.3, 0.7]), rises=False)
    half = float(stdtrit(4.0, 0.975)) * 0.1
    assert (curve.low[0], curve.high[0]) == pytest.approx((5.3 - half, 5.3 + half))
    assert (curve.low[-1], curve.high[-1]) == pytest.approx((0.7 - half, 0.7 + half))


def test_the_band_is_wider_where_the_slope_changes_than_on_a_straight_line():
    straight = fit_response(levels([8.0, 8.0 - 2.4, 8.0 - 6.0, 8.0 - 7.7]), rises=False)
    bent = fit_response(levels([8.0, 5.6, 0.6, 0.4]), rises=False)
    middle = place_of(1204.0)
    assert (bent.high - bent.low)[middle] > 1.5 * (straight.high - straight.low)[middle]
    assert (straight.high - straight.low)[middle] < 2.0 * float(stdtrit(4.0, 0.975)) * 0.1


def test_between_two_levels_the_curve_is_not_thought_to_leave_their_range():
    curve = fit_response(levels([9.0, 8.9, 0.5, 0.4], uncertainty=1e-9), rises=False)
    between = slice(place_of(1187.0), place_of(1221.0))
    assert curve.high[between].max() <= 8.9 + 1e-6
    assert curve.low[between].min() >= 0.5 - 1e-6


def test_the_temperature_at_the_limit_is_where_the_curve_crosses_it():
    curve = fit_response(levels([5.3, 2.9, 1.3, 0.7]), rises=False)
    found = temperature_at(curve, 2.0)
    assert np.interp(float(found.celsius), curve.temperatures_c, curve.fitted) == pytest.approx(2.0, abs=1e-3)
    assert float(found.low) < float(found.celsius) < float(found.high)


def test_the_ends_of_the_interval_are_where_the_band_lets_go_of_the_limit():
    curve = fit_response(levels([5.3, 2.9, 1.3, 0.7]), rises=False)
    found = temperature_at(curve, 2.0)
    assert np.interp(float(found.low), curve.temperatures_c, curve.low) == pytest.approx(2.0, abs=0.01)
    assert np.interp(float(found.high), curve.temperatures_c, curve.high) == pytest.approx(2.0, abs=0.01)


@pytest.mark.parametrize(
    ("means", "low_known", "high_known"),
    [([9.3, 7.9, 6.3, 5.7], False, False), ([1.5, 1.2, 0.9, 0.7], False, False), ([9.0, 6.0, 3.1, 2.05], True, False)],
)
def test_nothing_is_read_off_beyond_the_tested_range(means, low_known, high_known):
    found = temperature_at(fit_response(levels(means), rises=False), 2.0)
    assert np.isnan(found.celsius)
    assert np.isfinite(found.low) == low_known
    assert np.isfinite(found.high) == high_known


def test_the_peak_is_the_top_of_the_parabola_through_the_best_three():
    true = 13.0 - np.square((CONES - 1215.0) / 30.0)
    found = temperature_of_peak(levels(true, uncertainty=0.02))
    assert float(found.celsius) == pytest.approx(1215.0)
    assert (float(found.low), float(found.high)) == (1186.0, 1239.0)


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


def test_batches_that_err_together_hide_neither_a_turn_nor_the_band():
    means, uncertainty = [10.0, 11.3, 12.2, 11.9], 0.2
    together = np.full((4, 4), 0.999 * uncertainty**2)
    apart, alike = (levels(means, uncertainty=uncertainty, covariances=c) for c in (np.zeros((4, 4)), together))
    assert np.isnan(temperature_of_peak(apart).high)
    assert float(temperature_of_peak(alike).high) == 1239.0
    middle = place_of(1204.0)
    bands = [fit_response(one, rises=True) for one in (apart, alike)]
    assert (bands[1].high - bands[1].low)[middle] > (bands[0].high - bands[0].low)[middle]


def test_batches_shared_in_part_are_taken_to_err_together_where_that_is_wider():
    unknown = levels([5.3, 2.9, 1.3, 0.7], covariances=np.full((4, 4), np.nan))
    known = replace(unknown, covariances=np.full((4, 4), 0.1**2))
    first, second = (fit_response(one, rises=False) for one in (unknown, known))
    assert first.low == pytest.approx(second.low)
    assert first.high == pytest.approx(second.high)


def test_many_firings_at_once_give_what_each_gives_alone():
    means = np.array([5.3, 2.9, 1.3, 0.7]) + 0.3 * np.random.default_rng(4).standard_normal((20, 4))
    together = temperature_at(fit_response(levels(means), rises=False), 2.0)
    for place, row in enumerate(means):
        alone = temperature_at(fit_response(levels(row), rises=False), 2.0)
        for name in ("celsius", "low", "high"):
            theirs = float(getattr(alone, name))
            assert getattr(together, name)[place] == pytest.approx(theirs, nan_ok=True)
