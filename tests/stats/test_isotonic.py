"""Monotone regression and curves, against published values, R and scipy."""

import json
from pathlib import Path

import numpy as np
import pytest

from bodytest.stats.isotonic import linear_between, non_decreasing, rising_then_falling, smooth_between
from tests.stats.one_batch_values import published

FROM_R = json.loads((Path(__file__).parent / "r" / "several_batches.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(("given", "fitted"), [("y1", "f1"), ("y2", "f2")])
def test_the_published_fits_are_reproduced(given, fitted):
    example = published("isotonic-pava")  # test suite of scikit-learn
    assert non_decreasing(example.inputs[given]) == pytest.approx(example.expected[fitted], abs=1e-12)


def test_a_falling_fit_equals_r():
    assert -non_decreasing([-5.31, -5.40, -2.95, -1.28, -1.33, -0.71]) == pytest.approx(FROM_R["falling"]["fitted"])


def test_weighted_fits_equal_another_implementation():
    from scipy.optimize import isotonic_regression

    rng = np.random.default_rng(1)
    for _ in range(200):
        means, weights = rng.normal(size=rng.integers(1, 9)), None
        weights = rng.uniform(0.5, 9.0, means.size)
        assert non_decreasing(means, weights) == pytest.approx(isotonic_regression(means, weights=weights).x)


def test_many_sequences_at_once_give_what_each_gives_alone():
    means = np.random.default_rng(2).normal(size=(30, 6))
    for fit in (non_decreasing, rising_then_falling):
        assert fit(means) == pytest.approx(np.array([fit(row) for row in means]))


def test_a_sequence_rises_to_its_peak_and_falls_after_it():
    fitted = rising_then_falling([10.0, 12.0, 11.0, 13.0, 12.1, 12.3, 11.0])
    assert fitted == pytest.approx([10.0, 11.5, 11.5, 13.0, 12.2, 12.2, 11.0])


def test_the_smooth_curve_equals_another_implementation():
    from scipy.interpolate import PchipInterpolator

    rng = np.random.default_rng(3)
    for _ in range(200):
        positions = np.sort(rng.uniform(1000.0, 1300.0, rng.integers(3, 9)))
        heights, at = rng.normal(size=positions.size), np.linspace(positions[0], positions[-1], 55)
        theirs = PchipInterpolator(positions, heights)(at)
        assert smooth_between(positions, heights, at) == pytest.approx(theirs, abs=1e-9)


def test_the_smooth_curve_never_leaves_the_range_of_its_neighbours():
    positions, heights = np.array([1000.0, 1040.0, 1100.0, 1220.0]), np.array([9.0, 8.5, 2.0, 0.4])
    curve = smooth_between(positions, heights, np.linspace(1000.0, 1220.0, 500))
    assert (np.diff(curve) <= 1e-12).all()
    assert curve[[0, -1]] == pytest.approx([9.0, 0.4])


def test_the_straight_line_equals_another_implementation():
    positions, heights, at = [0.0, 3.0, 4.0], [1.0, -2.0, 5.0], np.linspace(0.0, 4.0, 17)
    assert linear_between(positions, heights, at) == pytest.approx(np.interp(at, positions, heights))
