"""Results → a planner workbook: pick a body and firing, type finished sizes, read wet sizes and ranges.

Its sheets: Planner with live formulas, Parts with the clay for a list of parts, Figures with what was measured, Results
with the table of ``results.csv``; hidden, Lists for the drop-downs and Sets for how many to make. What a formula comes
to is stored in its cell.
"""

from dataclasses import astuple

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.errors import NotMeasured
from bodytest.export.csv_tables import COLUMNS, guarded_text, table_rows
from bodytest.export.formula_values import formula_values
from bodytest.export.planner_cells import as_table, lock
from bodytest.export.planner_figures import HEADINGS, FiguresRow, figures_rows
from bodytest.export.planner_lists import SHEET, write_lists, write_text
from bodytest.export.planner_parts import write_parts
from bodytest.export.planner_sets import SETS, write_sets
from bodytest.export.planner_sheet import NAMES, write_planner
from bodytest.files.fixed_zip import workbook_bytes
from bodytest.results import Results


def to_workbook(results: Results) -> bytes:
    """Return the planner workbook as ``.xlsx``; the same results give the same bytes.

    Raises:
        NotMeasured: no bars were measured before and after a firing.
    """
    rows = figures_rows(results)
    if not rows:
        bodies = ", ".join(dict.fromkeys(group.body for group in results.groups if group.body)) or "any body"
        raise NotMeasured("no-fired-bars", bodies=bodies)
    book = Workbook()
    planner = book.active
    if not isinstance(planner, Worksheet):  # a new workbook always begins with one
        raise TypeError(planner)
    planner.title = "Planner"
    write_parts(book.create_sheet("Parts"), results.confidence)
    _write_figures(book.create_sheet("Figures"), rows)
    _write_results(book.create_sheet("Results"), results)
    write_lists(book.create_sheet(SHEET), rows)
    write_planner(planner, rows, results.confidence, write_sets(book.create_sheet(SETS), rows, results.confidence))
    book[SHEET].sheet_state = book[SETS].sheet_state = "hidden"
    for name, place in NAMES.items():
        fixed = f"${place[0]}${place[1:]}" if "$" not in place else place
        book.defined_names[name] = DefinedName(name, attr_text=f"Planner!{fixed}")
    book.calculation.fullCalcOnLoad = True
    book.properties.title, book.properties.creator = "Sizes for the next pieces", results.software
    return workbook_bytes(book, formula_values(book))


def _write_figures(sheet: Worksheet, rows: tuple[FiguresRow, ...]) -> None:
    _write_row(sheet, 1, HEADINGS, bold=True)
    for number, row in enumerate(rows, start=2):
        _write_row(sheet, number, astuple(row))
    as_table(sheet, "FiguresTable", f"A1:{get_column_letter(len(HEADINGS))}{1 + len(rows)}", HEADINGS)
    lock(sheet)
    sheet.freeze_panes = "F2"
    for column in "ABCDE":
        sheet.column_dimensions[column].width = 18


def _write_results(sheet: Worksheet, results: Results) -> None:
    _write_row(sheet, 1, COLUMNS, bold=True)
    for number, row in enumerate(table_rows(results), start=2):
        cells = [row.get(column) for column in COLUMNS]
        _write_row(sheet, number, [guarded_text(cell) if isinstance(cell, str) else cell for cell in cells])
    as_table(sheet, "ResultsTable", f"A1:{get_column_letter(len(COLUMNS))}{sheet.max_row}", COLUMNS)
    sheet.freeze_panes = "A2"


def _write_row(
    sheet: Worksheet, number: int, values: "tuple[object, ...] | list[object]", *, bold: bool = False
) -> None:
    for column, value in enumerate(values, start=1):
        if value is None or value == "":
            continue
        cell = sheet.cell(number, column)
        if isinstance(value, str):
            write_text(sheet, cell.coordinate, value)
        else:
            cell.value = value  # type: ignore[assignment]
        if bold:
            cell.font = Font(name="Calibri", bold=True)
