"""No reading in, no value out, no warning."""

import numpy as np
import pytest

from bodytest.lab import absorption, density, moisture, shrinkage
from bodytest.lab.ratio import ratio

TWO_READINGS = [
    shrinkage.linear_shrinkage,
    moisture.water_of_plasticity,
    moisture.loss_on_ignition,
    absorption.absorption,
    absorption.saturation_coefficient,
    density.apparent_specific_gravity,
]


@pytest.mark.parametrize("method", TWO_READINGS)
@pytest.mark.parametrize("pair", [(np.nan, 5.0), (5.0, np.nan), (np.nan, np.nan)])
def test_a_missing_reading_gives_no_value(method, pair):
    assert np.isnan(method(*pair))


@pytest.mark.parametrize("method", TWO_READINGS)
def test_one_missing_reading_costs_only_its_own_bar(method):
    values = method(np.array([5.0, np.nan, 5.0]), np.array([4.0, 4.0, 4.0]))
    assert values.shape == (3,)
    assert np.isnan(values).tolist() == [False, True, False]


def test_density_methods_lose_only_the_bar_with_the_missing_reading():
    fired, saturated, suspended = np.array([10.0, np.nan, 10.0]), np.array([11.0, 11.0, np.nan]), np.full(3, 6.0)
    assert np.isnan(density.apparent_porosity(fired, saturated, suspended)).tolist() == [False, True, True]
    assert np.isnan(density.bulk_density(fired, saturated, suspended, 0.998)).tolist() == [False, True, True]


@pytest.mark.parametrize(
    "value",
    [
        shrinkage.linear_shrinkage(0.0, 5.0),
        moisture.water_of_plasticity(5.0, 0.0),
        absorption.absorption(0.0, 5.0),
        absorption.saturation_coefficient(3.0, 0.0),
        density.apparent_porosity(5.0, 6.0, 6.0),
        density.bulk_density(5.0, 6.0, 6.0, 0.998),
        density.apparent_specific_gravity(5.0, 5.0),
    ],
)
def test_a_zero_below_the_line_gives_no_value(value):
    assert np.isnan(value)


def test_a_body_that_shrinks_to_nothing_has_no_size_factor():
    assert np.isnan(shrinkage.wet_size_factor([100.0, 120.0])).all()


def test_an_overflowing_ratio_stays_quiet():
    assert np.isinf(ratio(1e300, 1e-300))
