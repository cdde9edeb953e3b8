"""The account of cells: what is filled is used, named in a finding, or set aside for a reason, and it adds up."""

from pathlib import Path
from typing import Any, get_args

import pytest

from bodytest.grids.account import Reason
from bodytest.reading import read_sheets
from bodytest.tables import CellBalance, CheckedSheets
from tests.broken_sheets import make
from tests.intake.counted_cells import counted_cells

ROOT = Path(__file__).parent.parent.parent
BROKEN = ROOT / "tests" / "broken_sheets"
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
