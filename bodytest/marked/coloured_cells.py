"""The cells of one table that get a colour: where they stand in its XML; put in where they do not."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from bodytest.grids.grid import column_index, column_letters
from bodytest.marked.xml_splice import Edit, Element, appended, spliced, walk, with_attribute

_REFERENCE = re.compile(r"^([A-Z]+)(\d+)$")
_ROW = re.compile(rb"<((?:[\w.-]+:)?row)(?:\s[^>]*)?>")
_ROW_NUMBER = re.compile(rb"""\sr\s*=\s*["'](\d+)["']""")
Place = tuple[int, int]
"""Row from 1, column from 0."""


@dataclass(frozen=True)
class Site:
    """Where one cell stands."""

    style: int
    """The style that it has now."""
    start: int
    """First byte of its start tag."""
    end: int
    """First byte after its start tag."""


def with_cells(content: bytes, wanted: set[Place]) -> tuple[bytes, dict[Place, Site]]:
    """Return the worksheet with all wanted cells in it, and where they stand."""
    sites = _sites(content, wanted)
    if missing := wanted - sites.keys():
        content = _Filler(content, missing).filled()
        sites = _sites(content, wanted)
    return content, sites


def with_styles(content: bytes, sites: dict[Place, Site], styles: dict[Place, int]) -> bytes:
    """Return the worksheet with other styles for some cells."""
    edits = []
    for place, style in styles.items():
        site = sites[place]
        tag = with_attribute(content[site.start : site.end], "s", str(style))
        edits.append(Edit(site.start, site.end, tag))
    return spliced(content, edits)


def _sites(content: bytes, wanted: set[Place]) -> dict[Place, Site]:
    """Find the cells row by row where rows can be told apart at a glance, else by looking at every element."""
    rows = _rows_at_a_glance(content, {row for row, _ in wanted})
    if rows is None:
        return _sites_within(content, wanted, at=0, row=None)
    found: dict[Place, Site] = {}
    for row, start, end in rows:
        found |= _sites_within(content[start:end], wanted, at=start, row=row)
    return found


def _rows_at_a_glance(content: bytes, wanted: set[int]) -> list[tuple[int, int, int]] | None:
    """Return number, first and last byte of the wanted rows; None when that takes a closer look."""
    if b"<!" in content:  # in a comment or quoted text, something that looks like a row may be none
        return None
    rows = []
    for tag in _ROW.finditer(content):
        number = _ROW_NUMBER.search(tag.group())
        if number is None:
            return None
        if int(number.group(1)) in wanted:
            closing = tag.end()
            if not tag.group().endswith(b"/>"):
                closing = content.index(b">", content.index(b"</" + tag.group(1), tag.end())) + 1
            rows.append((int(number.group(1)), tag.start(), closing))
    return rows


def _sites_within(content: bytes, wanted: set[Place], *, at: int, row: int | None) -> dict[Place, Site]:
    """Find cells in a whole worksheet, or in one ``row`` that begins ``at`` a byte of it."""
    sites: dict[Place, Site] = {}

    def cell(element: Element, place: Place) -> None:
        if place in wanted:
            style = int(element.attributes.get("s", "0"))
            sites[place] = Site(style, element.start + at, element.start_tag_end + at)

    position = _Position(on_cell=cell, row_depth=2 if row is None else 0)
    walk(content, position.start, lambda _: None)
    return sites


class _Position:
    """Knows row and column of each cell that passes by, also where the file does not name them."""

    def __init__(self, on_cell: Callable[[Element, Place], None], row_depth: int = 2) -> None:
        self.row = 0
        self._row_depth = row_depth
        self.column = -1
        self._on_cell = on_cell

    def start(self, element: Element) -> None:
        if element.name == "row" and element.depth == self._row_depth:
            self.row = int(element.attributes.get("r", self.row + 1))
            self.column = -1
        elif element.name == "c" and element.depth == self._row_depth + 1:
            reference = _REFERENCE.match(element.attributes.get("r", ""))
            self.column = column_index(reference.group(1)) if reference else self.column + 1
            self._on_cell(element, (self.row, self.column))


class _Filler:
    """Puts in cells, and rows, that a worksheet leaves out because they are empty."""

    def __init__(self, content: bytes, missing: set[Place]) -> None:
        self._content = content
        self._missing: dict[int, list[int]] = {}
        for row, column in sorted(missing):
            self._missing.setdefault(row, []).append(column)
        self._edits: list[Edit] = []
        self._columns: list[tuple[int, int, int]] = []
        self._row_style: int | None = None
        self._prefix = ""
        self._position = _Position(on_cell=self._before_cell)

    def filled(self) -> bytes:
        walk(self._content, self._start, self._end)
        return spliced(self._content, self._edits)

    def _start(self, element: Element) -> None:
        if element.name == "sheetData":
            self._prefix = element.prefix
        elif element.name == "col" and element.depth == 2:
            first, last = int(element.attributes["min"]), int(element.attributes["max"])
            self._columns.append((first - 1, last - 1, int(element.attributes.get("style", "0"))))
        self._position.start(element)
        if element.name == "row" and element.depth == 2:
            style = element.attributes.get("s")
            self._row_style = int(style) if style is not None else None
            for row in [number for number in self._missing if number < self._position.row]:
                self._edits.append(Edit(element.start, element.start, self._whole_row(row)))

    def _before_cell(self, element: Element, place: Place) -> None:
        row, column = place
        waiting = self._missing.get(row, [])
        while waiting and waiting[0] < column:
            cell = self._cell(row, waiting.pop(0), self._row_style)
            self._edits.append(Edit(element.start, element.start, cell))

    def _end(self, element: Element) -> None:
        if element.name == "row" and element.depth == 2:
            row = self._position.row
            cells = b"".join(self._cell(row, column, self._row_style) for column in self._missing.pop(row, []))
            if cells:
                self._edits.append(appended(self._content, element, cells))
        elif element.name == "sheetData":
            rows = b"".join(self._whole_row(row) for row in list(self._missing))
            if rows:
                self._edits.append(appended(self._content, element, rows))

    def _whole_row(self, row: int) -> bytes:
        cells = b"".join(self._cell(row, column, None) for column in self._missing.pop(row))
        name = f"{self._prefix}row"
        return f'<{name} r="{row}">'.encode() + cells + f"</{name}>".encode()

    def _cell(self, row: int, column: int, style: int | None) -> bytes:
        if style is None:
            style = next((s for first, last, s in self._columns if first <= column <= last), 0)
        return f'<{self._prefix}c r="{column_letters(column)}{row}" s="{style}"/>'.encode()
