"""The account of cells: what is filled is used, named in a finding, or set aside for a reason, and it adds up."""

import os
import tempfile
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from bodytest.grids.account import Reason
from bodytest.reading import read_sheets
from bodytest.tables import CellBalance, CheckedSheets
from tests.broken_sheets import make
from tests.intake.counted_cells import counted_cells

ROOT = Path(__file__).parent.parent.parent
BROKEN = ROOT / "tests" / "broken_sheets"
KEPT = Path(os.environ.get("KEPT_SHEETS", ROOT / "tests" / "kept-sheets"))
UNREADABLE = ("file-", "old-excel", "not-a-spreadsheet", "results-misnamed")
READABLE = [name for name in make.SHEETS if not name.startswith(UNREADABLE)]
UNCOUNTED = ("cell-outside.xlsx", "cell-repeated.ods")
"""Sheets with a cell that stands nowhere, which the other reader refuses, and with one row a million times."""
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
    sheets = read_sheets([BROKEN / name])
    check_balance(
        sheets, {b.table: b.filled for b in sheets.cells} if name in UNCOUNTED else counted_cells(BROKEN / name)
    )


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
    assert (balance_of(sheets).filled, balance_of(sheets).used) == (6, 2)


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
@example({("Bars", 1, 1): "A9", ("Bars", 3, 13): "bar"})
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


@pytest.mark.parametrize("name", ["Bars ", "Bars_", "B ars", "BARS."])
def test_a_second_table_of_bars_by_a_like_name_is_read_too(tmp_path: Path, name: str) -> None:
    first, second = make.good_bars(6), [make.HEADINGS, *make.good_bars()[7:]]
    path = book(tmp_path, {"Bars": first, name: second, "Firings": make.FIRINGS})
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert sheets.bars["bar"].tolist() == [f"A{n}" for n in range(1, 11)]
    assert sentences(sheets, "second-table-read") == [
        f"The table “{name.strip()}” of sheet.xlsx is named like “Bars” and has its headings, so it was read too."
    ]


def test_the_same_bars_in_two_tables_of_one_workbook_count_once(tmp_path: Path) -> None:
    path = book(tmp_path, {"Bars": make.good_bars(), "Bars_": make.good_bars()})
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert sentences(sheets, "state-of-a-sheet") == [
        "sheet.xlsx (Bars_) is another state of its table “Bars”: bars that stand in both count once (10)."
        " It adds: nothing."
    ]
    assert balance_of(sheets, "Bars_").set_aside == {"the same reading in another copy": 100}


def test_second_tables_of_firings_lab_and_pieces_are_read_and_doubles_told(tmp_path: Path) -> None:
    tables = {"Bars": make.good_bars(), "Firings": make.FIRINGS, "Lab": make.LAB, "Pieces": make.PIECES}
    tables["Firings_"] = [*make.FIRINGS, ["F2", "2026-02-09", "small electric", "final", "7", 1240, 1241, 15]]
    tables["L ab"] = [["name", "value"], ["confidence (%)", 90], ["measured by", "Invented hand"]]
    tables["Pieces."] = make.edited(make.PIECES, 1, 0, "P2")
    path = book(tmp_path, tables)
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert sheets.firings["firing"].tolist() == ["F1", "F2"]
    assert sheets.pieces["piece"].tolist() == ["P1", "P2"]
    assert (sheets.sheets[0].lab.confidence, sheets.sheets[0].lab.measured_by) == (0.95, "Invented hand")
    told = [(f.code, f.cell) for f in sheets.findings if f.code in ("firing-twice", "lab-name-twice")]
    assert told == [("firing-twice", "Firings_!A2"), ("lab-name-twice", "L ab!A2")]
    assert len(sentences(sheets, "second-table-read")) == 3


def test_a_table_by_a_like_name_that_holds_something_else_is_named_with_what_it_holds(tmp_path: Path) -> None:
    path = book(tmp_path, {"Bars": make.good_bars(), "Bars_": [["chocolate", "ten"], ["oats", "two"]]})
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert sentences(sheets, "table-not-read") == [
        "The table “Bars_” of sheet.xlsx is none that is read here (Bars, Firings, Lab, Pieces), so it was passed over;"
        " filled cells in it: 4. Its name is like “Bars”."
    ]


@pytest.mark.parametrize("name", ["Guide", "Lists", "Findings"])
def test_bars_typed_into_a_tab_of_ours_are_told(tmp_path: Path, name: str) -> None:
    own = {"Guide": [["Take care"]], "Lists": [["bodies", "batches", "directions"], ["Marl Red", "M1", "along"]]}
    own["Findings"] = [["Findings in trial.xlsx: 0 to mend, 0 to look at, 0 to know"]]
    path = book(tmp_path, {"Bars": make.good_bars(), name: [*own[name], [], *make.good_bars(3)]})
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert sentences(sheets, "second-bars-table") == [
        f"The table “{name}” of sheet.xlsx has headings of bars too, but only “Bars” was read."
    ]


