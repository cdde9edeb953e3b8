"""Sheets of people's own are asked about hidden, merged and broken rows as those of our layout are."""

from pathlib import Path

import openpyxl

from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets

HEADS = ["sample", "clay", "Cone", "wet (mm)", "dry (mm)", "fired (mm)"]
BARS = [[f"{i}", "Torvan", "6", 100 + i / 10, 94 + i / 10, 88 + i / 10] for i in range(1, 7)]


def book() -> openpyxl.Workbook:
    made = openpyxl.Workbook()
    tab = made.worksheets[0]
    tab.title = "Tests"
    for row in (["Shrinkage"], [], HEADS, *BARS):
        tab.append(row)
    return made


def told(path: Path) -> list[tuple[str, str | None]]:
    return [(f.code, f.cell) for f in read_sheets([path]).findings if f.level != "note"]


def saved(made: openpyxl.Workbook, folder: Path) -> Path:
    made.save(folder / "own.xlsx")
    return folder / "own.xlsx"


def test_hidden_rows_columns_and_tables_are_asked_about(tmp_path: Path) -> None:
    made = book()
    assert told(saved(made, tmp_path)) == []
    tab = made["Tests"]
    tab.row_dimensions[5].hidden = True
    tab.row_dimensions[6].hidden = True
    tab.column_dimensions["E"].hidden = True
    made.create_sheet("plain")
    tab.sheet_state = "hidden"
    sheets = read_sheets([saved(made, tmp_path)])
    asked = {f.code: (f.cell, f.sentence) for f in sheets.findings if f.level != "note"}
    assert len(sheets.bars) == 6
    assert asked.keys() == {"rows-hidden", "column-hidden", "table-hidden"}
    assert asked["rows-hidden"] == (
        "Tests!A5", "Hidden rows: 2 (first Tests!A5; rows 5–6). They were read like the others.",
    )  # fmt: skip
    assert asked["column-hidden"] == (
        "Tests!E3", "The column “dry length” (Tests!E3) is hidden; it was read like the others.",
    )  # fmt: skip


def test_a_hidden_bar_of_a_sheet_with_bars_as_columns_is_asked_about(tmp_path: Path) -> None:
    made = openpyxl.Workbook()
    tab = made.worksheets[0]
    tab.append(["Torvan cone 6"])
    for column in range(len(HEADS)):
        if column not in (1, 2):
            tab.append([HEADS[column], *(bar[column] for bar in BARS)])
    tab.column_dimensions["C"].hidden = True
    sheets = read_sheets([saved(made, tmp_path)])
    assert len(sheets.bars) == 6
    asked = [f.sentence for f in sheets.findings if f.code == "column-hidden"]
    assert asked == ["The column “2” (Sheet!C3) is hidden; it was read like the others."]


def test_a_reading_merged_over_several_bars_is_given_to_the_first_and_asked_about(tmp_path: Path) -> None:
    made = book()
    made["Tests"].merge_cells("D5:D7")
    sheets = read_sheets([saved(made, tmp_path)])
    (asked,) = [f for f in sheets.findings if f.code == "reading-merged"]
    assert asked.sentence == (
        "Tests!D5 holds 100.2 in a cell merged down to row 7; the reading was given to the first of these rows alone."
    )
    assert sheets.marks["wet_length_mm"].isna().tolist() == [False, False, True, True, False, False]


def text_of(*lines: str) -> bytes:
    head = ",".join(HEADS)
    return "\n".join(["Shrinkage", head, *lines, ""]).encode()


def text_sheet(folder: Path, *lines: str) -> CheckedSheets:
    (folder / "own.csv").write_bytes(text_of(*lines))
    return read_sheets([folder / "own.csv"])


def test_a_stray_quotation_mark_and_a_missing_cell_are_asked_about(tmp_path: Path) -> None:
    lines = [",".join(map(str, bar)) for bar in BARS]
    assert [f.code for f in text_sheet(tmp_path, *lines).findings if f.level != "note"] == []
    lines[1] = lines[1].replace("Torvan", '"Torvan"x')
    lines[3] = lines[3].replace(",94.4", "")
    asked = [(f.code, f.cell) for f in text_sheet(tmp_path, *lines).findings if f.level == "ask"]
    assert ("quote-stray", "Bars!A4") in asked
    assert ("row-short", "Bars!A6") in asked
