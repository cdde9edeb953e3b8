"""The response to firing: curves, temperatures read off them, and what cannot be read."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import stdtrit

from bodytest.stats.firing_response import PLACES, LevelMeans, fit_response, temperature_at

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
    ("means", "low", "high"),
    [
        ([9.3, 7.9, 6.3, 5.7], 1239.0, np.nan),
        ([1.5, 1.2, 0.9, 0.7], np.nan, 1162.0),
        ([2.2, 2.1, 2.1, 2.1], np.nan, np.nan),
    ],
)
def test_nothing_is_read_off_beyond_the_tested_range(means, low, high):
    """A limit that is surely passed before or after the tested range is known to lie on that side, and no further."""
    found = temperature_at(fit_response(levels(means), rises=False), 2.0)
    assert np.isnan(found.celsius)
    assert (float(found.low), float(found.high)) == pytest.approx((low, high), nan_ok=True)


def test_a_limit_that_is_passed_again_by_bloating_is_read_off_where_it_is_passed_first():
    found = temperature_at(fit_response(levels([5.3, 2.9, 0.8, 3.5], uncertainty=0.02), rises=False), 2.0)
    assert float(found.celsius) < 1222.0
    assert float(found.high) < 1222.0


TWO_LOADS = np.array([1157.0, 1189.0, 1221.0, 1253.0])
"""Absorption falls by 0.059 % for each °C and is 2 % at 1207 °C; five bars each with a standard deviation of 0.12 %."""


def straight(*, wrong_c=None):
    own = np.full(4, 0.12 / np.sqrt(5.0))
    stated = None if wrong_c is None else np.full(4, wrong_c)
    means = 2.0 - 0.059 * (TWO_LOADS - 1207.0)
    return LevelMeans(TWO_LOADS, means, own, np.full(4, 4.0), np.full(4, 5.0), None, stated)


@pytest.mark.parametrize(("wrong_c", "uncertainty"), [(None, 0.65), (5.0, 3.6)])
def test_between_two_loads_on_a_straight_line_the_uncertainty_is_that_of_the_line(wrong_c, uncertainty):
    """Var(Tc) = s²/b² (1/n + (Tc − T̄)²/Sxx) + u²(load)/loads: 0.65 °C, and about 3.6 °C with u(load) 5 °C."""
    found = temperature_at(fit_response(straight(wrong_c=wrong_c), rises=False), 2.0)
    assert float(found.celsius) == pytest.approx(1207.0, abs=0.05)
    factor = float(stdtrit(7.7, 0.975)) if wrong_c is None else 1.96
    assert float(found.high - found.low) / 2.0 / factor == pytest.approx(uncertainty, abs=0.06)


def test_half_way_on_a_straight_line_a_wrong_temperature_widens_the_band_by_as_much_as_the_line_falls_meanwhile():
    exact, wrong = (fit_response(straight(wrong_c=wrong_c), rises=False) for wrong_c in (None, 5.0))
    at = round((1205.0 - 1157.0) / 96.0 * (PLACES - 1))
    half, wider = (float(curve.high[at] - curve.fitted[at]) for curve in (exact, wrong))
    assert wider == pytest.approx(np.hypot(half, 1.96 * 5.0 * np.sqrt(0.5) * 0.059), rel=0.02)


def test_a_scatter_of_few_loads_counts_with_students_factor():
    few = replace(straight(wrong_c=5.0), temperature_freedom=2.0)
    stated, seen = (temperature_at(fit_response(one, rises=False), 2.0) for one in (straight(wrong_c=5.0), few))
    assert float(seen.high - seen.low) > 2.0 * float(stated.high - stated.low)


def test_batches_that_err_together_do_not_hide_the_band():
    means, uncertainty = [10.0, 11.3, 12.2, 11.9], 0.2
    together = np.full((4, 4), 0.999 * uncertainty**2)
    apart, alike = (levels(means, uncertainty=uncertainty, covariances=c) for c in (np.zeros((4, 4)), together))
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
