"""A small seeded part of tests/bench/response_coverage.py: what is read off a response holds as often as it says."""

import numpy as np
import pytest

from tests.bench.response_coverage import CLOSE, CONES_4_TO_7, PEAKS, Body, fired, peaked, windows


@pytest.mark.parametrize(("celsius", "steepness"), [(CONES_4_TO_7, 25.0), ((1180.0, 1215.0, 1250.0), 35.0)])
def test_the_temperature_at_the_limit_holds(celsius, steepness):
    rng = np.random.default_rng([24, int(steepness)])
    for bars, batches in ((3, 1), (8, 1), (4, 3)):
        found = fired(Body(celsius, steepness, 0.4, bars, batches), 600, rng)
        assert found.at_limit > 0.95 - 0.027
        assert found.band > 0.95 - 0.01


@pytest.mark.parametrize("celsius", [(1150.0, 1200.0, 1250.0), (1100.0, 1150.0, 1200.0, 1250.0)], ids=len)
@pytest.mark.parametrize("middle", [0.3, 0.5, 0.7])
def test_the_temperature_at_the_limit_holds_wherever_a_steep_body_falls_between_firings_far_apart(celsius, middle):
    """Turning from steepening to flattening just at a firing makes slopes equal on both sides of it."""
    rng = np.random.default_rng([27, len(celsius), int(10 * middle)])
    for bars in (5, 10):
        found = fired(Body(celsius, 15.0, middle, bars), 400, rng)
        assert found.at_limit > 0.95 - 0.03
        assert found.band_least > 0.95 - 0.05


@pytest.mark.parametrize("wrong_c", [3.0, 6.0, 10.0])
@pytest.mark.parametrize("steepness", [15.0, 30.0, 60.0])
def test_the_temperature_at_the_limit_holds_where_kilns_are_not_as_hot_as_they_say(wrong_c, steepness):
    rng = np.random.default_rng([28, int(wrong_c), int(steepness)])
    for celsius in (CONES_4_TO_7, CLOSE):
        found = fired(Body(celsius, steepness, 0.3, wrong_c=wrong_c), 600, rng)
        assert found.at_limit > 0.95 - 0.027
        assert found.band_least > 0.95 - 0.035


def test_an_interval_for_exact_temperatures_is_no_wider_than_one_for_wrong_ones():
    exact, wrong = (
        fired(Body(CLOSE, 30.0, 0.4, wrong_c=wrong_c), 300, np.random.default_rng(29)) for wrong_c in (0.0, 6.0)
    )
    assert exact.width_c < 0.7 * wrong.width_c
    assert wrong.width_c < 35.0


@pytest.mark.parametrize("shape", PEAKS)
def test_the_temperature_of_the_peak_holds(shape):
    rng = np.random.default_rng(25)
    for wrong_c in (0.0, 6.0, 10.0):
        for share in (0.45, 0.7, 0.95):
            body = Body(CONES_4_TO_7, 30.0, 0.5, 4, wrong_c=wrong_c)
            holds, _ = peaked(shape, body, 1162.0 + share * 77.0, 2000, rng)
            assert holds > 0.95 - 0.015


def test_a_body_that_bloats_late_is_given_a_window_more_often_than_not():
    every_15 = tuple(np.arange(1150.0, 1271.0, 15.0))
    assert windows(Body(every_15, 20.0, 0.35, bloats_c=40.0), 600, np.random.default_rng(30)).known > 0.5


@pytest.mark.parametrize("bloats_c", [5.0, 40.0])
@pytest.mark.parametrize("wrong_c", [0.0, 6.0])
def test_the_safe_window_is_safe_for_bodies_that_bloat_early_and_late(bloats_c, wrong_c):
    every_15 = tuple(np.arange(1150.0, 1271.0, 15.0))
    found = windows(Body(every_15, 20.0, 0.35, wrong_c=wrong_c, bloats_c=bloats_c), 600, np.random.default_rng(30))
    assert found.porous + found.overfired < 0.05 + 0.02
