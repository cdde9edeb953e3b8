"""Workbooks of OpenDocument's kind, read as a stream, in every form that the format allows."""

import io
import re
import zipfile
from collections.abc import Callable
from typing import Any

from bodytest.grids.cell_values import iso_date_of, number_of, percentage_of, truth_of
from bodytest.grids.filling import Filling
from bodytest.grids.grid import LAST_COLUMN, LAST_ROW, CellError, Grid, Uncalculated
from bodytest.grids.package import Package
from bodytest.grids.xml_parts import check_archive, chunks, feed, plain_parser

_OASIS = "urn:oasis:names:tc:opendocument:xmlns:"
_PREFIXES = {
    f"{_OASIS}office:1.0": "office",
    f"{_OASIS}table:1.0": "table",
    f"{_OASIS}text:1.0": "text",
    f"{_OASIS}style:1.0": "style",
    "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0": "calcext",
}
_AROUND_CELLS = frozenset(
    {"office:document-content", "office:document", "office:body", "office:spreadsheet", "table:table-columns"}
    | {f"table:table-{name}" for name in ("column-group", "header-columns", "row-group", "header-rows", "rows")}
)
"""What tables, columns and rows may stand in."""
_STYLES = frozenset({"office:automatic-styles", "style:style", "style:table-properties"})
"""What says that a table is hidden."""
_CELLS = frozenset({"table:table-cell", "table:covered-table-cell"})
_NOT_TEXT = frozenset({"text:ruby-text", "text:note", "text:tracked-changes"})
_MOST = 1 << 40


def read_ods(content: bytes) -> list[Grid]:
    """Read every table of an .ods workbook as data.

    Raises:
        HarmfulPart: the file is made to do harm or cannot be held.
        Exception: zipfile's and expat's own, or KeyError, when the file is damaged.
    """
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        part = Package(archive).the_member("content.xml")
        check_archive(archive, len(content), frozenset({part.filename}))
        reader = _TableReader()
        feed(plain_parser(reader.start, reader.end, reader.text), chunks(archive, part))
    return reader.grids


