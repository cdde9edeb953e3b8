"""Pairs of readings that cannot both be right, to the last step of the rule or the balance."""

import pytest

from bodytest.reading import read_sheets
from bodytest.rules import impossible

ROWS = ["A1,Invented,F1,100.1,94.1", "A2,Invented,F1,100.3,94.2", "A3,Invented,F1,99.9,94.0"]


def findings(tmp_path, headings, *rows):
    path = tmp_path / "bars.csv"
    path.write_text("\n".join([f"bar,body,firing,{headings}", *rows]), encoding="utf-8")
    return [f for f in read_sheets([path]).findings if f.level != "note"]


def told(tmp_path, headings, *rows):
    return [(f.code, f.level, f.cell) for f in findings(tmp_path, headings, *rows)]


@pytest.mark.parametrize(
    ("dry", "codes"),
    [
        ("100.0", []),
        ("100.1", [("within-reading-uncertainty", "ask", "Bars!E5")]),
        ("100.2", [("dry-longer-than-wet", "stop", "Bars!E5")]),
    ],
)
def test_a_dry_bar_may_be_longer_by_one_step_which_is_asked_about_once(tmp_path, dry, codes):
    # 0.1 mm is the step of the digits typed
    found = told(tmp_path, "wet length (mm),dry length (mm)", *ROWS, f"A4,Invented,F1,100.0,{dry}")
    assert [one for one in found if one[0] != "far-from-neighbours"] == codes


@pytest.mark.parametrize("suspended", ["60.00", "60.01"])
def test_a_bar_that_weighs_as_much_in_water_as_in_air_loses_the_suspended_mass_alone(tmp_path, suspended):
    found = told(tmp_path, "fired mass (g),suspended mass (g)", f"A1,Invented,F1,60.00,{suspended}")
    assert found == [("suspended-not-below-fired", "stop", "Bars!E2")]


def test_of_a_bar_alone_neither_of_two_readings_is_used(tmp_path):
    found = told(tmp_path, "wet length (mm),dry length (mm)", "A1,Invented,F1,100.0,100.2")
    assert found == [("contradicts-another", "stop", "Bars!D2"), ("dry-longer-than-wet", "stop", "Bars!E2")]


def test_the_one_reading_that_does_not_fit_is_not_used_and_the_other_is(tmp_path):
    rows = [*ROWS, "A4,Invented,F1,100.2,104.2"]
    found = told(tmp_path, "wet length (mm),dry length (mm)", *rows)
    assert found == [("dry-longer-than-wet", "stop", "Bars!E5")]


MASSES = (60.1, 61.2, 59.3, 60.7, 58.9, 61.6)


def test_two_readings_in_each_others_place_are_named_whole_where_they_are_not_the_two_that_contradict(tmp_path):
    rows = [f"A{n},Invented,F1,{1.07 * m:.2f},{m:.2f},{1.03 * m:.2f},{0.6 * m:.2f}" for n, m in enumerate(MASSES)]
    headings = "dry mass (g),fired mass (g),boiled mass (g),suspended mass (g)"
    found = findings(tmp_path, headings, *rows, "B,Invented,F1,64.31,60.10,36.06,61.90")
    assert [f.sentence for f in found] == [
        "The bar B weighs 36.06 g boiled and 60.1 g fired (Bars!F8 and Bars!E8); boiling cannot make it lighter."
        " The boiled mass and the suspended mass are not used."
        " In each other’s place, boiled mass and suspended mass (Bars!G8) would both fit their neighbours.",
        "61.9 in Bars!G8 (suspended mass) was not used, because it and Bars!F8 cannot both be right.",
    ]


def test_one_reading_is_blamed_alone_only_where_it_explains_all_that_is_broken(tmp_path):
    # the dry mass alone does not fit its neighbours, but says nothing of a bar that is lighter boiled than fired
    rows = [f"A{n},Invented,F1,{1.32 * m:.2f},{1.07 * m:.2f},{m:.2f},{m + 0.2:.2f}" for n, m in enumerate(MASSES)]
    headings = "wet mass (g),dry mass (g),fired mass (g),boiled mass (g)"
    found = told(tmp_path, headings, *rows, "B,Invented,F1,79.20,164.31,60.10,60.02")
    assert found == [
        ("contradicts-another", "stop", "Bars!D8"),
        ("dry-heavier-than-wet", "stop", "Bars!E8"),
        ("contradicts-another", "stop", "Bars!F8"),
        ("boiled-below-fired", "stop", "Bars!G8"),
    ]


def test_of_many_impossible_bars_the_later_ones_are_told_without_an_explanation(tmp_path, monkeypatch):
    monkeypatch.setattr(impossible, "EXPLAINED", 1)
    rows = [*ROWS, "A4,Invented,F1,100.2,104.2", "A5,Invented,F1,100.0,104.1", "A6,Invented,F1,100.1,94.3"]
    found = told(tmp_path, "wet length (mm),dry length (mm)", *rows)
    assert [(code, cell) for code, _, cell in found] == [
        ("dry-longer-than-wet", "Bars!E5"),
        ("contradicts-another", "Bars!D6"),
        ("dry-longer-than-wet", "Bars!E6"),
    ]
