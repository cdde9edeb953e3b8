"""Workbooks of Excel's kind: values by calamine, and by a scan of the XML what calamine does not tell.

calamine gives a blank for an error cell and for a formula that was never calculated. A scan of the packed XML finds
both, hidden rows and columns, and merged ranges; where its quick look finds no trace of them it stops there, which is
what makes large sheets fast.
"""

import io
import re
import zipfile
from dataclasses import dataclass, field
from typing import Any

import python_calamine

from bodytest.grids.grid import CellError, Grid, Uncalculated, blank_rows, column_index, parse_range
from bodytest.grids.xml_parts import HarmfulPart, check_archive, chunks, feed, local_name, plain_parser

LARGEST_AREA = 30_000_000
"""Cells that a table may span (from A1 to its last filled cell)."""
_MARKERS = (b"mergeCell ", b't="e"', b"t='e'", b'hidden="1"', b'hidden="true"', b"hidden='")
_UNCALCULATED = re.compile(
    rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f\b[^<>]*/>)\s*"
    rb"(?:<(?:\w+:)?v\b[^<>]*/>|<(?:\w+:)?v\b[^<>]*>\s*</(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)
"""A table's XML in which neither a byte string nor a formula without a value is found holds nothing that calamine
passes over."""
_ROW = re.compile(rb"""row\b[^>]*?\br=["'](\d+)""")
_WIDE = re.compile(rb'r="[A-Z]{2}')
_CELL = re.compile(rb"""\br=["']([A-Z]+)(\d+)["'](?![^<>]*/>)""")


@dataclass
class SheetScan:
    """What the XML of one table says besides values."""

    cells: dict[tuple[int, int], CellError | Uncalculated] = field(default_factory=dict)
    """Odd cells by row and column."""
    hidden_rows: set[int] = field(default_factory=set)
    """Hidden rows."""
    hidden_columns: set[int] = field(default_factory=set)
    """Hidden columns."""
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    """Merged ranges."""


def read_xlsx(content: bytes) -> list[Grid]:
    """Read every table of an .xlsx or .xlsm workbook as data; macros and links are never followed.

    Raises:
        HarmfulPart: the file is made to do harm, or a cell stands so far out that the table cannot be held.
        Exception: calamine's, zipfile's and expat's own, when the file is damaged.

    """
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        parts = _sheet_parts(archive)
        check_archive(archive, frozenset(parts.values()))
        scans = {name: _scan(archive, part, name) for name, part in parts.items()}
    book = python_calamine.load_workbook(io.BytesIO(content))
    grids = []
    for meta in book.sheets_metadata:
        if meta.typ != python_calamine.SheetTypeEnum.WorkSheet:
            continue
        hidden = meta.visible != python_calamine.SheetVisibleEnum.Visible
        grids.append(_grid(book.get_sheet_by_name(meta.name), meta.name, scans.get(meta.name, SheetScan()), hidden))
    return grids


def _grid(sheet: Any, name: str, scan: SheetScan, hidden: bool) -> Grid:
    rows: list[list[Any]] = []
    if sheet.start is not None:
        top, left = sheet.start
        margin = [""] * left
        filled = sheet.to_python(skip_empty_area=True)
        rows = [[] for _ in range(top)] + ([margin + row for row in filled] if left else filled)
    del rows[len(rows) - blank_rows(rows) :]
    for (row, column), odd in scan.cells.items():
        _put(rows, row - 1, column, odd)
    return Grid(
        name,
        rows,
        hidden=hidden,
        hidden_rows=frozenset(scan.hidden_rows),
        hidden_columns=frozenset(scan.hidden_columns),
        merged=tuple(scan.merged),
    )


def _put(rows: list[list[Any]], row: int, column: int, value: object) -> None:
    while len(rows) <= row:
        rows.append([])
    line = rows[row]
    line.extend([""] * (column + 1 - len(line)))
    line[column] = value


def _sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """Return the XML part of each table by the table's name."""
    targets: dict[str, str] = {}
    names: list[tuple[str, str]] = []

    def relation(name: str, attributes: dict[str, str]) -> None:
        if local_name(name) == "Relationship":
            targets[attributes.get("Id", "")] = attributes.get("Target", "")

    def sheet(name: str, attributes: dict[str, str]) -> None:
        if local_name(name) == "sheet":
            link = next((value for key, value in attributes.items() if local_name(key) == "id"), "")
            names.append((attributes.get("name", ""), link))

    for part, handler in (("xl/_rels/workbook.xml.rels", relation), ("xl/workbook.xml", sheet)):
        parser = plain_parser()
        parser.StartElementHandler = handler
        feed(parser, chunks(archive, part))
    known = set(archive.namelist())
    found = {name: _part_name(targets.get(link, "")) for name, link in names}
    return {name: part for name, part in found.items() if part in known}


