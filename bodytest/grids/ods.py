"""Workbooks of OpenDocument's kind, read as a stream; python-calamine is the independent check in the tests.

Read by ourselves because error cells and never-calculated formulas come back from calamine as blanks, and because a
few bytes of ``number-rows-repeated`` can ask for more cells than any machine holds.
"""

import datetime
import io
import zipfile
from collections.abc import Callable
from typing import Any

from bodytest.grids.grid import CellError, Grid, Uncalculated
from bodytest.grids.xml_parts import HarmfulPart, check_archive, chunks, feed, plain_parser

LARGEST_AREA = 30_000_000
"""Cells that a table may hold."""


def read_ods(content: bytes) -> list[Grid]:
    """Read every table of an .ods workbook as data.

    Raises:
        HarmfulPart: the file is made to do harm or cannot be held.
        Exception: zipfile's and expat's own, when the file is damaged.

    """
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        check_archive(archive, frozenset({"content.xml"}))
        reader = _TableReader()
        parser = plain_parser()
        parser.StartElementHandler = reader.start
        parser.EndElementHandler = reader.end
        parser.CharacterDataHandler = reader.text
        feed(parser, chunks(archive, "content.xml"))
    return reader.grids


class _TableReader:
    """Builds grids while the XML passes by."""

    def __init__(self) -> None:
        self.grids: list[Grid] = []
        self.rows: list[list[Any]] = []
        self.cells: list[Any] = []
        self.cell: dict[str, str] = {}
        self.row: dict[str, str] = {}
        self.lines: list[str] | None = None
        self.skipped = 0
        self.pending = 0
        self.area = 0
        self.table = ""
        self.hidden: set[int] = set()
        self.merged: list[tuple[int, int, int, int]] = []
        self.styles: dict[str, str] = {}
        self._starts: dict[str, Callable[[dict[str, str]], None]] = {
            "table:table": self._start_table,
            "table:table-row": self._start_row,
            "table:table-cell": self._start_cell,
            "table:covered-table-cell": self._start_cell,
            "text:p": self._start_paragraph,
            "text:s": self._spaces,
        }
        self._ends: dict[str, Callable[[], None]] = {
            "table:table": self._end_table,
            "table:table-row": self._end_row,
            "table:table-cell": self._end_cell,
            "table:covered-table-cell": self._end_cell,
        }

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "office:annotation":
            self.skipped += 1
        elif self.skipped == 0 and name in self._starts:
            self._starts[name](attributes)

    def end(self, name: str) -> None:
        if name == "office:annotation":
            self.skipped -= 1
        elif self.skipped == 0 and name in self._ends:
            self._ends[name]()

    def text(self, text: str) -> None:
        if self.lines and self.skipped == 0:
            self.lines[-1] += text

    def _start_table(self, attributes: dict[str, str]) -> None:
        self.table = attributes.get("table:name", "")
        self.rows, self.hidden, self.merged = [], set(), []

    def _end_table(self) -> None:
        self.grids.append(Grid(self.table, self.rows, hidden_rows=frozenset(self.hidden), merged=tuple(self.merged)))
        self.pending = 0

    def _start_row(self, attributes: dict[str, str]) -> None:
        self.row = attributes
        self.cells = []

    def _end_row(self) -> None:
        repeated = _count(self.row.get("table:number-rows-repeated"))
        while self.cells and self.cells[-1] == "":
            self.cells.pop()
        if not self.cells:
            self.pending += repeated
            return
        self.area += (repeated + self.pending) * len(self.cells)
        if self.area > LARGEST_AREA:
            raise HarmfulPart(f"the table {self.table} repeats a row {repeated} times")
        self.rows.extend([] for _ in range(self.pending))
        self.pending = 0
        if self.row.get("table:visibility") in ("collapse", "filter"):
            self.hidden.update(range(len(self.rows) + 1, len(self.rows) + 1 + repeated))
        self.rows.extend(list(self.cells) for _ in range(repeated))

    def _start_cell(self, attributes: dict[str, str]) -> None:
        self.cell = attributes
        self.lines = []

    def _start_paragraph(self, _: dict[str, str]) -> None:
        if self.lines is not None:
            self.lines.append("")

    def _spaces(self, attributes: dict[str, str]) -> None:
        if self.lines:
            self.lines[-1] += " " * min(_count(attributes.get("text:c")), 1000)

    def _end_cell(self) -> None:
        value = _value(self.cell, "\n".join(self.lines or ()))
        repeated = _count(self.cell.get("table:number-columns-repeated"))
        if value != "" and repeated > 20_000:
            raise HarmfulPart(f"the table {self.table} repeats a cell {repeated} times")
        tall, wide = (_count(self.cell.get(f"table:number-{n}-spanned")) for n in ("rows", "columns"))
        if (tall, wide) != (1, 1):
            row, column = len(self.rows) + self.pending + 1, len(self.cells)
            self.merged.append((row, column, row + tall - 1, column + wide - 1))
        self.cells.extend([value] * min(repeated, 20_000))
        self.lines = None


def _count(text: str | None) -> int:
    return max(int(text), 1) if text and text.isdigit() else 1


def _value(cell: dict[str, str], shown: str) -> Any:
    """Return a cell's value: number, text, date, or what is wrong with it."""
    kind = cell.get("office:value-type")
    formula = cell.get("table:formula")
    if cell.get("calcext:value-type") == "error" or (formula and shown.startswith(("#", "Err:"))):
        return CellError(shown or "#N/A")
    if kind in ("float", "percentage", "currency"):
        return float(cell.get("office:value", "nan"))
    if kind == "date":
        return _date(cell.get("office:date-value", ""), shown)
    if kind == "boolean":
        return cell.get("office:boolean-value") == "true"
    if formula and kind is None and not shown:
        return Uncalculated("=" + formula.partition("=")[2])
    return cell.get("office:string-value") or shown


def _date(text: str, shown: str) -> Any:
    try:
        moment = datetime.datetime.fromisoformat(text)
    except ValueError:
        return shown
    return moment if moment.time() != datetime.time() else moment.date()
