"""The Bars sheet of a workbook of ours: where the readings are typed."""

from collections.abc import Iterable, Iterator
from copy import copy
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.styles.cell_style import StyleArray
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.sheet import style
from bodytest.sheet.chosen_columns import Column, Units, bar_columns, entry_limits, unit_of
from bodytest.sheet.content import Row, SheetContent
from bodytest.sheet.lists_sheet import LIST_RANGES, offer
from bodytest.sheet.live_formulas import (
    FIRINGS_RANGE,
    BarRows,
    broken_orders,
    live_formula,
    look_again_formula,
    no_reading,
    odd_value,
)
from bodytest.units import INSTRUMENTS

HEADING_ROW = 3
"""Title in row 1, days of work in row 2, headings in row 3."""
FIRST_ROW = HEADING_ROW + 1
_ONE_LINE = 17.0
"""Points; room for one line of a heading."""
_ROW_HEIGHT = 20
"""Points; room enough to write by hand on paper."""
_LISTED = {"body": "bodies", "batch": "batches", "direction": "directions"}
_LEAVE_OUT = (
    "Blank: the bar counts. A reason leaves the whole bar out (fell). A stage and a colon before it leave out what was"
    " read from then on and keep what was read before (fired: cracked)."
)
_WIDEST_NAME = 20
"""Width up to which a column grows with the names planned in it."""
_LIVE_FONT = Font(name=style.FONT_NAME, size=10, color=style.QUIET_INK)
_THICK_TOP = Border(
    left=style.GRID.left, right=style.GRID.right, bottom=style.GRID.bottom, top=Side(style="thin", color="FF4A5661")
)


def add_bars_sheet(workbook: Workbook, content: SheetContent) -> None:
    """Add the sheet with its planned rows, formulas, lists, limits and print layout."""
    sheet = workbook.create_sheet("Bars")
    columns = bar_columns(content.kinds, content.units)
    letters = {column.name: get_column_letter(place) for place, column in enumerate(columns, start=1)}
    last = HEADING_ROW + len(content.bars) + content.spare_bars
    _write_headings(sheet, columns, content.notice)
    for name in ("body", "batch", "position"):
        longest = max((len(str(row.get(name) or "")) for row in content.bars), default=0)
        width = sheet.column_dimensions[letters[name]]
        width.width = max(width.width, min(longest + 1, _WIDEST_NAME))
    page = _Page(sheet, columns, letters, _number_formats(content))
    marks_before = 1
    for rows, planned in bar_blocks(content):
        page.write_bar(rows, planned, is_set_off=max(marks_before, len(planned)) > 1)
        marks_before = len(planned)
    if last >= FIRST_ROW:
        spans = {name: f"{letter}{FIRST_ROW}:{letter}{last}" for name, letter in letters.items()}
        _add_lists(sheet, spans, columns)
        _add_limits(sheet, spans, columns, content.units)
        _add_colours(sheet, letters, spans, columns)
    style.protect(sheet)
    sheet.freeze_panes = f"B{FIRST_ROW}"
    sheet.print_area = f"A1:{letters['notes']}{last}"
    style.set_for_print(sheet, paper=content.paper, heading_rows=f"1:{HEADING_ROW}")


def bar_blocks(content: SheetContent) -> Iterator[tuple[BarRows, tuple[Row, ...]]]:
    """Yield the rows of each bar together, then each spare row."""
    row = FIRST_ROW
    planned = groupby(content.bars, key=lambda one: (one.get("bar"), one.get("firing")))
    for block in (*(tuple(rows) for _, rows in planned), *[({},)] * content.spare_bars):
        yield BarRows(row, row + len(block) - 1), block
        row += len(block)