def _part_name(target: str) -> str:
    return target[1:] if target.startswith("/") else f"xl/{target}"


def _scan(archive: zipfile.ZipFile, part: str, name: str) -> SheetScan:
    """Look at a table's XML: quickly first, whole only where something odd is in it."""
    odd, wide, last_row, tail = False, False, 0, b""
    for chunk in chunks(archive, part):
        text = tail + chunk
        odd = odd or any(marker in text for marker in _MARKERS) or _holds_uncalculated(text)
        wide = wide or b"r='" in text or _WIDE.search(text) is not None
        last_row = max(last_row, max(map(int, _ROW.findall(text)), default=0))
        tail = chunk[-200:]
    if wide and last_row * 702 > LARGEST_AREA:
        _refuse_far_cells(archive, part, name)
    return _scan_whole(archive, part) if odd else SheetScan()


def _holds_uncalculated(text: bytes) -> bool:
    return (b"<f" in text or b":f" in text) and _UNCALCULATED.search(text) is not None


def _refuse_far_cells(archive: zipfile.ZipFile, part: str, name: str) -> None:
    """Refuse a table whose filled cells span more than can be held."""
    columns: set[bytes] = set()
    last_row, tail = 0, b""
    for chunk in chunks(archive, part):
        found = _CELL.findall(tail + chunk)
        columns.update(letters for letters, _ in found)
        last_row = max(last_row, max((int(row) for _, row in found), default=0))
        tail = chunk[-200:]
    widest = max((column_index(c.decode()) + 1 for c in columns), default=1)
    if widest * last_row > LARGEST_AREA:
        raise HarmfulPart(f"the table {name} reaches to row {last_row} and {widest} columns to the right")


class _Collector:
    """Collects odd cells while the XML passes by."""

    def __init__(self) -> None:
        self.scan = SheetScan()
        self.row = 0
        self.column = -1
        self.kind = ""
        self.has_formula = False
        self.inside = ""
        self.formula = self.value = ""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        name = local_name(name)
        if name == "c":
            self._start_cell(attributes)
        elif name == "row":
            self.row = int(attributes.get("r", self.row + 1))
            self.column = -1
            if _true(attributes.get("hidden")):
                self.scan.hidden_rows.add(self.row)
        elif name in ("f", "v"):
            self.inside = name
            self.has_formula = self.has_formula or name == "f"
        elif name == "col" and _true(attributes.get("hidden")):
            last = min(int(attributes["max"]), int(attributes["min"]) + 1000)
            self.scan.hidden_columns.update(range(int(attributes["min"]) - 1, last))
        elif name == "mergeCell":
            merged = parse_range(attributes.get("ref", ""))
            if merged is not None:
                self.scan.merged.append(merged)

    def _start_cell(self, attributes: dict[str, str]) -> None:
        place = parse_range(attributes.get("r", ""))
        self.column = place[1] if place else self.column + 1
        self.kind = attributes.get("t", "n")
        self.has_formula = False
        self.formula = self.value = ""

    def text(self, text: str) -> None:
        if self.inside == "f":
            self.formula += text
        elif self.inside == "v":
            self.value += text

    def end(self, name: str) -> None:
        name = local_name(name)
        if name in ("f", "v"):
            self.inside = ""
        elif name == "c" and self.kind == "e":
            self.scan.cells[self.row, self.column] = CellError(self.value or "#N/A")
        elif name == "c" and self.has_formula and not self.value and self.kind not in ("inlineStr", "str"):
            self.scan.cells[self.row, self.column] = Uncalculated(f"={self.formula}" if self.formula else "a formula")


def _true(text: str | None) -> bool:
    return text in ("1", "true")


def _scan_whole(archive: zipfile.ZipFile, part: str) -> SheetScan:
    collector = _Collector()
    parser = plain_parser()
    parser.StartElementHandler = collector.start
    parser.EndElementHandler = collector.end
    parser.CharacterDataHandler = collector.text
    feed(parser, chunks(archive, part))
    return collector.scan
