"""Text tables (.csv, .tsv, .txt): encoding, delimiter and decimal sign found out, then read in columns."""

import dataclasses
import io
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

import numpy as np

from bodytest.grids.filling import MOST_NAMED
from bodytest.grids.grid import HEAD_ROWS, LAST_COLUMN, Body, Grid, Oddity, without_blank_end
from bodytest.grids.quoting import Records, cells, records

TABLE = "Bars"
"""What the one table of a text file is called in addresses."""
HEAD_TEXT = 1_000_000
"""Characters from the start among which headings are looked for."""
MOST_ASKED = 1000
"""Columns whose headings tell the sign between cells."""
DECIMAL = r"[+-]?(?:\d*,(?:\d{1,2}|\d{4,})|(?:0\d*|\d{4,}),\d{3})(?![\d.,])"
"""A comma that can only be a decimal one: 45,12 and 0,123 and 1234,567."""
_DELIMITERS = (";", "\t", ",", "|")
_AND_BELOW = " So do more cells of this row and of rows below it."
_COMMA_NUMBER = re.compile(r"^\s*[+-]?\d+,\d+\s*$")
_POINT_NUMBER = re.compile(r"^\s*[+-]?\d*\.\d+\s*$")


class NotText(Exception):
    """The bytes are no text in any encoding that spreadsheet programs write."""


@dataclass
class TextGrid(Grid):
    """A text table; its body is read in columns at once instead of cell by cell."""

    content: str = ""
    """The whole text."""
    delimiter: str = ","
    """Sign between cells."""
    wide: bool = False
    """Has it a row with more cells than a sheet is wide?"""
    first_cells: list[tuple[int, list[Any]]] | None = None
    """Of a large table, once read in columns: the first filled cell of each column, as a row of its own."""
    filled_rows: dict[int, np.ndarray] | None = None
    """Once read: the rows of the filled cells of each column."""

    def below_headings(self, index: int) -> Iterator[tuple[int, list[Any]]]:
        """Yield the rows from ``index`` on with their numbers; of a large even table one row for each column."""
        if self.first_cells is not None:
            yield from self.first_cells
            return
        for i, row in enumerate(_rows(self.content, self.delimiter)):
            if i >= index:
                yield i + 1, row

    def filled(self) -> dict[int, np.ndarray]:
        """Return the rows of the filled cells of each column."""
        if self.filled_rows is None:
            self.filled_rows = self._cell_by_cell().filled()
        return self.filled_rows

    def _cell_by_cell(self) -> Grid:
        return Grid(self.name, list(_rows(self.content, self.delimiter)))

    def records(self) -> Records:
        """Return how the text falls into cells."""
        return records(self.content, self.delimiter)

    def below(self, index: int, width: int, texts: frozenset[int]) -> Body:
        """Return the columns below a heading row; see `Grid.below`."""
        try:
            return self._columns(index, width, texts)
        except (ValueError, Warning):  # rows of unequal length: cell by cell
            whole = self._cell_by_cell()
            self.filled_rows = whole.filled()
            return whole.below(index, width, texts)

    def _columns(self, index: int, width: int, texts: frozenset[int]) -> Body:
        if self.wide:
            raise ValueError("more cells in a row than a table of columns should have")
        widest = max([width, *(len(row) for row in self.rows)])
        read = self._parsed(index, widest, texts)
        cells_of = [_column(read[c]) for c in range(widest)]
        told = [cells != "" if cells.dtype == object else ~np.isnan(cells) for cells in cells_of]
        if len(self.content) > HEAD_TEXT:
            self.first_cells = [_first_cell(read[c], told[c], index) for c in range(widest)]
        above = Grid(self.name, self.rows[:index]).filled()
        below = [np.flatnonzero(cells) + index + 1 for cells in told]
        self.filled_rows = {c: np.concatenate([above.get(c, _NO_ROWS), below[c]]) for c in range(widest)}
        filled = np.logical_or.reduce(told)
        columns = tuple(cells[filled] for cells in cells_of[:width])
        return Body((np.flatnonzero(filled) + index + 1).astype(np.int64), columns)

    def _parsed(self, index: int, widest: int, texts: frozenset[int]) -> Any:
        """Return the rows below the headings as pandas reads them."""
        import warnings

        import pandas as pd

        text = self.content[_end_of_record(self.content, self.delimiter, index) :]
        blanks: Any = {c: [""] for c in range(widest) if c not in texts}
        with warnings.catch_warnings():
            warnings.simplefilter("error", pd.errors.ParserWarning)
            return pd.read_csv(
                io.StringIO(text),
                sep=self.delimiter,
                header=None,
                names=range(widest),
                index_col=False,
                dtype=dict.fromkeys(texts, object),
                keep_default_na=False,
                na_values=blanks,
                skip_blank_lines=False,
                low_memory=False,
                decimal="," if self._decimal_comma() else ".",
            )

    def _decimal_comma(self) -> bool:
        if self.delimiter == ",":
            return False
        top = [cell for row in self.rows for cell in row]
        if not any(_COMMA_NUMBER.match(c) for c in top) or any(_POINT_NUMBER.match(c) for c in top):
            return False
        sign = re.escape(self.delimiter)  # commas that may stand between thousands stay as typed
        return re.search(rf'(?:^|{sign})[ "]*{DECIMAL}[ "]*(?:$|{sign})', self.content, re.MULTILINE) is not None


_NO_ROWS = np.array([], dtype=np.int64)


def _rows(text: str, delimiter: str) -> Iterator[list[Any]]:
    """Yield the cells of each row as far as a sheet is wide, without blank ones at its end when it is wider."""
    for row in cells(text, delimiter):
        yield row if len(row) <= LAST_COLUMN else without_blank_end(row[: LAST_COLUMN + 1])


