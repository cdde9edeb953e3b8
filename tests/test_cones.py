import pytest

from bodytest.cones import NOMINAL_CELSIUS, firings_called, is_cone_clue, is_seger_cone, nominal_celsius, parse_cone

pytestmark = pytest.mark.core


@pytest.mark.parametrize(
    ("written", "cone"),
    [
        ("6", "6"), ("06", "06"), ("Δ6", "6"), ("△ 04", "04"), ("cone 6", "6"), ("Cone 06", "06"), ("c6", "6"),
        ("^10", "10"), ("5.5", "5½"), ("5½", "5½"), ("05 1/2", "05½"), (" 022 ", "022"), ("021", "021"),
        ("cone #6", "6"), ("Cone No. 6", "6"), ("cone-06", "06"),
    ],
)  # fmt: skip
def test_a_cone_is_understood_as_people_write_it(written, cone):
    assert parse_cone(written) == cone


@pytest.mark.parametrize(
    "written",
    [
        "",
        "hot",
        "1222",
        "-6",
        "6-7",
        "00",
        "99",
        "6.3",
        "cone",
        "7½x",
        "SK 6a",
        "Seger cone 6",
        "6a",
        "6 bent, 7 standing",
    ],
)
def test_what_is_no_cone_is_not_guessed(written):
    assert parse_cone(written) is None


@pytest.mark.parametrize("written", ["SK 6a", "SK6a", "sk 8", "Seger 6a", "Seger cone 8", "6a", "010a"])
def test_a_seger_cone_is_known_as_another_series(written):
    assert is_seger_cone(written)
    assert not is_cone_clue(written)


@pytest.mark.parametrize(
    "written",
    [
        "6 bent, 7 standing",
        "cone 6 half down",
        "^6 soft, ^7 up",
        "6-7",
        "5 to 6",
        "6 over 7",
        "6 3 o'clock",
        "9 down, 10 down",
        "6 down, 7 half",
    ],
)
def test_how_cones_stood_is_known_as_a_clue_and_no_cone(written):
    assert is_cone_clue(written)
    assert parse_cone(written) is None
    assert not is_seger_cone(written)


@pytest.mark.parametrize("written", ["six or so", "2026-01-01", "1222 °C", "6 oxidation", "small kiln"])
def test_other_words_are_no_clue(written):
    assert not is_cone_clue(written)
    assert not is_seger_cone(written)


@pytest.mark.parametrize("written", ["6", "cone 6", "Cone 6", "c6", "^6"])
def test_a_firing_is_found_by_any_spelling_of_its_cone(written):
    for code in ("6", "cone 6", "Cone 6", "c6", "^6"):
        assert firings_called(written, {code: "", "06": "", "7": ""}) == [code]
    assert firings_called(written, {"06": "", "K1": "06"}) == []
    assert firings_called(written, {"K1": "6", "K2": "6"}) == ["K1", "K2"]


def test_nominal_temperatures_rise_with_the_cone():
    # Orton Ceramic Foundation, temperature equivalents chart, 2016
    for column in zip(*NOMINAL_CELSIUS.values(), strict=True):
        assert list(column) == sorted(set(column))
    assert all(slow < fast for slow, fast in NOMINAL_CELSIUS.values())
    assert len(NOMINAL_CELSIUS) == 38


@pytest.mark.parametrize(
    ("cone", "slow", "fast"),
    [
        ("022", 586, 590),
        ("021", 600, 617),
        ("013", 837, 861),
        ("05½", 1015, 1025),
        ("6", 1222, 1243),
        ("14", 1365, 1384),
    ],
)
def test_the_slow_column_holds_unless_a_fast_rate_is_stated(cone, slow, fast):
    # Orton Ceramic Foundation, temperature equivalents chart, 2016
    assert nominal_celsius(cone) == nominal_celsius(cone, 60.0) == nominal_celsius(cone, 94.0) == slow
    assert nominal_celsius(cone, 95.0) == nominal_celsius(cone, 150.0) == nominal_celsius(cone, 300.0) == fast
