"""The scatter of temperatures of loads that were fired alike."""

import numpy as np
import pytest

from bodytest.stats.load_temperatures import temperature_scatter


def test_without_two_loads_alike_nothing_is_known():
    assert temperature_scatter(np.zeros((1, 3)), np.ones((1, 3)), np.ones(1), np.arange(3)) is None


def test_a_quantity_that_does_not_change_with_temperature_says_nothing():
    assert temperature_scatter(np.array([[0.1, -0.1]]), np.zeros((1, 2)), np.ones(1), np.zeros(2, dtype=int)) is None


def test_the_scatter_of_simulated_kilns_is_found_from_two_quantities():
    rng = np.random.default_rng(31)
    level = np.repeat(np.arange(3), [4, 3, 1])
    slopes, sds = np.array([[-0.06] * 4 + [-0.02] * 4, [0.03] * 4 + [0.01] * 4]), np.array([0.05, 0.1])
    squares = []
    for _ in range(3000):
        means = slopes * rng.normal(0.0, 6.0, 8) + sds[:, None] * rng.standard_normal((2, 8))
        deviations = means - np.array([[row[level == one].mean() for one in level] for row in means])
        u, freedom = temperature_scatter(deviations, slopes, sds**2, level)
        squares.append(u**2)
        assert 3.0 < freedom < 5.0
    assert np.sqrt(np.mean(squares)) == pytest.approx(6.0, rel=0.06)