def _write_headings(sheet: Worksheet, columns: tuple[Column, ...], notice: str) -> None:
    hint = (
        "how to measure: sheet Guide  ·  type in the white cells, one row for each bar or mark"
        "  ·  forms to fill in by hand: bodytest kit"
    )
    style.put_title(sheet, notice or "Test bars", hint)
    for place, column in enumerate(columns, start=1):
        style.put_heading(style.cell_at(sheet, HEADING_ROW, place), column.heading, style.DAYS[column.day].heading)
        sheet.column_dimensions[get_column_letter(place)].width = column.width
    sheet.row_dimensions[2].height = _band_height(columns)
    sheet.row_dimensions[HEADING_ROW].height = 44
    sheet.row_dimensions[1].height = 26
    for first, last, day in _day_spans(columns):
        for place in range(first, last + 1):
            style.put_heading(style.cell_at(sheet, 2, place), "", style.DAYS[day].band)
        style.put_heading(style.cell_at(sheet, 2, first), style.DAYS[day].title, style.DAYS[day].band)
        if last > first:
            sheet.merge_cells(start_row=2, start_column=first, end_row=2, end_column=last)


def _band_height(columns: tuple[Column, ...]) -> float:
    """Return the height of the row of days: two lines where a title is wider than the columns under it."""
    spans = [(style.DAYS[day].title, columns[first - 1 : last]) for first, last, day in _day_spans(columns)]
    fits = all(len(title) + 2 <= sum(column.width for column in under) for title, under in spans)
    return _ONE_LINE if fits else 2 * _ONE_LINE


def _day_spans(columns: tuple[Column, ...]) -> Iterator[tuple[int, int, str]]:
    """Yield the first and the last column of each day of work, from 1, and the day."""
    first = 1
    for day, some in groupby(columns, key=lambda column: column.day):
        last = first + len(list(some)) - 1
        yield first, last, day
        first = last + 1


@dataclass(frozen=True)
class _Page:
    """What is needed to write any row."""

    sheet: Worksheet
    columns: tuple[Column, ...]
    letters: dict[str, str]
    formats: dict[str, str]

    looks: dict[tuple[int, bool, bool], StyleArray] = field(default_factory=dict)
    """How cells look by column, by whether a thick line is above, and by whether they are a further mark's."""

    def write_bar(self, rows: BarRows, planned: tuple[Row, ...], *, is_set_off: bool) -> None:
        """Write the rows of one bar; masses are meant for the first of them, so the others are grey there."""
        for row, values in enumerate(planned, start=rows.first):
            self.sheet.row_dimensions[row].height = _ROW_HEIGHT
            is_first = row == rows.first
            for place, column in enumerate(self.columns, start=1):
                cell = style.cell_at(self.sheet, row, place)
                self._set_look(cell, column, (place, is_first and is_set_off, not is_first))
                if column.day == "live":
                    cell.value = self._formula(column, rows, row)
                else:
                    put_entry(cell, values.get(column.name))

    def _formula(self, column: Column, rows: BarRows, row: int) -> str | None:
        if column.quantity is None:
            readings = tuple(column.name for column in self.columns if column.reading)
            return look_again_formula(self.letters, readings, row)
        return live_formula(column.quantity, self.letters, rows) if row == rows.first else None

    def _set_look(self, cell: Any, column: Column, kind: tuple[int, bool, bool]) -> None:
        """Set a look once and copy it from then on: comparing styles costs far more than writing cells."""
        if kind not in self.looks:
            _, is_below_line, is_further_mark = kind
            self._style(cell, column)
            cell.border = _THICK_TOP if is_below_line else style.GRID
            if is_further_mark and (column.is_date or (column.reading and not column.reading.of_mark)):
                cell.fill = style.solid(style.LOCKED_FILL)
            self.looks[kind] = copy(cell._style)
        cell._style = copy(self.looks[kind])

    def _style(self, cell: Cell, column: Column) -> None:
        if column.day == "live":
            cell.fill, cell.font = style.solid(style.LOCKED_FILL), _LIVE_FONT
            cell.alignment = Alignment(shrink_to_fit=True, vertical="center")
            cell.number_format = "General" if column.name == "look again" else "0.00"
            return
        cell.protection, cell.font = style.UNLOCKED, style.PLAIN
        plain = style.DATE_FORMAT if column.is_date else "@"
        cell.number_format = self.formats[column.reading.dimension.instrument.name] if column.reading else plain
        is_code = column.reading is None and column.day == "which"
        cell.alignment = Alignment(horizontal="left" if is_code else None, vertical="center")