@pytest.mark.parametrize("name", ["Guide", "Lists", "Findings"])
def test_numbers_without_headings_on_a_tab_of_ours_are_told_and_our_texts_are_not(tmp_path: Path, name: str) -> None:
    own = {"Guide": [["Take care"]], "Lists": [["bodies", "batches", "directions"], ["Marl Red", 3, "along"]]}
    own["Findings"] = [["Findings in trial.xlsx: 0 to mend, 0 to look at, 0 to know"], ["level", "where"]]
    own["Findings"][1] += ["what stands there", "what is wrong", "how to mend it", "code"]
    tables = {"Bars": make.good_bars(), name: own[name]}
    assert [f.code for f in read_sheets([book(tmp_path, tables)]).findings] == []
    tables[name] = [*own[name], *([] for _ in range(40)), ["", "", "", 100.2, 94.1]]
    path = book(tmp_path, tables)
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    row = len(own[name]) + 41
    assert sentences(sheets, "cell-not-read") == [
        f"“100.2” in {name}!D{row} stands where nothing is read, so it was not used. Cells like it in this table: 2."
    ]


def test_notes_of_the_marks_of_one_bar_are_put_together(tmp_path: Path) -> None:
    rows = [["bar", "body", "mark", "wet length (mm)", "notes"], ["A1", "Marl Red", 1, 99.8, "bent"]]
    rows.append(["A1", "Marl Red", 2, 99.7, "chipped"])
    path = tmp_path / "marks.csv"
    path.write_bytes(make.text_of(rows))
    assert read_sheets([path]).bars["notes"].tolist() == ["bent; chipped"]


def test_what_a_file_given_twice_holds_is_set_aside(tmp_path: Path) -> None:
    first = book(tmp_path, {"Bars": make.good_bars()})
    again = tmp_path / "again.xlsx"
    again.write_bytes(first.read_bytes())
    sheets = read_sheets([first, again])
    assert [b.set_aside for b in sheets.cells] == [{}, {"copy of another file": balance_of(sheets).filled}]


def test_a_large_even_text_table_read_in_columns_is_accounted_for_to_the_last_cell(tmp_path: Path) -> None:
    rows = [["bar", "body", "firing", "wet length (mm)", "dry length (mm)", "mine"], [], []]
    rows += [
        [f"A{n}", "Marl Red", "F1", 100 + n % 7 / 10, "" if n % 9 else 94 + n % 5 / 10, "x" * 40] for n in range(20_000)
    ]
    rows[7][5], rows[9][3] = "", "long"
    path = tmp_path / "large.csv"
    path.write_bytes(make.text_of([row or [""] * 6 for row in rows]))
    assert path.stat().st_size > 1_000_000
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert balance_of(sheets).set_aside == {"column not read": 19_999}
    assert balance_of(sheets).named == 2


def test_a_formula_without_a_result_or_an_error_on_the_firings_table_is_named(tmp_path: Path) -> None:
    firings = make.edited(make.edited(make.edited(make.FIRINGS, 1, 1, "=TODAY()"), 1, 3, "=A1"), 1, 4, "#REF!")
    path = book(tmp_path, {"Bars": make.good_bars(), "Firings": firings})
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert [(f.code, f.cell) for f in sheets.findings] == [
        ("formula-not-calculated", "Firings!B2"),
        ("formula-not-calculated", "Firings!D2"),
        ("error-cell", "Firings!E2"),
    ]


def test_dashes_on_the_firings_table_are_set_aside_as_such(tmp_path: Path) -> None:
    firings = make.edited(make.edited(make.FIRINGS, 1, 1, "n/a"), 1, 3, "-")
    path = book(tmp_path, {"Bars": make.good_bars(), "Firings": firings})
    sheets = read_sheets([path])
    check_balance(sheets, counted_cells(path))
    assert balance_of(sheets, "Firings").set_aside == {"dash for nothing": 2}


def test_a_bars_tab_that_cannot_be_read_is_told_by_its_own_name(tmp_path: Path) -> None:
    def type_in(workbook: Any) -> None:
        workbook["Bars"].cell(1, 1).value = "A9"
        workbook["Bars"].cell(3, 13).value = "bar"

    (tmp_path / "typed.xlsx").write_bytes(make.workbook_of(tables_of_ours(), type_in))
    told = [f.sentence for f in read_sheets([tmp_path / "typed.xlsx"]).findings if f.code == "no-headings"]
    assert told == ["No row of headings was found in the table Bars."]
