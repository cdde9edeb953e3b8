"""Results → a planner workbook: pick a body and firing, type finished sizes, read wet sizes and ranges.

It holds four sheets: Planner with live formulas, Figures with what was measured, Results with the table of
``results.csv``, and Lists for the drop-downs.
"""

from dataclasses import astuple

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.errors import NotMeasured
from bodytest.export.csv_tables import COLUMNS, guarded_text, table_rows
from bodytest.export.planner_figures import HEADINGS, FiguresRow, figures_rows
from bodytest.export.planner_lists import SHEET, write_lists, write_text
from bodytest.export.planner_sheet import write_planner
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
    write_planner(planner, rows, results.confidence)
    _write_figures(book.create_sheet("Figures"), rows)
    _write_results(book.create_sheet("Results"), results)
    write_lists(book.create_sheet(SHEET), rows)
    book[SHEET].sheet_state = "hidden"
    book.calculation.fullCalcOnLoad = True
    book.properties.title, book.properties.creator = "Sizes for the next pieces", results.software
    return workbook_bytes(book)


def _write_figures(sheet: Worksheet, rows: tuple[FiguresRow, ...]) -> None:
    _write_row(sheet, 1, HEADINGS, bold=True)
    for number, row in enumerate(rows, start=2):
        _write_row(sheet, number, astuple(row))
    sheet.freeze_panes = "E2"
    for column in "ABCD":
        sheet.column_dimensions[column].width = 18


def _write_results(sheet: Worksheet, results: Results) -> None:
    _write_row(sheet, 1, COLUMNS, bold=True)
    for number, row in enumerate(table_rows(results), start=2):
        cells = [row.get(column) for column in COLUMNS]
        _write_row(sheet, number, [guarded_text(cell) if isinstance(cell, str) else cell for cell in cells])
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