def _number_formats(content: SheetContent) -> dict[str, str]:
    """Show as many decimals as the stated reading step has; up to three where none is stated."""
    units = {one.name: getattr(content.units, one.name, one.unit) for one in INSTRUMENTS.values()}
    steps = {name: content.lab.get(f"{name} reading step ({unit})") for name, unit in units.items()}
    decimals = {name: len(str(step).partition(".")[2]) for name, step in steps.items() if step is not None}
    return {name: "0." + "0" * decimals[name] if decimals.get(name) else "0.0##" for name in steps}


def put_entry(cell: Cell, value: object) -> None:
    """Write a planned value: numbers and dates as they are, texts so that they stay text."""
    if isinstance(value, str):
        style.put_text(cell, value)
    elif value is not None:
        cell.value = value  # type: ignore[assignment]


def _add_lists(sheet: Worksheet, spans: dict[str, str], columns: tuple[Column, ...]) -> None:
    for name, key in _LISTED.items():
        question = f"This {name} is not among the {key} on the Lists sheet. Keep it? (Add it there to have it offered.)"
        offer(sheet, LIST_RANGES[key], spans[name], f"New {name}?", question)
    question = "This firing is not on the Firings sheet yet. Keep it, and add a line for it there."
    offer(sheet, FIRINGS_RANGE, spans["firing"], "New firing?", question)
    reasons = offer(sheet, LIST_RANGES["reasons to leave out"], spans["leave out"], "leave out", "")
    reasons.showErrorMessage, reasons.showInputMessage = False, True
    reasons.promptTitle, reasons.prompt = "leave out", _LEAVE_OUT
    for column in columns:
        if column.options:
            words, options = " or ".join(column.options), f'"{",".join(column.options)}"'
            offer(sheet, options, spans[column.name], f"{column.name}?", f"Write {words}.")


def _add_limits(sheet: Worksheet, spans: dict[str, str], columns: Iterable[Column], units: Units) -> None:
    for column in columns:
        if column.is_date:
            style.ask_for_date(sheet, spans[column.name], "the day of measuring, e.g. 2030-05-17")
        if column.reading is None:
            continue
        low, high = entry_limits(column.reading, units)
        unit = unit_of(column.reading, units)
        question = (
            f"A {column.reading.heading} is a number between {low:g} and {high:g} {unit}."
            " Is it in another unit, or has a digit slipped?"
        )
        heading = f"{column.reading.heading}?"
        limit = style.ask(sheet, spans[column.name], heading, question, style.between(low, high))
        limit.promptTitle = column.heading[:32]
        limit.prompt = column.reading.hint.format(unit=unit)
        limit.showInputMessage = True


def _add_colours(sheet: Worksheet, letters: dict[str, str], spans: dict[str, str], columns: tuple[Column, ...]) -> None:
    fill, font = style.ALARM_FILL, Font(bold=True, color=style.ALARM_INK)
    for name in (column.name for column in columns if column.reading):
        style.colour_when(sheet, spans[name], no_reading(f"{letters[name]}{FIRST_ROW}"), fill=fill, font=font)
    for coloured, rule in broken_orders(letters, FIRST_ROW):
        style.colour_when(sheet, spans[coloured], rule, fill=fill, font=font)
    for column in columns:
        if column.quantity is not None:
            odd = Font(bold=True, color=style.INK)
            rule = odd_value(column.quantity, f"{letters[column.name]}{FIRST_ROW}")
            style.colour_when(sheet, spans[column.name], rule, fill=style.ODD_FILL, font=odd)
    words = f"{letters['look again']}{FIRST_ROW}"
    style.colour_when(sheet, spans["look again"], f"LEN({words})>0", fill=fill, font=font)
    span = f"{spans['bar'].partition(':')[0]}:{spans['notes'].partition(':')[2]}"
    left_out = Font(italic=True, color=style.QUIET_INK)
    style.colour_when(sheet, span, f"LEN(${letters['leave out']}{FIRST_ROW})>0", font=left_out)
