"""A workbook of ours is filled in, recalculated and saved by LibreOffice, and read back."""

import math
import os
import shutil
import subprocess
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
import python_calamine

from bodytest.analysis.analysing import analyse
from bodytest.reading import read_sheets
from bodytest.sheet.blank import BlankSheetOptions, FiringPlan, write_blank_sheet
from bodytest.sheet.chosen_columns import KindsOfTest

pytestmark = [
    pytest.mark.office,
    pytest.mark.skipif(
        shutil.which("soffice") is None and not os.environ.get("CI"), reason="no LibreOffice on this machine"
    ),
]
HEADING_ROW = 3
LIVE = {
    "drying shrinkage (%)": "drying_shrinkage",
    "firing shrinkage (%)": "firing_shrinkage",
    "total shrinkage (%)": "total_shrinkage",
    "absorption (%)": "absorption",
}
PROTECTED = ("Bars", "Firings", "Lab", "Pieces", "Specs", "Guide", "Lists")


def saved_by_office(source: Path, ending: str, folder: Path) -> Path:
    """Open, recalculate and save with LibreOffice in a profile of its own."""
    out = folder / ending
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--convert-to", ending,
         "--outdir", str(out), str(source)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return out / f"{source.stem}.{ending}"


def headings(sheet: Any) -> dict[str, int]:
    return {str(cell.value): cell.column for cell in sheet[HEADING_ROW] if cell.value}


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook with two bodies, two firings, three marks a bar, some readings missing."""
    path = tmp_path_factory.mktemp("filled") / "filled.xlsx"
    write_blank_sheet(
        path,
        BlankSheetOptions(
            bodies=("Marl Red", "Drift Buff"),
            firings=(FiringPlan("F1", "04"), FiringPlan("F2", "6")),
            bars=3,
            marks=3,
            kinds=KindsOfTest(leather_hard=True, bisque=True, cold_soak=True, suspended=True),
        ),
    )
    workbook = openpyxl.load_workbook(path)
    sheet = workbook["Bars"]
    place = headings(sheet)
    draw = np.random.default_rng(7)
    for row in range(HEADING_ROW + 1, HEADING_ROW + 1 + 36):
        wet = 100 + draw.normal(0, 0.4)
        lengths = {"wet": wet, "leather-hard": wet * 0.98, "dry": wet * 0.94, "bisque": wet * 0.93, "fired": wet * 0.88}
        for stage, length in lengths.items():
            sheet.cell(row, place[f"{stage} length (mm)"]).value = round(float(length + draw.normal(0, 0.1)), 1)
        if (row - HEADING_ROW) % 3 == 1:
            masses = {"wet": 80, "dry": 64, "fired": 59, "cold-soaked": 60.1, "boiled": 60.6, "suspended": 33.5}
            for stage, mass in masses.items():
                sheet.cell(row, place[f"{stage} mass (g)"]).value = round(float(mass + draw.normal(0, 0.2)), 2)
    sheet.cell(5, place["dry length (mm)"]).value = None
    sheet.cell(7, place["boiled mass (g)"]).value = None
    sheet.cell(8, place["wet length (mm)"]).value = None
    for row in (10, 11, 12):
        sheet.cell(row, place["fired length (mm)"]).value = None
    workbook.save(path)
    return path


def live_values_of_xlsx(path: Path) -> dict[int, dict[str, object]]:
    sheet = openpyxl.load_workbook(path, data_only=True)["Bars"]
    place = headings(sheet)
    return {
        row: {key: sheet.cell(row, place[heading]).value for heading, key in LIVE.items()}
        for row in range(HEADING_ROW + 1, sheet.max_row + 1)
    }


def live_values_of_ods(path: Path) -> dict[int, dict[str, object]]:
    rows = python_calamine.load_workbook(str(path)).get_sheet_by_name("Bars").to_python(skip_empty_area=False)
    place = {str(text): column for column, text in enumerate(rows[HEADING_ROW - 1])}
    return {
        number: {key: row[place[heading]] for heading, key in LIVE.items()}
        for number, row in enumerate(rows[HEADING_ROW:], start=HEADING_ROW + 1)
    }


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_live_columns_equal_the_results_after_office_recalculated_them(
    filled: Path, ending: str, tmp_path: Path
) -> None:
    saved = saved_by_office(filled, ending, tmp_path)
    live = live_values_of_xlsx(saved) if ending == "xlsx" else live_values_of_ods(saved)
    sheets = read_sheets([saved])
    assert [f.sentence for f in sheets.findings if f.level == "stop"] == []
    bars = analyse(sheets).bars
    assert len(bars) == 12
    compared = 0
    for _, bar in bars.iterrows():
        for key in LIVE.values():
            shown, ours = live[int(bar["row"])][key], float(bar[key])
            if math.isnan(ours):
                assert shown in ("", None), (bar["bar"], key)
            else:
                assert shown == pytest.approx(ours, rel=1e-9, abs=1e-9), (bar["bar"], key)
                compared += 1
    assert compared == 12 * 4 - 3


def test_office_keeps_lists_limits_and_protection_in_xlsx(filled: Path, tmp_path: Path) -> None:
    before = openpyxl.load_workbook(filled)
    after = openpyxl.load_workbook(saved_by_office(filled, "xlsx", tmp_path))
    for name in PROTECTED:
        assert after[name].protection.sheet, name
        assert after[name].protection.password is None, name
    kinds = {name: sorted(v.type for v in before[name].data_validations.dataValidation) for name in before.sheetnames}
    assert kinds["Bars"] == ["decimal"] * 11 + ["list"] * 5
    for name, expected in kinds.items():
        assert sorted(v.type for v in after[name].data_validations.dataValidation) == expected, name
    bars = after["Bars"]
    assert bars["A4"].protection.locked is False
    assert bars["A3"].protection.locked is True
    assert len(bars.conditional_formatting) == len(before["Bars"].conditional_formatting)


def test_office_keeps_lists_limits_and_protection_in_ods(filled: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(saved_by_office(filled, "ods", tmp_path)) as saved:
        content = saved.read("content.xml").decode()
    assert content.count("<table:table table:name=") == content.count('table:protected="true"') == len(PROTECTED)
    assert content.count("<table:content-validation ") >= 25
    assert "cell-content-is-in-list" in content
    assert "cell-content-is-decimal-number() and cell-content-is-between(10,600)" in content


def test_live_words_say_what_cannot_be_right(filled: Path, tmp_path: Path) -> None:
    workbook = openpyxl.load_workbook(filled)
    sheet = workbook["Bars"]
    place = headings(sheet)
    slips = {
        13: ("dry length (mm)", 105.0, "Dry is longer than wet."),
        16: ("suspended mass (g)", 70.0, "Suspended is not lighter than fired."),
        19: ("wet length (mm)", "about 100", "A reading is not a number."),
        22: ("fired mass (g)", -58.0, "A reading is zero or negative. Suspended is not lighter than fired."),
        25: ("fired length (mm)", 8.8, "Shrinks more than 25 %."),
        28: ("firing", "F9", "This firing is not on the Firings sheet."),
        31: ("dry mass (g)", "#DIV/0!", "A cell holds an error."),
    }
    for row, (heading, typed, _) in slips.items():
        sheet.cell(row, place[heading]).value = typed
    slipped = tmp_path / "slipped.xlsx"
    workbook.save(slipped)
    shown = openpyxl.load_workbook(saved_by_office(slipped, "xlsx", tmp_path), data_only=True)["Bars"]
    for row, (_, _, words) in slips.items():
        assert str(shown.cell(row, place["look again"]).value).strip() == words
    sound = [shown.cell(row, place["look again"]).value for row in range(4, 40) if row not in slips]
    assert {value or "" for value in sound} == {""}
    lab = workbook["Lab"]
    (forming,) = [row for row in lab.iter_rows() if row[0].value == "forming"]
    forming[1].value = "pressed"
    workbook.save(slipped)
    shown = openpyxl.load_workbook(saved_by_office(slipped, "xlsx", tmp_path), data_only=True)["Bars"]
    assert shown.cell(13, place["look again"]).value in ("", None)
    assert str(shown.cell(16, place["look again"]).value).strip() == slips[16][2]
