"""Colours, borders and cell styles of the workbook that people fill in.

The colours only help the eye: every one of them has a word beside it.
"""

from dataclasses import dataclass
from typing import Any

from openpyxl.cell import Cell, MergedCell
from openpyxl.formatting.rule import Rule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

INK = "FF22303C"
QUIET_INK = "FF55626E"
ALARM_INK = "FF9C1C1C"
ALARM_FILL = "FFFBD9D3"
ODD_FILL = "FFFDEFC3"
LOCKED_FILL = "FFF0F0EE"
_GRID = Side(style="thin", color="FFB9C0C6")
GRID = Border(left=_GRID, right=_GRID, top=_GRID, bottom=_GRID)
UNLOCKED = Protection(locked=False)
FONT_NAME = "Calibri"
PLAIN = Font(name=FONT_NAME, size=11, color=INK)


@dataclass(frozen=True)
class Day:
    """One day of work at the bench: the columns that are filled in together."""

    title: str
    """Words over the columns."""
    band: str
    """ARGB colour of the band with the title."""
    heading: str
    """ARGB colour of the headings under it."""


DAYS: dict[str, Day] = {
    "which": Day("which bar", "FFCDD3D8", "FFE6E9EC"),
    "wet": Day("wet day", "FF9CC3E6", "FFDCEAF6"),
    "leather-hard": Day("leather-hard", "FFA9D3C1", "FFDFF0E8"),
    "dry": Day("dry day", "FFE9CF8D", "FFF8EED2"),
    "bisque": Day("bisque", "FFE8B99B", "FFF8E4D7"),
    "fired": Day("after firing", "FFE59C86", "FFF8DAD0"),
    "cold-soaked": Day("cold soak", "FFB9B5E2", "FFE5E3F5"),
    "boiled": Day("after boiling", "FF8ECBD3", "FFD7EEF1"),
    "broken": Day("breaking", "FFC9C4A8", "FFEFEDE0"),
    "remarks": Day("remarks", "FFCDD3D8", "FFE6E9EC"),
    "live": Day("seen at once, nothing to type", "FFBDBDB9", "FFE2E2DF"),
}


def solid(colour: str) -> PatternFill:
    """Return a plain fill."""
    return PatternFill("solid", fgColor=colour, bgColor=colour)


def put_text(cell: Cell, text: object, **style: Any) -> None:
    """Write ``text`` so that it stays text: a leading = + - @ never makes a formula of it."""
    cell.value = str(text)
    cell.data_type = "s"
    cell.quotePrefix = str(text)[:1] in set("=+-@'")
    for name, value in style.items():
        setattr(cell, name, value)


def colour_when(sheet: Worksheet, span: str, condition: str, *, fill: str | None = None, font: Font) -> None:
    """Colour the cells of ``span`` where the condition, written for its first cell, is true."""
    look = DifferentialStyle(font=font, fill=solid(fill) if fill else None)
    sheet.conditional_formatting.add(span, Rule(type="expression", dxf=look, formula=[condition]))


def cell_at(sheet: Worksheet, row: int, column: int) -> Cell:
    """Return a cell that is not covered by a merged one."""
    cell = sheet.cell(row, column)
    if isinstance(cell, MergedCell):
        raise TypeError(f"{sheet.title}, row {row}, column {column} is covered by a merged cell")
    return cell


def put_heading(cell: Cell, text: str, colour: str) -> None:
    """Write one heading of a table."""
    put_text(
        cell,
        text,
        font=Font(name=FONT_NAME, size=10, bold=True, color=INK),
        fill=solid(colour),
        border=GRID,
        alignment=Alignment(horizontal="center", vertical="center", wrap_text=True),
    )


def put_title(sheet: Worksheet, title: str, hint: str) -> None:
    """Write the line above the headings: what the sheet is, and one hint, in one cell."""
    put_text(
        sheet["A1"],
        f"{title}  ·  {hint}" if hint else title,
        font=Font(name=FONT_NAME, size=12, bold=True, color=INK),
        alignment=Alignment(vertical="center"),
    )
    sheet.row_dimensions[1].height = 24


def ask(
    sheet: Worksheet, span: str, title: str, question: str, rule: dict[str, Any], *, refuse: bool = False
) -> DataValidation:
    """Ask, in a span of cells, about what does not keep a rule, or refuse it."""
    asked = DataValidation(**rule, allow_blank=True, errorStyle="stop" if refuse else "warning", showErrorMessage=True)
    asked.errorTitle, asked.error = title[:32], question[:255]
    asked.add(span)
    sheet.add_data_validation(asked)
    return asked


DATE_FORMAT = "yyyy-mm-dd"
"""How days are shown, whatever the country."""


def ask_for_date(sheet: Worksheet, span: str, what: str) -> None:
    """Ask, in a span of cells, about what is no date of these hundred years."""
    ask(sheet, span, "Is that a date?", f"Here belongs {what}.", between(32874, 73050, "date"))


def between(low: float, high: float, kind: str = "decimal") -> dict[str, Any]:
    """Return the rule that a number, or a date as a number, lies between two limits."""
    return {"type": kind, "operator": "between", "formula1": f"{low:g}", "formula2": f"{high:g}"}


def protect(sheet: Worksheet) -> None:
    """Lock everything but the entry cells, without a password; widths, heights and formats stay free."""
    sheet.protection.sheet = True
    for freedom in ("formatCells", "formatColumns", "formatRows", "insertRows", "sort", "autoFilter"):
        setattr(sheet.protection, freedom, False)


def set_for_print(sheet: Worksheet, *, paper: str, heading_rows: str, landscape: bool = True, pages: int = 0) -> None:
    """Fit the sheet to the width of the paper, or to so many pages; repeat its headings and number its pages."""
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.paperSize = 1 if paper == "Letter" else 9
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = pages
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    margins = sheet.page_margins
    margins.left = margins.right = 0.4
    margins.top, margins.bottom, margins.header, margins.footer = 0.45, 0.6, 0.2, 0.3
    if heading_rows:
        sheet.print_title_rows = heading_rows
    footer: Any = sheet.oddFooter
    footer.left.text, footer.right.text = "&A", "page &P of &N"
