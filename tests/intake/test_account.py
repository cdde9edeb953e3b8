"""The account of cells: what is filled is used, named in a finding, or set aside for a reason, and it adds up."""

import os
import tempfile
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bodytest.grids.account import Reason
from bodytest.reading import read_sheets
from bodytest.tables import CellBalance, CheckedSheets
from tests.broken_sheets import make
from tests.intake.counted_cells import counted_cells

ROOT = Path(__file__).parent.parent.parent
BROKEN = ROOT / "tests" / "broken_sheets"
KEPT = Path(os.environ.get("KEPT_SHEETS", ROOT / "tests" / "kept-sheets"))
UNREADABLE = ("file-", "old-excel", "not-a-spreadsheet")
READABLE = [name for name in make.SHEETS if not name.startswith(UNREADABLE)]
DEMO = sorted(p.name for p in (ROOT / "sheets").glob("*.xlsx"))
Row = list[Any]


def balance_of(sheets: CheckedSheets, table: str = "Bars") -> CellBalance:
    return next(b for b in sheets.cells if b.table == table)


def check_balance(sheets: CheckedSheets, filled: dict[str, int]) -> None:
    """Hold that the three add up to an independent count for each table, and that nothing is left over."""
    assert {b.table: b.filled for b in sheets.cells} == filled
    assert [b for b in sheets.cells if b.used + b.named + sum(b.set_aside.values()) != b.filled] == []
    assert [f.sentence for f in sheets.findings if f.code == "cells-unaccounted"] == []
    assert {reason for b in sheets.cells for reason in b.set_aside} <= set(get_args(Reason))


@pytest.mark.parametrize("name", READABLE)
def test_the_account_of_a_broken_sheet_adds_up(name: str) -> None:
    check_balance(read_sheets([BROKEN / name]), counted_cells(BROKEN / name))


@pytest.mark.parametrize("name", DEMO)
def test_the_account_of_a_demo_sheet_adds_up(name: str) -> None:
    path = ROOT / "sheets" / name
    check_balance(read_sheets([path]), counted_cells(path))


def test_a_step_that_forgets_its_cells_is_told_as_a_fault_of_the_program(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("bodytest.intake.columns.ReadTable.use", lambda self, key, chosen: None)
    path = tmp_path / "good.csv"
    path.write_bytes(make.text_of([["bar", "body", "wet length (mm)"], ["A1", "Marl Red", 99.8]]))
    sheets = read_sheets([path])
    assert [(f.code, f.level, f.sentence) for f in sheets.findings if f.cell == "Bars!A2"] == [
        (
            "cells-unaccounted",
            "stop",
            "bodytest cannot say what became of Bars!A2; cells like it in this table: 3. That is a fault of the"
            " program, not of the sheet.",
        )
    ]
    assert (balance_of(sheets).filled, balance_of(sheets).used) == (6, 3)


def book(folder: Path, tables: dict[str, list[Row]]) -> Path:
    path = folder / "sheet.xlsx"
    path.write_bytes(make.workbook_of(tables))
    return path


def sentences(sheets: CheckedSheets, code: str) -> list[str]:
    return [f.sentence for f in sheets.findings if f.code == code]


def tables_of_ours() -> dict[str, list[Row]]:
    """Return a small workbook in the layout of ours, titles and lists included."""
    bars = [["Bars", "fill in"], [], [*make.HEADINGS, "absorption (%)"], *([*b, 3.1] for b in make.good_bars(4)[1:])]
    lists = [["Names for the drop-down lists"], [], ["bodies", "batches", "directions"], ["Marl Red", "M1", "along"]]
    return {
        "Bars": bars,
        "Firings": [["Firings"], [], *make.FIRINGS],
        "Lab": [["Lab", "fill in once"], *(([*line, "why"]) for line in make.LAB)],
        "Pieces": make.PIECES,
        "Guide": [["Take care"], ["common practice, no source"]],
        "Lists": lists,
        "My own": [["shopping", "list"]],
    }


CELLS = st.one_of(
    st.sampled_from(["A9", "wet length (mm)", "bar", "mean", "F1", "firing", "?", "n/a", " ", "hold (min)", "8,4"]),
    st.sampled_from(["#DIV/0!", "=A1", True, -3, 0, 12.5, 94, 1e9, "broke", "Take care", "6", "notes", "absorption"]),
    st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=8),
)
PLACES = st.tuples(st.sampled_from(sorted(tables_of_ours())), st.integers(1, 12), st.integers(1, 24))
SOME = settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))


@SOME
@given(st.dictionaries(PLACES, CELLS, min_size=1, max_size=12))
def test_cells_typed_anywhere_into_a_workbook_are_never_lost(typed: dict[tuple[str, int, int], Any]) -> None:
    def type_in(workbook: Any) -> None:
        for (table, row, column), cell in typed.items():
            if str(cell).strip():  # the library that writes them leaves blanks out
                workbook[table].cell(row, column).value = cell

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "typed.xlsx"
        path.write_bytes(make.workbook_of(tables_of_ours(), type_in))
        check_balance(read_sheets([path]), counted_cells(path))


@SOME
@given(st.lists(st.lists(CELLS.map(str), max_size=7), max_size=9), st.sampled_from([",", ";", "\t"]))
def test_a_text_table_of_any_cells_has_an_account_that_adds_up(rows: list[list[str]], sign: str) -> None:
    content = make.text_of([["bar", "body", "firing", "wet length (mm)", "dry length (mm)"], *rows], sign)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "typed.csv"
        path.write_bytes(content)
        sheets = read_sheets([path])
    check_balance(sheets, {"Bars": sum(cell != "" for row in rows for cell in row) + 5})


@pytest.mark.skipif(not KEPT.is_dir(), reason="the sheets as people keep them are not on this machine")
def test_the_account_of_sheets_as_people_keep_them_adds_up() -> None:
    paths = sorted(KEPT.glob("a*.*"))
    assert len(paths) >= 20
    for path in paths:
        check_balance(read_sheets([path]), counted_cells(path))
