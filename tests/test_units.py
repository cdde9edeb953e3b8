import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodytest.units import DIMENSIONS, Measure, canonical_unit, celsius, parse_measure

pytestmark = pytest.mark.core


def test_conversions_are_the_exact_definitions():
    # International yard and pound agreement of 1959: 1 in = 25.4 mm, 1 lb = 453.59237 g, 16 oz to the pound
    assert DIMENSIONS["length"].units["in"] == 25.4
    assert 16 * DIMENSIONS["mass"].units["oz"] == pytest.approx(DIMENSIONS["mass"].units["lb"], rel=1e-15)
    assert DIMENSIONS["mass"].units["lb"] == 453.59237
    assert celsius(32, "°F") == 0.0
    assert celsius(212, "°F") == 100.0


@pytest.mark.parametrize(
    ("typed", "measure"),
    [
        ("200mm", Measure(200.0, "mm")), ("7.5in", Measure(7.5, "in")), ("30 cm", Measure(30.0, "cm")),
        ('7.5"', Measure(7.5, "in")), ("12,5", Measure(12.5, None)), (",5 g", Measure(0.5, "g")),
        ("-3", Measure(-3.0, None)), ("1e2 mm", Measure(100.0, "mm")),
    ],
)  # fmt: skip
def test_a_number_with_its_unit_is_read(typed, measure):
    assert parse_measure(typed) == measure


@pytest.mark.parametrize("typed", ["", "mm", "12 5", "1.2.3", "5 gr", "ten", "12 furlongs", "nan", "inf"])
def test_what_cannot_be_meant_is_not_guessed(typed):
    assert parse_measure(typed) is None


def test_gr_is_no_unit_because_it_may_mean_grain():
    assert canonical_unit("gr") is None


@given(st.floats(0.001, 1e6), st.sampled_from(["mm", "cm", "in"]))
def test_a_typed_length_survives_being_written_and_read(value, unit):
    assert parse_measure(f"{value!r} {unit}") == Measure(value, unit)
