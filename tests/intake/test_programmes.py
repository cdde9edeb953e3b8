"""Programmes, kiln temperatures and scatter known from elsewhere, as sheets state them."""

from pathlib import Path

import openpyxl
import pytest

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