class _TableReader:
    """Builds grids while the XML passes by; elements that are no part of a table are passed over with all in them."""

    def __init__(self) -> None:
        self.grids: list[Grid] = []
        self.filling: Filling | None = None
        self.cells: list[tuple[int, int, Any]] = []
        self.cell: dict[str, str] = {}
        self.lines: list[list[str]] | None = None
        self._row = self._rows = self._column = self._columns = 0
        self._paragraphs = 0
        self._passed_over = 0
        self._style = ""
        self._hiding: set[str] = set()
        self._hidden = False
        self._names: dict[str, str] = {}
        self._starts: dict[str, Callable[[dict[str, str]], None]] = {
            "style:style": self._start_style,
            "style:table-properties": self._style_table,
            "table:table": self._start_table,
            "table:table-column": self._start_column,
            "table:table-row": self._start_row,
            **dict.fromkeys(_CELLS, self._start_cell),
            "text:p": self._start_paragraph,
            "text:s": self._spaces,
            "text:tab": lambda _: self._add("\t"),
            "text:line-break": lambda _: self._add("\n"),
        }
        self._ends: dict[str, Callable[[], None]] = {
            "table:table": self._end_table,
            "table:table-row": self._end_row,
            **dict.fromkeys(_CELLS, self._end_cell),
            "text:p": self._end_paragraph,
        }

    def start(self, full: str, attributes: dict[str, str]) -> None:
        name = self._names.get(full) or self._short(full)
        if self._passed_over or not self._belongs(name):
            self._passed_over += 1
        elif name in self._starts:
            self._starts[name]({self._short(key): value for key, value in attributes.items()})

    def end(self, full: str) -> None:
        if self._passed_over:
            self._passed_over -= 1
        elif (name := self._short(full)) in self._ends:
            self._ends[name]()

    def text(self, text: str) -> None:
        if self._paragraphs and not self._passed_over:
            self._add(text)

    def _short(self, full: str) -> str:
        """Return a name with the prefix that is usual, whatever the file's own is."""
        if full not in self._names:
            space, _, local = full.rpartition(" ")
            self._names[full] = f"{_PREFIXES.get(space, '?')}:{local}"
        return self._names[full]

    def _belongs(self, name: str) -> bool:
        if self.lines is not None:
            return name.startswith("text:") and name not in _NOT_TEXT
        if self.filling is None:
            return name in _AROUND_CELLS or name in _STYLES or name == "table:table"
        return name in _AROUND_CELLS or name in _CELLS or name in ("table:table-column", "table:table-row")

    def _start_style(self, attributes: dict[str, str]) -> None:
        self._style = attributes.get("style:name", "")

    def _style_table(self, attributes: dict[str, str]) -> None:
        if attributes.get("table:display") == "false":
            self._hiding.add(self._style)

    def _start_table(self, attributes: dict[str, str]) -> None:
        self.filling = Filling(attributes.get("table:name", ""))
        self._hidden = attributes.get("table:style-name") in self._hiding
        self._row, self._columns = 1, 0

    def _end_table(self) -> None:
        if self.filling is not None:
            self.grids.append(self.filling.finish(hidden=self._hidden))
        self.filling = None

    def _start_column(self, attributes: dict[str, str]) -> None:
        first, self._columns = self._columns, self._columns + _count(attributes.get("table:number-columns-repeated"))
        if self.filling is not None and attributes.get("table:visibility") in ("collapse", "filter"):
            self.filling.hidden_columns.update(range(first, min(self._columns, LAST_COLUMN + 1)))

    def _start_row(self, attributes: dict[str, str]) -> None:
        self.cells, self._column = [], 0
        self._rows = _count(attributes.get("table:number-rows-repeated"))
        last = min(self._row + self._rows, LAST_ROW + 1)
        if self.filling is not None and attributes.get("table:visibility") in ("collapse", "filter"):
            self.filling.hidden_rows.update(range(self._row, last))

    def _end_row(self) -> None:
        if self.filling is not None and self.cells:
            self.filling.repeat(self._row, self.cells, self._rows)
        self._row += self._rows

    def _start_cell(self, attributes: dict[str, str]) -> None:
        self.cell, self.lines = attributes, []

    def _start_paragraph(self, _: dict[str, str]) -> None:
        self._paragraphs += 1
        if self.lines is not None:
            self.lines.append([])

    def _end_paragraph(self) -> None:
        self._paragraphs -= 1

    def _spaces(self, attributes: dict[str, str]) -> None:
        self._add(" " * min(_count(attributes.get("text:c")), 1000))

    def _add(self, text: str) -> None:
        if self.lines:
            self.lines[-1].append(text)

    def _end_cell(self) -> None:
        value = _value(self.cell, "\n".join("".join(pieces) for pieces in self.lines or ()))
        wide = _count(self.cell.get("table:number-columns-repeated"))
        self.lines = None
        if self.filling is not None:
            self.filling.count(1)
            tall, over = (_count(self.cell.get(f"table:number-{n}-spanned")) for n in ("rows", "columns"))
            if (tall, over) != (1, 1):
                self.filling.merged.append((self._row, self._column, self._row + tall - 1, self._column + over - 1))
            if value != "":
                self.cells.append((self._column, wide, value))
        self._column += wide


def _count(text: str | None) -> int:
    """Return how often something is repeated.

    >>> _count(None), _count("3"), _count("9" * 5000) == _MOST
    (1, 3, True)
    """
    if text is None or not re.fullmatch(r"\s*[0-9]+\s*", text):
        return 1
    return max(int(text), 1) if len(text) <= 12 else _MOST


def _value(cell: dict[str, str], shown: str) -> Any:
    """Return a cell's value: number, text, date, or what is wrong with it."""
    kind = cell.get("office:value-type")
    formula = cell.get("table:formula")
    if cell.get("calcext:value-type") == "error" or (formula and shown.startswith(("#", "Err:"))):
        return CellError(shown or "#N/A")
    if formula and not shown and _has_no_value(cell):
        return Uncalculated("=" + formula.partition("=")[2])
    if kind in ("float", "percentage", "currency"):
        number = number_of(cell.get("office:value", shown))
        return percentage_of(number) if kind == "percentage" and isinstance(number, float) else number
    if kind == "date":
        return iso_date_of(cell.get("office:date-value", ""))
    if kind == "boolean":
        return truth_of(cell.get("office:boolean-value", shown))
    return cell.get("office:string-value") or shown


def _has_no_value(cell: dict[str, str]) -> bool:
    return not any(f"office:{name}value" in cell for name in ("", "string-", "date-", "time-", "boolean-")) and (
        cell.get("office:value-type") != "string"
    )
