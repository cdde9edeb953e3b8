"""A cell that holds a whole book is marked like any other; what a workbook cannot keep is told."""

from pathlib import Path

from openpyxl import load_workbook

from bodytest.marked.copy import write_marked_copy
from bodytest.reading import read_sheets

HEADINGS = "bar,body,firing,wet length (mm),dry length (mm),fired length (mm),notes\n"


def test_a_note_of_140_kilobytes_is_cut_in_the_copy_and_that_is_told(tmp_path: Path) -> None:
    sheet = tmp_path / "trial.csv"
    sheet.write_text(f"{HEADINGS}B1,Grey,F1,100,94,88,{'long ' * 28_000}\nB2,Grey,F1,100,101,88,short\n")
    left_out = write_marked_copy(sheet, read_sheets([sheet]).findings, tmp_path / "marked.xlsx")
    assert left_out[-1] == "Texts of more than 32767 signs end with … in this copy; the original holds them whole."
    bars = load_workbook(tmp_path / "marked.xlsx").worksheets[1]
    note = bars["G2"].value
    assert len(note) == 32_767
    assert note == ("long " * 28_000)[:32_766] + "…"
    assert bars["G3"].value == "short"
