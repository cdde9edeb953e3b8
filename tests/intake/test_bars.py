"""Rows become marks and bars; refired bars are completed; what one stop costs and what it does not."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.broken_sheets import make

Row = list[Any]
HEADINGS: Row = ["bar", "body", "batch", "firing", "mark", "wet length (mm)", "dry length (mm)", "fired length (mm)"]
HEADINGS += ["dry mass (g)", "fired mass (g)", "boiled mass (g)", "suspended mass (g)", "leave out"]


def read(folder: Path, *rows: Row, name: str = "sheet.csv") -> CheckedSheets:
    (folder / name).write_bytes(make.text_of([HEADINGS, *([*row, *[""] * (13 - len(row))] for row in rows)]))
    return read_sheets([folder / name])


def serious(sheets: CheckedSheets) -> list[tuple[str, str | None]]:
    return [(f.code, f.cell) for f in sheets.findings if f.level != "note"]


def test_each_row_with_a_mark_is_a_mark_of_its_bar_and_masses_stand_once(tmp_path: Path) -> None:
    sheets = read(
        tmp_path,
        ["A1", "Marl Red", "M1", "F1", 1, 100.0, 94.0, 88.0, 64.1, 60.0, 61.9],
        ["A1", "Marl Red", "M1", "F1", 2, 100.2, 94.1, 88.1],
        ["A2", "Marl Red", "M1", "F1", 1, 99.9, 94.0, 88.2, 64.3, 60.2, 62.0],
        ["A2", "Marl Red", "M1", "F1", 2, 99.8, 93.9, 88.0, 64.3, 60.2, 62.0],
    )
    assert serious(sheets) == []
    assert sheets.bars["bar"].tolist() == ["A1", "A2"]
    assert sheets.bars["row"].tolist() == [2, 4]
    assert sheets.bars["fired_mass_g"].tolist() == [60.0, 60.2]
    assert sheets.marks["bar_row"].tolist() == [0, 0, 1, 1]
    assert sheets.marks["mark"].tolist() == ["1", "2", "1", "2"]
    assert sheets.marks["wet_length_mm"].tolist() == [100.0, 100.2, 99.9, 99.8]


def test_masses_that_differ_between_marks_of_one_bar_are_not_used(tmp_path: Path) -> None:
    sheets = read(
        tmp_path,
        ["A1", "Marl Red", "M1", "F1", 1, 100.0, 94.0, 88.0, 64.1, 60.0, 61.9],
        ["A1", "Marl Red", "M1", "F1", 2, 100.2, 94.1, 88.1, 64.1, 60.7, 61.9],
    )
    assert serious(sheets) == [("bar-contradicts", "Bars!J3")]
    assert np.isnan(sheets.bars["fired_mass_g"].iloc[0])
    assert sheets.bars["dry_mass_g"].tolist() == [64.1]


def test_a_bar_fired_again_takes_wet_and_dry_readings_from_its_first_row(tmp_path: Path) -> None:
    sheets = read(
        tmp_path,
        ["A1", "Marl Red", "M1", "F1", 1, 100.0, 94.0, 92.0, 64.1, 60.0, 66.0],
        ["A1", "Marl Red", "M1", "F1", 2, 100.2, 94.1, 92.1],
        ["A1", "", "", "F2", 1, "", "", 88.0, "", 59.8, 61.0],
        ["A1", "", "", "F2", 2, "", "", 88.2],
    )
    assert serious(sheets) == []
    assert sheets.bars[["bar", "body", "batch", "firing"]].to_numpy().tolist() == [
        ["A1", "Marl Red", "M1", "F1"],
        ["A1", "Marl Red", "M1", "F2"],
    ]
    assert sheets.marks["wet_length_mm"].tolist() == [100.0, 100.2, 100.0, 100.2]
    assert sheets.marks["dry_length_mm"].tolist() == [94.0, 94.1, 94.0, 94.1]
    assert sheets.marks["fired_length_mm"].tolist() == [92.0, 92.1, 88.0, 88.2]
    assert sheets.bars["dry_mass_g"].tolist() == [64.1, 64.1]
    assert sheets.bars["boiled_mass_g"].tolist() == [66.0, 61.0]


def test_a_refired_bar_may_have_readings_of_its_own(tmp_path: Path) -> None:
    sheets = read(
        tmp_path,
        ["A1", "Marl Red", "M1", "F1", "", 100.0, 94.0, 92.0],
        ["A1", "Marl Red", "M1", "F2", "", 100.0, 93.9, 88.0],
    )
    assert sheets.marks["dry_length_mm"].tolist() == [94.0, 93.9]


def test_a_bar_code_needs_to_be_unique_in_its_workbook_only(tmp_path: Path) -> None:
    row: Row = ["A1", "Marl Red", "M1", "F1", "", 100.0, 94.0, 88.0]
    read(tmp_path, row, name="one.csv")
    (tmp_path / "other").mkdir()
    read(tmp_path / "other", [*row[:5], 100.4, 94.4, 88.3], name="one.csv")
    sheets = read_sheets([tmp_path / "one.csv", tmp_path / "other" / "one.csv"])
    assert [s.name for s in sheets.sheets] == ["one.csv", "one.csv (2)"]
    assert sheets.bars["sheet"].tolist() == [0, 1]
    assert sheets.marks["bar_row"].tolist() == [0, 1]
    assert sheets.marks["wet_length_mm"].tolist() == [100.0, 100.4]
    assert serious(sheets) == []


def test_names_that_differ_only_in_capitals_are_one_over_all_workbooks(tmp_path: Path) -> None:
    read(tmp_path, *(["A1", "Marl Red", "M1", "F1", "", 100.0] for _ in range(1)), name="one.csv")
    read(tmp_path, ["A2", "marl red", "m1", "F1", "", 100.0], name="two.csv")
    sheets = read_sheets([tmp_path / "one.csv", tmp_path / "two.csv"])
    assert sheets.bars["body"].tolist() == ["Marl Red", "Marl Red"]
    assert sheets.bars["batch"].tolist() == ["M1", "M1"]


def test_a_suspended_mass_above_the_fired_one_costs_only_itself(tmp_path: Path) -> None:
    sheets = read(tmp_path, ["A1", "Marl Red", "M1", "F1", "", 100.0, 94.0, 88.0, 64.1, 60.0, 61.9, 65.0])
    assert serious(sheets) == [("suspended-not-below-fired", "Bars!L2")]
    assert np.isnan(sheets.bars["suspended_mass_g"].iloc[0])
    assert sheets.bars[["dry_mass_g", "fired_mass_g", "boiled_mass_g"]].to_numpy().tolist() == [[64.1, 60.0, 61.9]]
    assert sheets.marks["fired_length_mm"].tolist() == [88.0]


def test_a_suspended_mass_equal_to_the_fired_one_cannot_be(tmp_path: Path) -> None:
    sheets = read(tmp_path, ["A1", "Marl Red", "M1", "F1", "", "", "", "", "", 60.0, 61.9, 60.0])
    assert serious(sheets) == [("suspended-not-below-fired", "Bars!L2")]


@pytest.mark.parametrize(
    ("boiled", "codes"), [(59.99, ["within-reading-uncertainty"]), (59.98, ["boiled-below-fired"])]
)
def test_a_boiled_mass_below_the_fired_one_asks_within_the_reading_step_and_stops_beyond(
    tmp_path: Path, boiled: float, codes: list[str]
) -> None:
    bars = [["name", "value"], ["mass reading step (g)", 0.01]]
    rows = [HEADINGS[:12], ["A1", "Marl Red", "M1", "F1", None, 100.0, 94.0, 88.0, 64.1, 60.0, boiled, 35.0]]
    (tmp_path / "dense.xlsx").write_bytes(make.workbook_of({"Bars": rows, "Lab": bars}))
    sheets = read_sheets([tmp_path / "dense.xlsx"])
    assert [code for code, _ in serious(sheets) if code != "contradicts-another"] == codes
    assert (sheets.bars["boiled_mass_g"].tolist() == [boiled]) is (codes == ["within-reading-uncertainty"])


def test_a_dry_length_above_the_wet_one_within_the_step_is_asked_about_once(tmp_path: Path) -> None:
    lab = [["name", "value"], ["length reading step (mm)", 0.5]]
    rows = [HEADINGS[:8], ["A1", "Marl Red", "M1", "F1", None, 100.0, 100.5, 94.0]]
    (tmp_path / "stiff.xlsx").write_bytes(make.workbook_of({"Bars": rows, "Lab": lab}))
    sheets = read_sheets([tmp_path / "stiff.xlsx"])
    assert serious(sheets) == [("within-reading-uncertainty", "Bars!G2")]
    assert sheets.marks["dry_length_mm"].tolist() == [100.5]


def test_where_neighbours_single_out_the_wrong_reading_the_other_one_is_kept(tmp_path: Path) -> None:
    good = [[f"A{i}", "Marl Red", "M1", "F1", "", 100.0 + i / 10, 94.0 + i / 10, 88.0 + i / 10] for i in range(6)]
    sheets = read(tmp_path, *good, ["A9", "Marl Red", "M1", "F1", "", 100.1, 140.9, 88.2])
    assert serious(sheets) == [("dry-longer-than-wet", "Bars!G8")]
    assert sheets.marks["wet_length_mm"].iloc[-1] == 100.1
    assert sheets.marks["fired_length_mm"].iloc[-1] == 88.2
    assert np.isnan(sheets.marks["dry_length_mm"].iloc[-1])


def test_real_expansion_in_firing_is_only_asked_about(tmp_path: Path) -> None:
    sheets = read(tmp_path, ["A1", "Marl Red", "M1", "F1", "", 100.0, 94.0, 96.9])
    assert serious(sheets) == [("beyond-clay", "Bars!H2")]
    assert sheets.marks["fired_length_mm"].tolist() == [96.9]


def test_a_half_filled_sheet_is_no_fault(tmp_path: Path) -> None:
    sheets = read(tmp_path, *([f"A{i}", "Marl Red", "M1", "F1", "", 100.0 + i / 10] for i in range(10)))
    assert serious(sheets) == []
    assert [f.code for f in sheets.findings] == ["still-to-come"]
    assert len(sheets.bars) == 10


def test_any_text_leaves_a_bar_out_and_keeps_it_in_the_tables(tmp_path: Path) -> None:
    sheets = read(
        tmp_path,
        ["A1", "Marl Red", "M1", "F1", "", 100.0, "", "", "", "", "", "", "cracked"],
        ["A2", "Marl Red", "M1", "F1", "", 100.1, "", "", "", "", "", "", "no"],
        ["A3", "Marl Red", "M1", "F1", "", 100.2],
    )
    assert sheets.bars["left_out"].tolist() == ["cracked", "no", ""]
    assert serious(sheets) == [("left-out-without-reason", "Bars!M3")]


def test_findings_come_in_the_order_of_sheets_rows_and_columns(tmp_path: Path) -> None:
    first = ["A1", "Marl Red", "M1", "F1", "", "long", "y", 88.0, -1, 0]
    read(tmp_path, first, ["A2", *first[1:5], 100.0, "z", 88.1], name="one.csv")
    read(tmp_path, first, name="two.csv")
    sheets = read_sheets([tmp_path / "one.csv", tmp_path / "two.csv"])
    stops = [(f.sheet, f.cell) for f in sheets.findings if f.level == "stop"]
    assert stops == [
        ("one.csv", "Bars!F2"),
        ("one.csv", "Bars!G2"),
        ("one.csv", "Bars!I2"),
        ("one.csv", "Bars!J2"),
        ("one.csv", "Bars!G3"),
        ("two.csv", "Bars!F2"),
        ("two.csv", "Bars!G2"),
        ("two.csv", "Bars!I2"),
        ("two.csv", "Bars!J2"),
    ]


def test_the_lab_table_is_read_in_its_units(tmp_path: Path) -> None:
    lab = [
        ["name", "value"],
        ["Workshop", "Invented workshop"],
        ["measured by", "Jo"],
        ["absorption method", "Boil 2 h and soak 4 h"],
        ["water temperature (°F)", 68],
        ["length reading step (in)", 0.001],
        ["length calibration ± (mm)", 0.05],
        ["mass reading step (g)", "0,01 g"],
        ["mass calibration ± (g)", 0],
        ["absorption limit (%)", "3 %"],
        ["shrinkage tolerance (%)", 0.4],
        ["confidence (%)", 0.9],
    ]
    (tmp_path / "lab.xlsx").write_bytes(make.book_with(Lab=lab))
    read_lab = read_sheets([tmp_path / "lab.xlsx"])
    found = read_lab.sheets[0].lab
    assert [f.code for f in read_lab.findings] == []
    assert (found.workshop, found.measured_by) == ("Invented workshop", "Jo")
    assert found.absorption_method == "boil 2 h and soak 4 h"
    assert found.water_temperature_c == pytest.approx(20.0)
    assert found.length_step_mm == pytest.approx(0.0254)
    assert (found.length_calibration_mm, found.mass_calibration_g) == (0.05, 0.0)
    assert (found.mass_step_g, found.mass_step_inferred) == (0.01, False)
    assert (found.absorption_limit_percent, found.shrinkage_tolerance_points) == (3.0, 0.4)
    assert found.confidence == pytest.approx(0.9)


def test_steps_that_are_not_stated_are_told_from_the_digits_and_marked(tmp_path: Path) -> None:
    rows = [
        [f"A{i}", "Marl Red", "M1", "F1", "", 100 + 0.05 * i, 94 + 0.05 * (i % 7), "", 64 + i / 100] for i in range(9)
    ]
    lab = read(tmp_path, *rows).sheets[0].lab
    assert (lab.length_step_mm, lab.length_step_inferred) == (0.05, True)
    assert (lab.mass_step_g, lab.mass_step_inferred) == (0.01, True)
    blank = read(tmp_path, ["A1", "Marl Red", "M1", "F1", "", 100.0]).sheets[0].lab
    assert (blank.length_step_mm, blank.length_step_inferred) == (None, False)


def test_a_file_given_twice_counts_once(tmp_path: Path) -> None:
    row: Row = ["A1", "Marl Red", "M1", "F1", "", 100.0, 94.0, 88.0]
    read(tmp_path, row, name="one.csv")
    read(tmp_path, row, name="copy.csv")
    sheets = read_sheets([tmp_path / "one.csv", tmp_path / "copy.csv", tmp_path / "one.csv"])
    assert len(sheets.bars) == 1
    assert [(f.code, f.sheet) for f in sheets.findings if f.code == "file-twice"] == [
        ("file-twice", "copy.csv"),
        ("file-twice", "one.csv (2)"),
    ]


def test_single_bars_that_stand_in_two_workbooks_of_other_bars_are_asked_about(tmp_path: Path) -> None:
    rows: list[Row] = [[f"A{i}", "Marl Red", "M1", "F1", "", 100.0, 94 + i / 10, 88 + i / 10] for i in range(15)]
    others = [row if place < 3 else [*row[:6], row[6] + 2, row[7] + 2] for place, row in enumerate(rows)]
    read(tmp_path, *rows, name="one.csv")
    read(tmp_path, *others, name="two.csv")
    sheets = read_sheets([tmp_path / "one.csv", tmp_path / "two.csv"])
    (found,) = [f for f in sheets.findings if f.level == "ask"]
    assert (found.code, found.cell, len(sheets.bars)) == ("bars-in-two-sheets", "Bars!A2", 30)
    assert found.sentence == (
        "Bars of two.csv that stand with the same code and readings in one.csv too: 3 (first Bars!A2)."
        " They count twice."
    )
