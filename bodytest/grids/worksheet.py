"""One table of an .xlsx workbook, in every form that SpreadsheetML allows, in one pass over its XML.

Rows as spreadsheet programs write them are taken many at once by `plain_rows`; expat reads all others, and everything
around the rows.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from bodytest.grids import cell_values
from bodytest.grids.filling import Filling
from bodytest.grids.grid import LAST_COLUMN, LAST_ROW, Uncalculated, Unreadable, parse_address, parse_range
from bodytest.grids.plain_rows import PlainRows
from bodytest.grids.workbook_parts import Formats
from bodytest.grids.xml_parts import Feeder, blocks, plain_parser


@dataclass
class _Cell:
    """A cell while it is read."""

    place: tuple[int, int] | None
    """Row and column; None when no sheet has such a cell."""
    written: str
    """Its place as the file has it."""
    kind: str
    style: int
    values: list[list[str]] = field(default_factory=list)
    """Each value in pieces."""
    inline: list[str] | None = None
    """Pieces of a text that stands in the cell itself."""
    formula: list[str] | None = None


def read_rows(part: Iterable[bytes], filling: Filling, texts: Callable[[], Sequence[str]], formats: Formats) -> None:
    """Read a table's part, or one of several parts that bear its name, into a filling."""
    plain, reader = PlainRows(filling, texts, formats), _Elements(filling, texts, formats)
    feeder = Feeder(reader.parser)
    for block in blocks(part, b"<row", b"</row>"):
        ordinary = reader.among_rows and feeder.in_utf8 and feeder.between_tags
        last = plain.read(block) if ordinary else None
        if last is None:
            feeder.feed(block)
        else:
            reader.row = last
    feeder.close()


