"""Numbers for people: checked against the GUM's own examples and by what must hold for every number."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bodytest.rounding import (
    MINUS,
    column_decimals,
    decimals_apart,
    decimals_for,
    interval_text,
    number_text,
    plus_minus_text,
    uncertainty_text,
    with_unit,
)

pytestmark = pytest.mark.core

usual_numbers = st.floats(-1e4, 1e4, allow_nan=False)
usual_uncertainties = st.floats(1e-4, 1e3)


def test_the_gum_example_rounds_a_resistance_to_its_uncertainty() -> None:
    # JCGM 100:2008, 7.2.6: y = 10.057 62 Ω with u = 27 mΩ should be rounded to 10.058 Ω.
    assert with_unit(number_text(10.05762, decimals_for(0.027)), "Ω") == "10.058\N{NO-BREAK SPACE}Ω"
    # The same clause: 10.47 mΩ is given as two digits.
    assert number_text(10.47, decimals_for(10.47)) == "10"


def test_value_and_half_width_end_at_the_same_decimal() -> None:
    assert plus_minus_text(11.8653, 0.2274, 2, "%") == "11.87 ± 0.23 %".replace(" ", "\N{NO-BREAK SPACE}")
    assert plus_minus_text(1227.4, 12.6, 0, "°C") == "1227 ± 13 °C".replace(" ", "\N{NO-BREAK SPACE}")


def test_a_minus_is_a_true_minus_and_zero_has_no_sign() -> None:
    assert number_text(-0.0312, 2) == "−0.03"
    assert number_text(-0.0012, 2) == "0.00"
    assert number_text(float("nan")) == "–"


def test_no_interval_is_no_plus_minus() -> None:
    assert plus_minus_text(2.04, None, 1, "%") == "2.0\N{NO-BREAK SPACE}%"
    assert interval_text(None, 2.0, "%") == "–"


@given(usual_numbers, usual_uncertainties)
def test_rounding_costs_less_than_half_the_uncertainty(value: float, uncertainty: float) -> None:
    shown = number_text(value, decimals_for(uncertainty)).replace("−", "-")
    assert abs(float(shown) - value) <= 0.5 * uncertainty + 1e-9


@given(usual_uncertainties)
def test_an_uncertainty_keeps_at_most_two_digits_and_is_never_told_smaller_by_more_than_a_twentieth(
    uncertainty: float,
) -> None:
    for decimals in (decimals_for(uncertainty), column_decimals([uncertainty])):
        shown = uncertainty_text(uncertainty, decimals)
        assert len(shown.replace(".", "").strip("0")) <= 2
        assert 0.95 * uncertainty <= float(shown) <= 1.2 * uncertainty


@given(st.lists(usual_uncertainties, min_size=1))
def test_a_column_shows_two_digits_of_its_largest_uncertainty_and_of_each_at_least_one(some: list[float]) -> None:
    decimals = column_decimals(some)
    shown = [float(uncertainty_text(one, decimals)) for one in some]
    assert min(shown) > 0
    assert all(0.95 * one <= told <= one + 10.0**-decimals for one, told in zip(some, shown, strict=True))
    largest = max(some)
    assert abs(float(uncertainty_text(largest, decimals)) - largest) <= 0.0501 * largest


def test_one_column_never_mixes_two_precisions() -> None:
    rows = [(12.1632, 0.9431), (13.2043, 0.2098)]
    decimals = column_decimals([half for _, half in rows])
    shown = [plus_minus_text(mean, half, decimals).replace("\N{NO-BREAK SPACE}", " ") for mean, half in rows]
    assert shown == ["12.16 ± 0.94", "13.20 ± 0.21"]


def test_an_uncertainty_is_rounded_up_where_rounding_to_nearest_would_lose_more_than_a_twentieth() -> None:
    assert [uncertainty_text(one, 1) for one in (0.94, 0.84, 0.74, 0.21, 0.24, 0.04)] == [
        "0.9", "0.8", "0.8", "0.2", "0.3", "0.1",
    ]  # fmt: skip


@given(usual_numbers, st.integers(0, 3), st.floats(-100, 100).map(lambda one: round(one, 2)))
@example(1.015, 0, 1.01)  # shown as 1.02; the nearest float below it is rounded to 1.01
def test_a_value_never_looks_as_if_it_stood_otherwise_to_a_limit(value: float, decimals: int, limit: float) -> None:
    value = round(value, 5)
    shown = float(number_text(value, decimals_apart(value, decimals, [limit])).replace(MINUS, "-"))
    assert (shown > limit, shown < limit) == (value > limit, value < limit)
