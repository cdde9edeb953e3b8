import pytest

from bodytest.cones import NOMINAL_CELSIUS, nominal_celsius, parse_cone


@pytest.mark.parametrize(
    ("written", "cone"),
    [
        ("6", "6"), ("06", "06"), ("Δ6", "6"), ("△ 04", "04"), ("cone 6", "6"), ("Cone 06", "06"), ("c6", "6"),
        ("^10", "10"), ("5.5", "5½"), ("5½", "5½"), ("05 1/2", "05½"), (" 022 ", "022"), ("021", "021"),
    ],
)  # fmt: skip
def test_a_cone_is_understood_as_people_write_it(written, cone):
    assert parse_cone(written) == cone


@pytest.mark.parametrize("written", ["", "hot", "1222", "-6", "6-7", "00", "99", "6.3", "cone", "7½x"])
def test_what_is_no_cone_is_not_guessed(written):
    assert parse_cone(written) is None


def test_nominal_temperatures_rise_with_the_cone():
    # Orton Ceramic Foundation, temperature equivalents chart, 2016
    chart = list(NOMINAL_CELSIUS.values())
    assert chart == sorted(chart)
    assert nominal_celsius("04") == 1063.0
    assert nominal_celsius("021") is None
