"""Results → a planner workbook: pick a body and firing, type finished sizes, read wet sizes and ranges.

Its sheets: Planner with live formulas, Parts with the clay for a list of parts, Figures with what was measured, Results
with the table of ``results.csv``; hidden, Lists for the drop-downs and Sets for how many to make. What a formula comes
to is stored in its cell.
"""

from collections.abc import Iterable

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import absolute_coordinate, get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.errors import NotMeasured
from bodytest.export import planner_cells as cells
from bodytest.export.csv_tables import COLUMNS, guarded_text, table_rows
from bodytest.export.formula_values import formula_values
from bodytest.export.planner_figures import FIGURE_HEADINGS, FiguresRow, figures_rows
from bodytest.export.planner_lists import SETS, SHEET, write_lists, write_sets, write_text
from bodytest.export.planner_sheet import NAMES, PICKED, PICKS, ROW, write_planner
from bodytest.files.fixed_zip import workbook_bytes
from bodytest.results import Results

FIRST_PART = 7
"""Row of the first part."""
PART_ROWS = 40
"""Parts that there is room for."""
PART_COLUMNS = {"part": "A", "many": "B", "mass": "C", "wet": "D", "low": "E", "high": "F", "all": "G", "note": "H"}
"""Columns of the rows of parts."""
ALL_TOGETHER = "G4"
"""Cell of the wet clay for all parts."""
_ROW, _CLAY = f"Planner!{ROW}", {name: f"Planner!{PICKED[name]}" for name in ("clay", "clay_low", "clay_high")}


def write_parts(sheet: Worksheet, confidence: float) -> None:
    """Write the list of parts, one row for each kind."""
    percent = f"{100 * confidence:g}\N{NO-BREAK SPACE}%"
    cells.write_title(
        sheet,
        "Clay for the parts",
        "Type what one finished part weighs, in any one unit: the wet clay comes out in the same.",
        "Trimmings and slop come on top, and the clay has to be as moist as the bars were when they were weighed.",
    )
    body, firing = (f"Planner!{PICKS[name]}" for name in ("body", "firing"))
    sheet["A4"] = f'="As picked on the sheet Planner: "&{body}&", "&{firing}'
    missing = "The bars were not weighed wet, dry and fired, so nothing is known about clay."
    cells.warn(
        sheet,
        "A5",
        f'=IF({_ROW}=0,"This was not measured: pick again on Planner.",IF({_CLAY["clay"]}="","{missing}",""))',
    )
    last = FIRST_PART + PART_ROWS - 1
    sheet["F4"] = "all together"
    cells.write_result(sheet, ALL_TOGETHER, f"=SUM(G{FIRST_PART}:G{last})", "0.00")
    headings = (
        "part", "how many", "finished mass of one", "wet clay for one", f"from ({percent})", f"to ({percent})",
        "wet clay for all", "note",
    )  # fmt: skip
    cells.write_headings(sheet, FIRST_PART - 1, headings)
    for number in range(FIRST_PART, last + 1):
        _write_part(sheet, number)
    cells.positive(sheet, f"B{FIRST_PART}:B{last}", "how many there are", whole=True)
    cells.positive(sheet, f"C{FIRST_PART}:C{last}", "a mass")
    cells.as_table(sheet, "PartsTable", f"A{FIRST_PART - 1}:H{last}", headings)
    cells.as_page(sheet, {"A": 26, "H": 46} | dict.fromkeys("BCDEFG", 14), f"A1:H{last}")
    sheet.freeze_panes = f"B{FIRST_PART}"
    cells.lock(sheet)


def _write_part(sheet: Worksheet, number: int) -> None:
    at = {name: f"${column}{number}" for name, column in PART_COLUMNS.items()}
    mass, many = at["mass"], at["many"]
    countable = f'OR({many}="",IF(ISNUMBER({many}),{many}>0,FALSE))'
    usable = f"AND(IF(ISNUMBER({mass}),{mass}>0,FALSE),{_ROW}>0,{countable})"
    for name, factor in (("wet", "clay"), ("low", "clay_low"), ("high", "clay_high")):
        formula = f'=IF({usable},IF({_CLAY[factor]}="","",{mass}*{_CLAY[factor]}),"")'
        cells.write_result(sheet, at[name].replace("$", ""), formula, "0.00")
    each = f'IF({many}="",1,{many})'
    cells.write_result(sheet, f"G{number}", f'=IF({at["wet"]}="","",{each}*{at["wet"]})', "0.00")
    count = f'IF({countable},"","type how many as a number above zero")'
    note = f'IF({mass}<=0,"a mass has to be above zero",IF({_ROW}=0,"not measured",{count}))'
    note = f'IF(ISNUMBER({mass}),{note},"type a number, without its unit")'
    cells.write_result(sheet, f"H{number}", f'=IF({mass}="","",{note})', "General")
    for name in ("part", "many", "mass"):
        cells.as_input(sheet[at[name].replace("$", "")])


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
        book.defined_names[name] = DefinedName(name, attr_text=f"Planner!{absolute_coordinate(place)}")
    book.calculation.fullCalcOnLoad = True
    book.properties.title, book.properties.creator = "Sizes for the next pieces", results.software
    return workbook_bytes(book, formula_values(book))


def _write_figures(sheet: Worksheet, rows: tuple[FiguresRow, ...]) -> None:
    headings = tuple(FIGURE_HEADINGS.values())
    _write_row(sheet, 1, headings, bold=True)
    for number, row in enumerate(rows, start=2):
        _write_row(sheet, number, [row[name] for name in FIGURE_HEADINGS])
    place = f"A1:{get_column_letter(len(headings))}{1 + len(rows)}"
    cells.as_table(sheet, "FiguresTable", place, headings)
    cells.lock(sheet)
    sheet.freeze_panes = "F2"
    _print(sheet, place, dict.fromkeys("ABCDE", 16) | {"X": 40, "Y": 45, "Z": 110}, repeated="A:E", wide=3)
    for cell in (cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, float)):
        cell.number_format = "0.0###"


def _write_results(sheet: Worksheet, results: Results) -> None:
    _write_row(sheet, 1, COLUMNS, bold=True)
    for number, row in enumerate(table_rows(results), start=2):
        values = [row.get(column) for column in COLUMNS]
        _write_row(sheet, number, [guarded_text(one) if isinstance(one, str) else one for one in values])
    place = f"A1:{get_column_letter(len(COLUMNS))}{sheet.max_row}"
    cells.as_table(sheet, "ResultsTable", place, COLUMNS)
    sheet.freeze_panes = "A2"
    _print(sheet, place, {"D": 24, "J": 26}, repeated="A:C", wide=4)


def _print(sheet: Worksheet, place: str, widths: dict[str, int], *, repeated: str, wide: int) -> None:
    """Print a long table on so many pages in width, its headings and first columns on each."""
    usual = {get_column_letter(column): 12 for column in range(1, sheet.max_column + 1)}
    cells.as_page(sheet, usual | widths, place, wide=wide)
    sheet.print_title_rows, sheet.print_title_cols = "1:1", repeated
    for heading in sheet[1]:
        heading.alignment = Alignment(wrap_text=True, vertical="top")
    sheet.row_dimensions[1].height = 48


def _write_row(sheet: Worksheet, number: int, values: Iterable[object], *, bold: bool = False) -> None:
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