class _Elements:
    """What expat finds, element by element; those of other vocabularies are passed over with all that is in them.

    Alternatives, of which each program takes its own, are all read, so that a cell in which they differ is named.
    """

    def __init__(self, filling: Filling, texts: Callable[[], Sequence[str]], formats: Formats) -> None:
        self.filling, self.texts, self.formats = filling, texts, formats
        self.row, self.column = 0, -1
        self._prefix = ""
        self._path: list[str] = []
        self._passed_over = 0
        self._cell: _Cell | None = None
        self._taker: list[str] | None = None
        self.parser = plain_parser(self._start, self._end, self._text)

    @property
    def among_rows(self) -> bool:
        """Whether the next thing expected is a row."""
        return self._path == ["worksheet", "sheetData"] and not self._passed_over

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, local = name.rpartition(" ")
        if not self._path:
            self._prefix = space
        if not self._passed_over and name in _ALTERNATIVES:
            return
        if self._passed_over or space != self._prefix or local in _WITHOUT_CELLS:
            self._passed_over += 1
            return
        parent = self._path[-1] if self._path else ""
        self._path.append(local)
        start = _STARTS.get((parent, local))
        if start is not None:
            start(self, attributes)

    def _end(self, name: str) -> None:
        if self._passed_over:
            self._passed_over -= 1
            return
        if name in _ALTERNATIVES:
            return
        local = self._path.pop()
        if local == "c" and self._cell is not None:
            self._end_cell(self._cell)
        elif local in ("v", "t", "f"):
            self._taker = None

    def _text(self, text: str) -> None:
        if self._taker is not None and not self._passed_over:
            self._taker.append(text)

    def _start_row(self, attributes: dict[str, str]) -> None:
        written = attributes.get("r", "").strip()
        self.row = self.row + 1 if not written else int(written) if re.fullmatch(r"[0-9]{1,18}", written) else 0
        self.column = -1
        if 0 < self.row <= LAST_ROW and _true(attributes.get("hidden")):
            self.filling.hidden_rows.add(self.row)

    def _start_cell(self, attributes: dict[str, str]) -> None:
        self.filling.count(1)
        written = attributes.get("r", "").strip()
        if written:
            place = parse_address(written)
        else:
            known = 0 < self.row <= LAST_ROW and self.column < LAST_COLUMN
            place = (self.row, self.column + 1) if known else None
            written = f"row {self.row}, column {self.column + 2}"
        if place is not None:
            self.column = place[1]
        style = attributes.get("s", "").strip()
        number = int(style) if re.fullmatch(r"[0-9]{1,9}", style) else -1
        self._cell = _Cell(place, written, attributes.get("t", "n").strip(), number)

    def _start_value(self, _: dict[str, str]) -> None:
        if self._cell is not None:
            self._taker = []
            self._cell.values.append(self._taker)

    def _start_formula(self, _: dict[str, str]) -> None:
        if self._cell is not None:
            self._taker = self._cell.formula = []

    def _start_inline(self, _: dict[str, str]) -> None:
        if self._cell is not None:
            self._cell.inline = self._cell.inline or []

    def _start_inline_text(self, _: dict[str, str]) -> None:
        if self._cell is not None and self._cell.inline is not None:
            self._taker = self._cell.inline

    def _end_cell(self, cell: _Cell) -> None:
        value = self._value(cell)
        if cell.place is None:
            self.filling.put_outside(cell.written, value)
        else:
            self.filling.put(*cell.place, value)
        self._cell = self._taker = None

    def _value(self, cell: _Cell) -> Any:
        """Return the value of a cell: number, text, date, or what is wrong with it."""
        inline = None if cell.inline is None else cell_values.plain_text("".join(cell.inline))
        values = ["".join(pieces) for pieces in cell.values]
        different = sorted({text.strip() for text in (*values, inline or "")} - {""})
        if len(different) > 1:
            return Unreadable(different[0], f"it holds several values, {different[0]} and {different[1]}")
        if inline:
            return inline
        text = next((text for text in values if text.strip()), values[0] if values else "")
        if cell.kind == "e" and (text or cell.formula is not None or not cell.values):
            return cell_values.error_of(text)
        if not text.strip():
            return self._blank(cell, text)
        return self.meaning(cell.kind, cell.style, text)

    @staticmethod
    def _blank(cell: _Cell, text: str) -> Any:
        if cell.formula is None or cell.kind in ("str", "inlineStr"):
            return text if cell.kind == "str" else ""
        formula = "".join(cell.formula)
        return Uncalculated(f"={formula}" if formula else "a formula")

    def meaning(self, kind: str, style: int, text: str) -> Any:
        """Return what a text means in a cell of a kind and format."""
        if kind == "n":
            return self.formats.shown(cell_values.number_of(text), style)
        if kind == "s":
            return cell_values.shared_text(text, self.texts())
        if kind in ("str", "inlineStr"):
            return cell_values.plain_text(text)
        if kind in _MEANINGS:
            return _MEANINGS[kind](text)
        return Unreadable(text, f"it is of the unknown type {kind[:20]}")

    def _start_column(self, attributes: dict[str, str]) -> None:
        first, last = (attributes.get(name, "").strip() for name in ("min", "max"))
        if _true(attributes.get("hidden")) and re.fullmatch(r"[0-9]{1,9} [0-9]{1,9}", f"{first} {last}"):
            self.filling.hidden_columns.update(range(max(int(first), 1) - 1, min(int(last), LAST_COLUMN + 1)))

    def _start_merged(self, attributes: dict[str, str]) -> None:
        merged = parse_range(attributes.get("ref", ""))
        if merged is not None:
            self.filling.merged.append(merged)


_MEANINGS: dict[str, Callable[[str], Any]] = {
    "b": cell_values.truth_of,
    "d": cell_values.iso_date_of,
    "e": cell_values.error_of,
}
_ALTERNATIVES = frozenset(
    f"http://schemas.openxmlformats.org/markup-compatibility/2006 {name}"
    for name in ("AlternateContent", "Choice", "Fallback")
)
_WITHOUT_CELLS = frozenset({"extLst", "rPh", "phoneticPr", "rPr"})
_STARTS: dict[tuple[str, str], Callable[[_Elements, dict[str, str]], None]] = {
    ("sheetData", "row"): _Elements._start_row,
    ("row", "c"): _Elements._start_cell,
    ("c", "v"): _Elements._start_value,
    ("c", "f"): _Elements._start_formula,
    ("c", "is"): _Elements._start_inline,
    ("is", "t"): _Elements._start_inline_text,
    ("r", "t"): _Elements._start_inline_text,
    ("cols", "col"): _Elements._start_column,
    ("mergeCells", "mergeCell"): _Elements._start_merged,
}


def _true(text: str | None) -> bool:
    return text is not None and text.strip() in ("1", "true", "on")