def _outside(text: str, delimiter: str) -> tuple[Oddity, ...]:
    """Return the cells further to the right than any sheet is wide: the first of each row, and how many more."""
    found: list[Oddity] = []
    for number, row in enumerate(cells(text, delimiter), start=1):
        beyond = [column for column in range(LAST_COLUMN + 1, len(row)) if row[column].strip()]
        if beyond and len(found) < MOST_NAMED:
            more = f" So do {len(beyond) - 1} more cells of this row." if len(beyond) > 1 else ""
            place = f"row {number}, column {beyond[0] + 1}"
            found.append(Oddity("cell-outside", row[beyond[0]], words={"place": place, "more": more}))
        elif beyond:
            return (*found[:-1], dataclasses.replace(found[-1], words={**found[-1].words, "more": _AND_BELOW}))
    return tuple(found)


def _may_be_too_wide(text: str, delimiter: str) -> bool:
    """Tell whether a row may have more cells than a sheet is wide; it is a long line then, unless marks quote."""
    if text.count(delimiter) <= LAST_COLUMN or '"' in text:
        return text.count(delimiter) > LAST_COLUMN
    half = LAST_COLUMN // 2
    return any("\n" not in text[place : place + half] for place in range(0, len(text), half))


def _first_cell(values: Any, filled: np.ndarray, index: int) -> tuple[int, list[Any]]:
    """Return the row number of a column's first filled cell and the row with nothing else in it."""
    if not filled.any():
        return index + 1, []
    row = int(filled.argmax())
    return row + index + 1, [*[""] * int(values.name), values.iloc[row]]


def _column(values: Any) -> np.ndarray:
    """Return a column as floats where it is all numbers, else as objects with ``""`` for blank."""
    if values.dtype.kind in "if":
        return np.asarray(values.to_numpy(dtype=float))
    if values.dtype.kind == "b":
        return np.asarray(values.astype(str).to_numpy(dtype=object))
    cells = np.array(values.to_numpy(dtype=object))  # a copy: pandas hands out a read-only view
    cells[values.isna().to_numpy()] = ""
    return cells


def _end_of_record(text: str, delimiter: str, count: int) -> int:
    """Return where the first ``count`` records of the text end."""
    first = islice(cells(text[:HEAD_TEXT], delimiter), count)
    lines = sum(1 + sum(cell.count("\n") for cell in record) for record in first)
    position = 0
    for _ in range(lines):
        position = text.find("\n", position) + 1 or len(text)
    return position


def decode(content: bytes) -> tuple[str, str]:
    """Return the text and the encoding that it was read in.

    >>> decode("Größe".encode("utf-8-sig")), decode("Größe".encode("latin-1"))
    (('Größe', 'UTF-8'), ('Größe', 'Latin-1'))
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="strict"), "UTF-16"
    sample = content[:4096]
    if b"\0" in sample:
        for encoding, at in (("utf-16-le", 1), ("utf-16-be", 0)):
            if sample[at::2].count(0) > 0.8 * len(sample[at::2]):
                return content.decode(encoding), "UTF-16"
        raise NotText
    try:
        return content.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    if sum(not (c.isprintable() or c.isspace()) for c in text[:4096]) > 0.02 * len(text[:4096]):
        raise NotText
    return text, "Latin-1"


def read_delimited(content: bytes, is_heading: Callable[[str], bool]) -> tuple[Grid, str]:
    """Read a text table and say which encoding it was in; ``is_heading`` tells the sign between cells by the headings.

    Raises:
        NotText: it is no text.
    """
    text, encoding = decode(content)
    for sign, plain_sign in (("\r\n", "\n"), ("\r", "\n"), ("\0", "")):
        text = text.replace(sign, plain_sign) if sign in text else text
    delimiter, text = _delimiter(text, is_heading)
    return text_grid(text, delimiter), encoding


def text_grid(text: str, delimiter: str) -> TextGrid:
    """Return the table of a text with line feeds, whose sign between cells is known."""
    wide = _may_be_too_wide(text, delimiter) and any(len(row) > LAST_COLUMN + 1 for row in cells(text, delimiter))
    outside = _outside(text, delimiter) if wide else ()
    return TextGrid(TABLE, _head(text, delimiter), oddities=outside, content=text, delimiter=delimiter, wide=wide)


def _head(text: str, delimiter: str) -> list[list[Any]]:
    rows: list[list[Any]] = []
    for row in _rows(text[:HEAD_TEXT], delimiter):
        rows.append(row)
        if len(rows) == HEAD_ROWS:
            break
    return rows


def _delimiter(text: str, is_heading: Callable[[str], bool]) -> tuple[str, str]:
    """Return the sign between cells, and the text without a line that only names it."""
    first, _, rest = text.partition("\n")
    if first.lower().startswith("sep=") and len(first) == 5:
        return first[4], rest
    top = text[:200_000]
    scores = {sign: _score(top, sign, is_heading) for sign in _DELIMITERS if sign in top}
    if max(scores.values(), default=_NONE) <= _ONE_CELL:
        scores |= {sign: _score(top, sign, is_heading) for sign in _DELIMITERS if sign not in top}
    return max(_DELIMITERS, key=lambda sign: scores.get(sign, _NONE)), text


_NONE, _ONE_CELL = (0, 0), (1, 1)
"""The least score, and the most that a sign can have which stands nowhere: a heading in rows of one cell each."""


def _score(text: str, delimiter: str, is_heading: Callable[[str], bool]) -> tuple[int, int]:
    """Return the most headings and the most cells in a row that a sign between cells makes."""
    rows = _head(text, delimiter)
    known = max((sum(map(is_heading, row[:MOST_ASKED])) for row in rows), default=0)
    return known, max((len(row) for row in rows), default=0)
