"""Bars that were pressed in a die may stay longer than it; bars of plastic clay never do."""

from pathlib import Path
from typing import Any

import pytest

from bodytest.analysis.analysing import analyse
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.broken_sheets import make

HEADINGS = ["bar", "body", "firing", "die length (mm)", "dry length (mm)", "fired length (mm)"]
LENGTHS = [(110.7, 103.1), (110.6, 103.0), (110.7, 103.2), (110.6, 103.1), (110.8, 103.2), (110.7, 103.0)]


def read(folder: Path, lab: list[list[Any]] | None = None, formings: list[str] | None = None) -> CheckedSheets:
    """Read bars of a die of 110.0 mm that springs back 0.6 %."""
    bars: list[list[Any]] = [[f"P{n}", "Dust", "F1", 110.0, *pair] for n, pair in enumerate(LENGTHS)]
    headings = HEADINGS
    if formings:
        headings = [*HEADINGS, "forming"]
        bars = [[*bar, way] for bar, way in zip(bars, formings, strict=True)]
    tables = {"Bars": [headings, *bars], "Firings": [["firing", "cone"], ["F1", "6"]]}
    (folder / "bars.xlsx").write_bytes(make.workbook_of(tables | ({"Lab": lab} if lab else {})))
    return read_sheets([folder / "bars.xlsx"])


def told(sheets: CheckedSheets) -> set[str]:
    return {f.code for f in sheets.findings if f.level != "note"}


def mean(sheets: CheckedSheets, quantity: str) -> float | None:
    (group,) = analyse(sheets).groups
    return group.quantities[quantity].mean if quantity in group.quantities else None


@pytest.mark.parametrize("kept", [{"lab": [["forming", "Pressed"]]}, {"formings": ["pressed"] * 6}])
def test_a_pressed_bar_may_be_longer_than_its_die(tmp_path: Path, kept: dict[str, Any]) -> None:
    sheets = read(tmp_path, **kept)
    assert told(sheets) == set()
    assert mean(sheets, "drying_shrinkage") == pytest.approx(-0.62, abs=0.01)
    assert mean(sheets, "total_shrinkage") == pytest.approx(6.27, abs=0.01)


@pytest.mark.parametrize("way", ["", "plastic", "extruded", "cast"])
def test_other_bars_may_not(tmp_path: Path, way: str) -> None:
    sheets = read(tmp_path, lab=[["forming", way]])
    assert "dry-longer-than-wet" in told(sheets)
    assert mean(sheets, "drying_shrinkage") is None


def test_a_pressed_bar_that_springs_back_too_far_is_asked_about(tmp_path: Path) -> None:
    bars = [[f"P{n}", "Dust", "F1", 107.0, *pair] for n, pair in enumerate(LENGTHS)]
    path = tmp_path / "bars.xlsx"
    path.write_bytes(make.workbook_of({"Bars": [HEADINGS, *bars], "Lab": [["forming", "pressed"]]}))
    found = [f.sentence for f in read_sheets([path]).findings if f.code == "beyond-clay"]
    assert found[0] == (
        "In Bars!E2 the drying shrinkage comes to −3.5 % (wet length 107 mm, dry length 110.7 mm), outside what clay"
        " usually does (−2 to 8 %); it was used."
    )


def test_a_bar_says_it_against_its_lab_table(tmp_path: Path) -> None:
    sheets = read(tmp_path, lab=[["forming", "plastic"]], formings=["pressed"] * 6)
    assert told(sheets) == set()


def test_ways_of_forming_are_never_mixed_without_a_word(tmp_path: Path) -> None:
    sheets = read(tmp_path, formings=["pressed", "pressed", "pressed", "", "", ""])
    (found,) = [f for f in sheets.findings if f.code == "forming-differs"]
    assert found.cell == "Bars!G5"
    assert found.sentence == (
        "Bars of Dust were formed in different ways, pressed 3, not said 3, and are summarised together (Bars!G5)."
    )


def test_an_unknown_way_is_told_with_those_that_are_known(tmp_path: Path) -> None:
    sheets = read(tmp_path, lab=[["forming", "jiggered"]])
    (found,) = [f for f in sheets.findings if f.code == "choice-unknown"]
    assert (found.cell, found.value) == ("Lab!B1", "jiggered")
    assert "plastic; pressed; cast; extruded" in found.sentence + found.remedy
