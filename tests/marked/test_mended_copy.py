"""A copy in which some cells hold another reading, and everything else is as it was."""

import io
import os
import shutil
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pytest

from bodytest.errors import UnusableRequest
from bodytest.marked.mending import write_mended_copy
from bodytest.reading import read_sheets

SHEETS = Path(__file__).parents[2] / "sheets"
OFFICE_MISSING = shutil.which("soffice") is None and not os.environ.get("CI")
MISTAKES = SHEETS / "demo-mistakes.xlsx"


def parts(path):
    with zipfile.ZipFile(io.BytesIO(path.read_bytes())) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_only_the_mended_cells_and_the_calculation_change(tmp_path):
    before = MISTAKES.read_bytes()
    assert write_mended_copy(MISTAKES, {"Bars": {(5, 11): "92,8"}}, tmp_path / "mended.xlsx") == ()
    assert MISTAKES.read_bytes() == before
    old, new = parts(MISTAKES), parts(tmp_path / "mended.xlsx")
    changed = {name for name in old if old[name] != new[name]}
    assert old.keys() == new.keys()
    assert changed <= {"xl/worksheets/sheet1.xml", "xl/workbook.xml"}
    table, mended = (openpyxl.load_workbook(one)["Bars"] for one in (MISTAKES, tmp_path / "mended.xlsx"))
    assert mended["L5"].value == 92.8
    assert mended["L5"].number_format == table["L5"].number_format
    assert [cell.value for cell in mended[6]] == [cell.value for cell in table[6]]


def test_a_mend_takes_its_finding_away_and_no_other(tmp_path):
    write_mended_copy(MISTAKES, {"Bars": {(5, 11): "92.8"}}, tmp_path / "mended.xlsx")
    before, after = (
        {(f.code, f.cell) for f in read_sheets([p]).findings} for p in (MISTAKES, tmp_path / "mended.xlsx")
    )
    assert before - after == {("impossible-value", "Bars!L5")}
    assert after <= before


def test_text_stays_text_and_a_cell_that_is_not_there_is_made(tmp_path):
    mends = {(2, 0): "=1+1", (3, 1): "Marl <Red> & co", (4, 3): "06", (60, 2): "far below"}
    write_mended_copy(MISTAKES, {"Bars": mends}, tmp_path / "mended.xlsx")
    table = openpyxl.load_workbook(tmp_path / "mended.xlsx")["Bars"]
    assert [table[at].value for at in ("A2", "B3", "D4", "C60")] == list(mends.values())
    assert [table[at].data_type for at in ("A2", "B3", "D4")] == ["s", "s", "s"]


def test_a_formula_is_not_written_over(tmp_path):
    with pytest.raises(UnusableRequest, match="holds a formula"):
        write_mended_copy(MISTAKES, {"Bars": {(18, 7): "100.3"}}, tmp_path / "mended.xlsx")
    assert list(tmp_path.iterdir()) == []


def test_a_table_that_is_not_there_is_told(tmp_path):
    with pytest.raises(UnusableRequest, match="There is no cell Nowhere"):
        write_mended_copy(MISTAKES, {"Nowhere": {(1, 0): "1"}}, tmp_path / "mended.xlsx")


def test_a_text_table_becomes_a_workbook_of_its_values(tmp_path):
    (tmp_path / "trial.csv").write_text("bar,body,wet length (mm)\n1,Marl Red,1000\n2,Marl Red,100.2\n")
    told = write_mended_copy(tmp_path / "trial.csv", {"Bars": {(2, 2): "100.0"}}, tmp_path / "mended.xlsx")
    assert told == (
        "This copy was made from a text table, so it holds its values alone:"
        " formats, formulas and comments stayed in the original.",
    )
    table = openpyxl.load_workbook(tmp_path / "mended.xlsx").worksheets[0]
    assert [cell.value for cell in table["C"]] == ["wet length (mm)", 100, 100.2]


@pytest.mark.office
@pytest.mark.skipif(OFFICE_MISSING, reason="no LibreOffice on this machine")
def test_office_opens_the_copy_and_calculates_with_the_mended_reading(tmp_path):
    write_mended_copy(MISTAKES, {"Bars": {(5, 11): "92.8"}}, tmp_path / "mended.xlsx")
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless", "--convert-to", "csv",
         "--outdir", str(tmp_path), str(tmp_path / "mended.xlsx")],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    head, bar = (
        line.split(",") for line in (tmp_path / "mended.csv").read_text(encoding="latin-1").splitlines()[2:5:2]
    )
    assert float(bar[head.index("firing shrinkage (%)")]) == pytest.approx(100 * (94.8 - 92.8) / 94.8)
