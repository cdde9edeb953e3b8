"""The marked copy: a user's own workbook with the cells of findings coloured and commented, or its values alone."""

import datetime
import math
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any
from xml.parsers import expat

import openpyxl

from bodytest.errors import UnreadableSheet, UnusableRequest
from bodytest.files.fixed_zip import workbook_bytes
from bodytest.files.inputs import TEXT_ENDINGS, called, name_of
from bodytest.files.outputs import is_standard_output
from bodytest.files.writing import write_whole
from bodytest.findings import Finding
from bodytest.grids.grid import CellError, Grid, Uncalculated, column_letters
from bodytest.grids.notebook import Notebook
from bodytest.grids.opening import Workbook, open_workbook
from bodytest.intake.layouts.headings import is_bars_heading
from bodytest.marked.marking import marked_workbook
from bodytest.marked.xml_splice import UNWRITABLE
from bodytest.sheet.style import cell_at, put_text

LONGEST_TEXT = 32_767
"""Signs that a cell of a workbook can hold, by the format's own limit."""
_LONGEST_TITLE = 31
_PLAIN_NUMBER = re.compile(r"^-?(?:0|[1-9]\d{0,14})(?:\.\d{1,12})?$")
"""A leading zero belongs to a code or a cone, so it stays text."""
_WIDE = 14


def values_workbook(grids: Sequence[Grid]) -> bytes:
    """Return an ``.xlsx`` workbook with the values of the tables."""
    workbook = openpyxl.Workbook()
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
        text = UNWRITABLE.sub("\N{REPLACEMENT CHARACTER}", str(value))
        put_text(cell, text if len(text) <= LONGEST_TEXT else f"{text[: LONGEST_TEXT - 1]}…")


def _title(name: str) -> str:
    return "".join("_" if c in r"[]:*?/\\" else c for c in name)[:_LONGEST_TITLE] or "Sheet"


_WORKBOOKS = (".xlsx", ".xlsm")
"""Endings of workbooks of which a copy keeps everything else to the byte."""
_VALUES_ONLY = (
    "This copy was made from {kind}, so it holds its values alone:"
    " formats, formulas and comments stayed in the original."
)
_CUT = f"Texts of more than {LONGEST_TEXT} signs end with … in this copy; the original holds them whole."
_UNUSUAL = (
    "The workbook is built in an unusual way, so this copy holds its values alone:"
    " formats, formulas and comments stayed in the original."
)


def write_marked_copy(source: Path, findings: Sequence[Finding], target: Path) -> tuple[str, ...]:
    """Write a copy of ``source`` in which the cells of ``findings`` are coloured and commented.

    The source is only read. An ``.xlsx`` or ``.xlsm`` copy keeps everything else as it was, to the byte; of other
    files a new ``.xlsx`` with their values is made.

    Returns:
        What the copy leaves out, in sentences; empty when nothing.

    Raises:
        UnreadableSheet: the source cannot be read.
        UnusableRequest: the target's name does not fit.
        UnwritableFile: the target exists or cannot be written.
    """
    ending = source.suffix.lower() if source.suffix.lower() in _WORKBOOKS else ".xlsx"
    if target.suffix.lower() != ending and not is_standard_output(target):
        raise UnusableRequest("marked-copy-name", sheet=str(target), ending=ending)
    workbook = opened(source)
    left_out, content = kept_whole(
        source, workbook, lambda: marked_workbook(workbook.content, findings, name=source.name)
    )
    if content is None:
        left_out += (_CUT,) if holds_long_text(workbook.grids) else ()
        values = values_workbook(workbook.grids)
        content = marked_workbook(values, findings, name=source.name, left_out=left_out)
    write_whole(target, content, overwrite=False)
    return left_out


def opened(source: Path) -> Workbook:
    """Open the workbook of which a copy is to be made.

    Raises:
        UnreadableSheet: it cannot be read.
    """
    notes = Notebook(name_of(source))
    workbook = open_workbook(source, notes, is_bars_heading)
    if not workbook.readable:
        why = next((found.sentence for found in notes.ordered()), "")
        raise UnreadableSheet("cannot-mark", sheet=called(source), why=why)
    return workbook


def kept_whole(source: Path, workbook: Workbook, copy: Callable[[], bytes]) -> tuple[tuple[str, ...], bytes | None]:
    """Return a copy that keeps everything else as it was; None, and why, where it can hold values alone."""
    ending = source.suffix.lower()
    if not workbook.content.startswith(b"PK") or ending not in _WORKBOOKS:
        return (_VALUES_ONLY.format(kind=_kind_of(ending)),), None
    try:
        return (), copy()
    except (LookupError, ValueError, expat.ExpatError):  # a part is missing that every spreadsheet program writes
        return (_UNUSUAL,), None


def _kind_of(ending: str) -> str:
    if ending in TEXT_ENDINGS:
        return "a text table"
    return {".ods": "an OpenDocument sheet", "": "standard input"}.get(ending, "a template")
