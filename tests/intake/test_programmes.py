"""Programmes, kiln temperatures and scatter known from elsewhere, as sheets state them."""

from pathlib import Path

import openpyxl
import pytest

import bodytest
from bodytest import read_sheets
from bodytest.intake.cells import converted
from bodytest.tables import CheckedSheets

BARS = [
    ["bar", "body", "firing", "wet length (mm)", "fired length (mm)"],
    *([f"A{n}", "Marl Red", "F1", 100, 88] for n in range(5)),
]


def read(folder: Path, **tables: list[list[object]]) -> CheckedSheets:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in {"Bars": BARS, **tables}.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(folder / "sheet.xlsx")
    return read_sheets([folder / "sheet.xlsx"])


def test_programme_and_temperature_uncertainty_are_read(tmp_path: Path) -> None:
    headings = ["firing", "programme", "peak temperature (°F)", "temperature ± (°F)"]
    sheets = read(tmp_path, Firings=[headings, ["F1", "Stoneware", 2232, "± 18"], ["F2", "Stoneware", 2230, None]])

    first, second = sheets.firings.to_dict("records")
    assert (first["programme"], second["programme"]) == ("Stoneware", "Stoneware")
    assert first["temperature_expanded_c"] == pytest.approx(10.0)
    assert second["temperature_expanded_c"] != second["temperature_expanded_c"]
    assert first["peak_temperature_c"] == pytest.approx(1222.2, abs=0.1)


def test_two_spellings_become_one_programme(tmp_path: Path) -> None:
    firings = [["firing", "programme", "cone"], ["F1", "Stoneware 6", "6"], ["F2", "stoneware6", "6"]]
    sheets = read(tmp_path, Firings=firings)

    assert list(sheets.firings["programme"]) == ["Stoneware 6", "Stoneware 6"]
    assert [f.code for f in sheets.findings if f.level == "ask"] == ["programme-spelled-twice"]


def test_stated_scatter_needs_to_say_from_how_many(tmp_path: Path) -> None:
    lab = [
        ["name", "value"],
        ["scatter between batches (points)", 0.2],
        ["scatter between batches, from how many", 6],
        ["scatter between loads (points)", 0.3],
        ["length errors", "alike at every stage"],
        ["temperature ± (°C)", 8],
        ["control body", "Marl Red"],
    ]
    sheets = read(tmp_path, Lab=lab)
    found = sheets.sheets[0].lab

    assert (found.batch_scatter_points, found.batch_scatter_from) == (0.2, 6)
    assert (found.load_scatter_points, found.load_scatter_from) == (None, None)
    assert (found.length_errors, found.temperature_expanded_c) == ("alike at every stage", 8.0)
    assert found.control_body == "Marl Red"
    assert [f.code for f in sheets.findings if f.level == "ask"] == ["scatter-from-how-many"]


def test_degrees_of_a_difference_have_no_zero_point() -> None:
    assert converted(18.0, "°F", "degrees") == pytest.approx(10.0)
    assert converted(50.0, "°F", "temperature") == pytest.approx(10.0)


@pytest.mark.parametrize("written", ["6", "cone 6", "Cone 6", "c6", "^6"])
@pytest.mark.parametrize("code", ["Cone 6", "K1"])
def test_bars_and_pieces_find_their_firing_by_any_spelling_of_its_cone(tmp_path: Path, written: str, code: str) -> None:
    bars = [BARS[0], *([*row[:2], written, *row[3:]] for row in BARS[1:])]
    firings = [["firing", "cone", "programme"], [code, "6", "cone 6"], ["K2", "06", "06"], ["K3", "7", ""]]
    pieces = [["piece", "body", "firing", "wet size (mm)", "fired size (mm)"], ["P1", "Marl Red", written, 200, 176]]
    sheets = read(tmp_path, Bars=bars, Firings=firings, Pieces=pieces)
    assert set(sheets.bars["firing"]) == set(sheets.pieces["firing"]) == {code}
    told = [finding for finding in sheets.findings if finding.value == written and (finding.cell or "")[:4] == "Bars"]
    assert [finding.code for finding in told] == (
        ["firing-by-cone"] if code == "K1" else ["name-in-two-spellings"] * (written != code)
    )


