"""How cells of the planner look, and what may be typed into them."""

from openpyxl.cell.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.table import Table, TableColumn, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

_FONT = "Calibri"
_LINE = Side(style="thin", color="FFB9C0C6")
_INPUT = PatternFill("solid", fgColor="FFFFF6D6")
_BAND = PatternFill("solid", fgColor="FFE6E9EC")


def write_title(sheet: Worksheet, title: str, *how: str) -> None:
    """Write the title of a sheet, and below it in lines how to use it."""
    sheet["A1"], sheet["A1"].font = title, Font(name=_FONT, bold=True, size=16)
    for row, line in enumerate(how, start=2):
        sheet.cell(row, 1, line)


def write_headings(sheet: Worksheet, row: int, headings: tuple[str, ...]) -> None:
    """Write the headings of a table: texts first and last, numbers between."""
    for column, heading in enumerate(headings, start=1):
        cell = sheet.cell(row, column, heading)
        cell.font, cell.fill = Font(name=_FONT, bold=True), _BAND
        side = "left" if column in {1, len(headings)} else "right"
        indent = int(column == len(headings))
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal=side, indent=indent)
    sheet.row_dimensions[row].height = 32


def write_result(sheet: Worksheet, place: str, formula: str, shown: str) -> None:
    """Write a formula of a row: a number to the right, a text (``General``) to the left."""
    cell = sheet[place]
    cell.value, cell.border, cell.number_format = formula, Border(bottom=_LINE), shown
    cell.alignment = Alignment(horizontal="left", indent=1) if shown == "General" else Alignment(horizontal="right")


def warn(sheet: Worksheet, place: str, formula: str) -> None:
    """Write a formula that says in words what is wrong."""
    sheet[place].value, sheet[place].font = formula, Font(name=_FONT, bold=True, color="FF9C1C1C")


def as_input(cell: Cell) -> None:
    """Make a cell one to type in; all others of a protected sheet are locked."""
    cell.fill, cell.border = _INPUT, Border(_LINE, _LINE, _LINE, _LINE)
    cell.protection = Protection(locked=False)


def offer(sheet: Worksheet, place: str, formula: str, error: str) -> None:
    """Make a cell one to pick in from a list."""
    as_input(sheet[place])
    picker = DataValidation(type="list", formula1=formula, allow_blank=False, showErrorMessage=True)
    _refuse(sheet, picker, place, error)


def positive(sheet: Worksheet, places: str, what: str, *, whole: bool = False) -> None:
    """Let only numbers above zero be typed, whole ones where asked."""
    rule = DataValidation(type="decimal", operator="greaterThan", formula1="0", allow_blank=True, showErrorMessage=True)
    if whole:
        rule.type = "whole"
    number = "whole number" if whole else "number"
    _refuse(sheet, rule, places, f"Type {what} as a {number} above zero, without a unit.")


def _refuse(sheet: Worksheet, rule: DataValidation, places: str, error: str) -> None:
    rule.errorTitle, rule.error, rule.errorStyle = "This cannot be used", error, "stop"
    sheet.add_data_validation(rule)
    rule.add(places)


def as_table(sheet: Worksheet, name: str, place: str, headings: tuple[str, ...]) -> None:
    """Make cells a table of that name; its headings stand in its first row."""
    columns = [TableColumn(id=number, name=heading) for number, heading in enumerate(headings, start=1)]
    table = Table(displayName=name, name=name, ref=place, tableColumns=columns)
    table.tableStyleInfo = TableStyleInfo(name="TableStyleLight1", showRowStripes=False)
    sheet.add_table(table)


def lock(sheet: Worksheet) -> None:
    """Protect the cells of a sheet that are not for typing; there is no password."""
    sheet.protection.sheet = True
    sheet.protection.formatColumns = sheet.protection.formatRows = False  # False: this stays allowed


def as_page(sheet: Worksheet, widths: dict[str, int], printed: str, *, wide: int = 1) -> None:
    """Set the widths of columns and what is printed, on so many pages in width."""
    for column, width in widths.items():
        sheet.column_dimensions[column].width = width
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.orientation, sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = "landscape", wide, 0
    sheet.print_area = printed
