"""The Firings and Pieces sheets of a workbook of ours, and what tables beside the bars have in common."""

from collections.abc import Sequence

from openpyxl import Workbook
from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.intake.layouts.vocabulary import COLUMNS, Column, TableName
from bodytest.sheet import style
from bodytest.sheet.bars_sheet import put_entry
from bodytest.sheet.chosen_columns import Units
from bodytest.sheet.content import Row, SheetContent
from bodytest.sheet.lists_sheet import LIST_RANGES, offer
from bodytest.sheet.live_formulas import FIRINGS_RANGE, LAST_FIRING_ROW

FIRST_ROW = 4

_WIDTHS: dict[TableName, tuple[float, ...]] = {
    "firings": (10, 12, 16, 18, 10, 8, 13, 13, 13, 8, 11, 13, 44),
    "pieces": (14, 16, 10, 10, 12, 11, 12, 11, 44),
    "specs": (16, 10, 26, 10, 10, 14, 10, 30, 30),
}
"""Widths in characters of the columns of `bodytest.intake.layouts.vocabulary.COLUMNS`."""
_NUMBERS = {"length": "0.0##", **dict.fromkeys(("temperature", "degrees", "minutes", "rate"), "General")}
_LIMITS = ("lowest", "highest", "share")
_SPARE_SPECS = 12


def add_firings_sheet(workbook: Workbook, content: SheetContent) -> None:
    """Add the sheet that says how hot each firing went."""
    sheet = workbook.create_sheet("Firings")
    hint = "one row for each kiln load; a temperature, a cone, or better both; loads meant to be alike: one programme"
    style.put_title(sheet, content.notice or "Firings", hint)
    last, degrees = LAST_FIRING_ROW, content.units.temperature
    _write_table(sheet, "firings", content.units, content.firings, last)
    span = {
        column.heading: f"{letter}{FIRST_ROW}:{letter}{last}"
        for place, column in enumerate(COLUMNS["firings"], start=1)
        for letter in [get_column_letter(place)]
    }
    for key, word in (("purposes", "purpose"), ("atmospheres", "atmosphere")):
        question = f"The usual words for the {word} are in the list. Keep yours?"
        offer(sheet, LIST_RANGES[key], span[word], f"Another {word}?", question)
    question = "Cones run 022 … 01, then 1 … 14; the leading zero counts: 06 is far cooler than 6. Keep it?"
    offer(sheet, LIST_RANGES["cones"], span["cone"], "No such cone?", question)
    style.ask_for_date(sheet, span["date"], "the day of the firing, e.g. 2030-05-17")
    hottest = 1500 if degrees == "°C" else 2700
    for name in ("set temperature", "peak temperature"):
        ask_for_number(sheet, span[name], (100, hottest), f"a temperature in {degrees}")
    ask_for_number(sheet, span["temperature ±"], (0.5, 100), f"how far the temperature may be off, in {degrees}")
    ask_for_number(sheet, span["hold"], (0, 2880), "the minutes held at the peak")
    ask_for_number(sheet, span["heating rate"], (10, 800), f"the heating rate over the last 100 °C, in {degrees}/h")
    finish(sheet, content)


def add_pieces_sheet(workbook: Workbook, content: SheetContent) -> None:
    """Add the sheet for real ware, measured wet and fired, to hold the bars against."""
    sheet = workbook.create_sheet("Pieces")
    hint = "one row for each dimension of a piece that you measured wet and fired; optional"
    style.put_title(sheet, content.notice or "Pieces", hint)
    last = max(FIRST_ROW, FIRST_ROW - 1 + len(content.pieces) + content.spare_pieces)
    _write_table(sheet, "pieces", content.units, content.pieces, last)
    for letter, key, word in (("B", "bodies", "body"), ("C", "batches", "batch"), ("E", "dimensions", "dimension")):
        question = f"This {word} is not on the Lists sheet. Keep it?"
        offer(sheet, LIST_RANGES[key], f"{letter}{FIRST_ROW}:{letter}{last}", f"New {word}?", question)
    question = "This firing is not on the Firings sheet yet. Keep it, and add a line for it there."
    offer(sheet, FIRINGS_RANGE, f"D{FIRST_ROW}:D{last}", "New firing?", question)
    ask_for_number(sheet, f"F{FIRST_ROW}:H{last}", (0.1, 5000), f"a size in {content.units.length}")
    finish(sheet, content)


