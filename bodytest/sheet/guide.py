"""The Guide sheet: how to make, mark, measure, dry, fire, boil and weigh bars, with cautions and sources."""

import math
import tomllib
from importlib.resources import files
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.sheet import style
from bodytest.sheet.content import SheetContent

_TEXT_WIDTH = 78
_SOURCE_WIDTH = 40
_CAUTION_FILL = "FFFFF1CC"
_WRAP = Alignment(wrap_text=True, vertical="top")


def guide_text() -> dict[str, Any]:
    """Return the guide: title, before, caution, section with steps of (text, source)."""
    text = files("bodytest.sheet").joinpath("guide_text.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def add_guide_sheet(workbook: Workbook, content: SheetContent) -> None:
    """Add the sheet that teaches the test step by step."""
    sheet = workbook.create_sheet("Guide")
    sheet.column_dimensions["A"].width = _TEXT_WIDTH
    sheet.column_dimensions["B"].width = _SOURCE_WIDTH
    guide = guide_text()
    style.put_title(sheet, guide["title"], content.notice)
    row = 2
    for line in guide["before"]:
        row = _write_line(sheet, row, line, "")
    row = _write_section(sheet, row + 1, "Take care")
    for caution in guide["caution"]:
        for place in (1, 2):
            sheet.cell(row, place).fill = style.solid(_CAUTION_FILL)
        row = _write_line(sheet, row, "▲  " + caution["text"], "")
    for section in guide["section"]:
        if section.get("new_page"):
            sheet.row_breaks.append(Break(id=row))
        row = _write_section(sheet, row + 1, section["title"], has_sources=any(s for _, s in section["steps"]))
        number = section["title"].partition(" ")[0]
        for step, (text, source) in enumerate(section["steps"], start=1):
            row = _write_line(sheet, row, f"{number}.{step}  {text}", source)
    style.protect(sheet)
    sheet.sheet_view.showGridLines = False
    style.set_for_print(sheet, paper=content.paper, heading_rows="", landscape=False)


def _write_section(sheet: Worksheet, row: int, title: str, *, has_sources: bool = False) -> int:
    for place, text in ((1, title), (2, "where the numbers come from" if has_sources else "")):
        style.put_text(
            style.cell_at(sheet, row, place),
            text,
            font=Font(name=style.FONT_NAME, size=12 if place == 1 else 9, bold=place == 1, color=style.INK),
            fill=style.solid(style.DAYS["which"].heading),
            alignment=Alignment(vertical="center"),
        )
    sheet.row_dimensions[row].height = 20
    return row + 1


def _write_line(sheet: Worksheet, row: int, text: str, source: str) -> int:
    """Write a step beside its source; a step without source takes both columns."""
    style.put_text(style.cell_at(sheet, row, 1), text, font=style.PLAIN, alignment=_WRAP)
    if source:
        quiet = Font(name=style.FONT_NAME, size=9, italic=True, color=style.QUIET_INK)
        style.put_text(style.cell_at(sheet, row, 2), source, font=quiet, alignment=_WRAP)
        lines = max(_lines(text, _TEXT_WIDTH), _lines(source, _SOURCE_WIDTH * 1.1))
    else:
        sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=2)
        lines = _lines(text, _TEXT_WIDTH + _SOURCE_WIDTH)
    sheet.row_dimensions[row].height = 15.5 * lines + 3
    return row + 1


def _lines(text: str, width: float) -> int:
    return max(1, math.ceil(len(text) * 0.92 / width))