def test_a_cone_that_two_firings_reached_is_asked_about(tmp_path: Path) -> None:
    bars = [BARS[0], *([*row[:2], "c6", *row[3:]] for row in BARS[1:])]
    firings = [["firing", "cone"], ["K1", "6"], ["K2", "6"]]
    sheets = read(tmp_path, Bars=bars, Firings=firings)
    assert set(sheets.bars["firing"]) == {"c6"}
    assert [finding.sentence for finding in sheets.findings if finding.code == "firing-unknown"] == [
        "The firing “c6” in Bars!C2 (bars that name it: 5) is not on the Firings table."
        " Firings to that cone are K1, K2."
    ]


def test_bars_without_a_firings_table_are_put_together_by_cone(tmp_path: Path) -> None:
    written = ["6", "cone 6", "^6", "06", "6"]
    bars = [BARS[0], *([*row[:2], cone, *row[3:]] for row, cone in zip(BARS[1:], written, strict=True))]
    assert list(read(tmp_path, Bars=bars).bars["firing"]) == ["6", "6", "6", "06", "6"]


@pytest.mark.parametrize("text", ["SK 6a", "6 bent, 7 standing"])
def test_what_is_no_cone_of_the_series_is_kept_as_text(tmp_path: Path, text: str) -> None:
    sheets = read(tmp_path, Firings=[["firing", "cone"], ["F1", text]])
    assert list(sheets.firings["cone"]) == [text]
    (group,) = bodytest.analyse(sheets).groups
    assert (group.cone, group.peak_temperature_c, group.nominal_temperature_c) == (text, None, None)


def test_one_programme_may_be_named_by_its_cone_in_several_spellings(tmp_path: Path) -> None:
    sheets = read(tmp_path, Firings=[["firing", "programme"], ["F1", "cone 6"], ["F2", "^6"], ["F3", "06"]])
    assert list(sheets.firings["programme"]) == ["cone 6", "cone 6", "06"]


@pytest.mark.parametrize(
    ("heading", "rate", "celsius", "column"),
    [
        ("heating rate (°C/h)", "", 1222, "60 °C per hour (assumed: no heating rate is stated)"),
        ("heating rate (°C/h)", 60, 1222, "60 °C per hour"),
        ("heating rate (°C/h)", "120 °C/h", 1243, "150 °C per hour"),
        ("heating rate (°F/h)", 108, 1222, "60 °C per hour"),
        ("ramp rate (°F/h)", 270, 1243, "150 °C per hour"),
    ],
)
def test_a_stated_heating_rate_chooses_the_column_of_the_cone_chart(
    tmp_path: Path, heading: str, rate: object, celsius: float, column: str
) -> None:
    results = bodytest.analyse(read(tmp_path, Firings=[["firing", "cone", heading], ["F1", "6", rate]]))
    for one in (*results.groups, *results.programmes):
        assert (one.nominal_temperature_c, one.nominal_from) == (celsius, column)


def test_a_temperature_that_was_read_leaves_the_chart_out(tmp_path: Path) -> None:
    firings = [["firing", "cone", "peak temperature (°C)", "heating rate (°C/h)"], ["F1", "6", 1225, 150]]
    (group,) = bodytest.analyse(read(tmp_path, Firings=firings)).groups
    assert (group.peak_temperature_c, group.nominal_temperature_c, group.nominal_from) == (1225, None, None)


@pytest.mark.parametrize(
    ("rate", "unit", "usual", "used"),
    [
        (1200, "°C/h", "15 °C/h to 400 °C/h", "was used"),
        (0, "°C/h", "15 °C/h to 400 °C/h", "was not used"),
        (-60, "°C/h", "15 °C/h to 400 °C/h", "was not used"),
        (1200, "°F/h", "27 °F/h to 720 °F/h", "was used"),
    ],
)
def test_an_odd_heating_rate_is_asked_about_in_its_unit(
    tmp_path: Path, rate: float, unit: str, usual: str, used: str
) -> None:
    sheets = read(tmp_path, Firings=[["firing", "cone", f"heating rate ({unit})"], ["F1", "6", rate]])
    assert [finding.sentence for finding in sheets.findings if finding.code == "heating-rate-odd"] == [
        f"{rate} {unit} in Firings!C2 is no usual heating rate near the top of a firing ({usual}); it {used}."
    ]