def add_specs_sheet(workbook: Workbook, content: SheetContent) -> None:
    """Add the sheet for limits that the bodies have to keep."""
    sheet = workbook.create_sheet("Specs")
    hint = "one row for each limit that a body has to keep; optional"
    style.put_title(sheet, content.notice or "Specs", hint)
    last = FIRST_ROW - 1 + len(content.specs) + _SPARE_SPECS
    _write_table(sheet, "specs", content.units, content.specs, last)
    question = "This body is not on the Lists sheet. Keep it?"
    offer(sheet, LIST_RANGES["bodies"], f"A{FIRST_ROW}:A{last}", "New body?", question)
    for letter, key in (("B", "purposes"), ("C", "quantities"), ("F", "limits apply to")):
        span, choice = f"{letter}{FIRST_ROW}:{letter}{last}", "Choose one from the list."
        offer(sheet, LIST_RANGES[key], span, "Not in the list", choice, refuse=True)
    ask_for_number(sheet, f"D{FIRST_ROW}:E{last}", (-100, 1000), "a limit in the unit of the quantity")
    ask_for_number(sheet, f"G{FIRST_ROW}:G{last}", (50, 99.9), "how many per cent of the bars lie within")
    finish(sheet, content)


def _write_table(sheet: Worksheet, table: TableName, units: Units, rows: Sequence[Row], last: int) -> None:
    columns = COLUMNS[table]
    for place, (column, width) in enumerate(zip(columns, _WIDTHS[table], strict=True), start=1):
        style.put_heading(style.cell_at(sheet, 3, place), _heading(column, units), style.DAYS["which"].heading)
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.row_dimensions[3].height = 44
    for row in range(FIRST_ROW, last + 1):
        sheet.row_dimensions[row].height = 18
        planned = rows[row - FIRST_ROW] if row - FIRST_ROW < len(rows) else {}
        for place, column in enumerate(columns, start=1):
            cell = style.cell_at(sheet, row, place)
            cell.border, cell.font, cell.protection = style.GRID, style.PLAIN, style.UNLOCKED
            number = "General" if column.key in _LIMITS else _NUMBERS.get(column.kind)
            cell.number_format = number or (style.DATE_FORMAT if column.kind == "date" else "@")
            cell.alignment = Alignment(horizontal=None if number else "left", vertical="center")
            put_entry(cell, planned.get(column.heading))


def _heading(column: Column, units: Units) -> str:
    degrees = units.temperature
    in_units = {"length": units.length, "temperature": degrees, "degrees": degrees, "rate": f"{degrees}/h"}
    unit = "%" if column.key == "share" else {**in_units, "minutes": "min"}.get(column.kind)
    return f"{column.heading} ({unit})" if unit else column.heading


def ask_for_number(sheet: Worksheet, span: str, limits: tuple[float, float], what: str) -> None:
    """Ask, in a span of cells, about what is no number between two limits."""
    style.ask(sheet, span, "Is that right?", f"Here belongs {what}.", style.between(*limits))


def finish(sheet: Worksheet, content: SheetContent) -> None:
    """Protect a sheet, freeze its headings and set it for print."""
    style.protect(sheet)
    sheet.freeze_panes = f"A{FIRST_ROW}"
    style.set_for_print(sheet, paper=content.paper, heading_rows="1:3", pages=1 if sheet.title != "Pieces" else 0)
