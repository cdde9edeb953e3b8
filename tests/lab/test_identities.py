"""Identities that hold whatever the readings are."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodytest.lab.absorption import absorption
from bodytest.lab.density import apparent_porosity, apparent_specific_gravity, bulk_density
from bodytest.lab.moisture import loss_on_ignition, water_of_plasticity
from bodytest.lab.shrinkage import compound_shrinkage, linear_shrinkage, volume_shrinkage, wet_size_factor

pytestmark = pytest.mark.core

suspended_masses = st.floats(0.5, 5000.0)
fractions = st.floats(0.0, 1.0)
lengths = st.floats(5.0, 1000.0)
water_densities = st.floats(0.99, 1.0)


@st.composite
def weighed_bars(draw):
    """Return fired, saturated and suspended mass of a bar that obeys Archimedes."""
    suspended = draw(suspended_masses)
    fired = suspended * (1.0 + draw(st.floats(0.2, 2.0)))
    saturated = fired + (fired - suspended) * draw(fractions)
    return fired, saturated, suspended


@given(weighed_bars(), water_densities)
def test_porosity_is_absorption_times_bulk_density_over_water_density(bar, rho):
    fired, saturated, suspended = bar
    product = absorption(fired, saturated) * bulk_density(fired, saturated, suspended, rho) / rho
    assert apparent_porosity(fired, saturated, suspended) == pytest.approx(product, rel=1e-9, abs=1e-9)


@given(weighed_bars(), water_densities)
def test_bulk_density_is_specific_gravity_less_the_pores(bar, rho):
    fired, saturated, suspended = bar
    solid = rho * apparent_specific_gravity(fired, suspended)
    porosity = apparent_porosity(fired, saturated, suspended)
    # With nearly all volume open the right side is a small difference of large terms; the bound is on the solid.
    assert bulk_density(fired, saturated, suspended, rho) == pytest.approx(
        solid * (1.0 - porosity / 100.0), abs=1e-9 * solid
    )


@given(weighed_bars())
def test_porosity_lies_between_nothing_and_everything(bar):
    assert 0.0 <= apparent_porosity(*bar) < 100.0


@given(lengths, lengths, lengths)
def test_total_shrinkage_is_drying_and_firing_shrinkage_compounded(wet, dry, fired):
    compounded = compound_shrinkage(linear_shrinkage(wet, dry), linear_shrinkage(dry, fired))
    total = linear_shrinkage(wet, fired)
    assert compounded == pytest.approx(total, rel=1e-9, abs=1e-9 * max(1.0, dry / wet, fired / wet) * 100.0)


@given(lengths, lengths, lengths, lengths)
def test_a_bisque_firing_between_changes_nothing_in_the_total(wet, dry, bisque, fired):
    steps = (linear_shrinkage(wet, dry), linear_shrinkage(dry, bisque), linear_shrinkage(bisque, fired))
    assert compound_shrinkage(*steps) == pytest.approx(linear_shrinkage(wet, fired), rel=1e-7, abs=1e-5)


@given(lengths, st.floats(-10.0, 60.0))
def test_a_fired_size_made_bigger_by_the_factor_shrinks_back_to_itself(fired, shrinkage):
    wet = fired * wet_size_factor(shrinkage)
    assert linear_shrinkage(wet, fired) == pytest.approx(shrinkage, rel=1e-9, abs=1e-9)


@given(lengths, st.floats(-10.0, 60.0))
def test_volume_shrinkage_is_that_of_a_cube(edge, shrinkage):
    after = edge * (1.0 - shrinkage / 100.0)
    assert volume_shrinkage(shrinkage) == pytest.approx(100.0 * (edge**3 - after**3) / edge**3, rel=1e-9, abs=1e-9)


@given(st.floats(1.0, 5000.0), st.floats(0.01, 0.9), st.floats(0.0, 0.5))
def test_masses_come_back_from_their_percentages(dry, water, loss):
    wet, fired = dry * (1.0 + water), dry * (1.0 - loss)
    assert dry * (1.0 + water_of_plasticity(wet, dry) / 100.0) == pytest.approx(wet, rel=1e-12)
    assert dry * (1.0 - loss_on_ignition(dry, fired) / 100.0) == pytest.approx(fired, rel=1e-12)


@given(st.integers(1, 6))
def test_equal_steps_compound_like_interest(steps):
    assert compound_shrinkage(*[10.0] * steps) == pytest.approx(100.0 * (1.0 - np.power(0.9, steps)), rel=1e-12)


def test_no_step_is_no_shrinkage():
    assert compound_shrinkage() == 0.0
