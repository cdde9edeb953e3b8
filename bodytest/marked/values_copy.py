"""A plain workbook that holds the values of some tables, each in its own cell, and nothing else."""

import datetime
import math
import re
from collections.abc import Sequence
from typing import Any

from openpyxl import Workbook

from bodytest.files.fixed_zip import workbook_bytes
from bodytest.grids.grid import CellError, Grid, Uncalculated, column_letters
from bodytest.sheet.style import cell_at, put_text

LONGEST_TEXT = 32_767
"""Signs that a cell of a workbook can hold, by the format's own limit."""
_LONGEST_TITLE = 31
_PLAIN_NUMBER = re.compile(r"^-?(?:0|[1-9]\d{0,14})(?:\.\d{1,12})?$")
"""A leading zero belongs to a code or a cone, so it stays text."""
_UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_WIDE = 14


def values_workbook(grids: Sequence[Grid]) -> bytes:
    """Return an ``.xlsx`` workbook with the values of the tables."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for grid in grids:
        sheet = workbook.create_sheet(_title(grid.name))
        width = 0
        for number, row in grid.below_headings(0):
            width = max(width, len(row))
            for place, value in enumerate(row, start=1):
                if value != "":
                    _put(cell_at(sheet, number, place), value)
        for column in range(width):
            sheet.column_dimensions[column_letters(column)].width = _WIDE
    if not workbook.worksheets:
        workbook.create_sheet("Bars")
    return workbook_bytes(workbook)


def holds_long_text(grids: Sequence[Grid]) -> bool:
    """Say whether a cell holds more than a workbook can keep in one; the copy then ends it with an ellipsis."""
    cells = (cell for grid in grids for _, row in grid.below_headings(0) for cell in row)
    return any(isinstance(cell, str) and len(cell) > LONGEST_TEXT for cell in cells)


def _put(cell: Any, value: Any) -> None:
    if isinstance(value, CellError):
        put_text(cell, value.shown)
    elif isinstance(value, Uncalculated):
        put_text(cell, value.formula)
    elif isinstance(value, float) and not math.isfinite(value):
        put_text(cell, value)
    elif isinstance(value, (bool, int, float, datetime.date, datetime.time, datetime.timedelta)):
        cell.value = value
    elif _PLAIN_NUMBER.match(str(value)):
        cell.value = float(value)
    else:
        text = _UNWRITABLE.sub("\N{REPLACEMENT CHARACTER}", str(value))
        put_text(cell, text if len(text) <= LONGEST_TEXT else f"{text[: LONGEST_TEXT - 1]}…")


def _title(name: str) -> str:
    return "".join("_" if c in r"[]:*?/\\" else c for c in name)[:_LONGEST_TITLE] or "Sheet"
