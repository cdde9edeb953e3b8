"""One table of a workbook as raw cells that know their address, before anything is understood."""

import bisect
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from bodytest.grids.quoting import Records

HEAD_ROWS = 60
"""How many rows from the top are searched for headings."""
LAST_ROW, LAST_COLUMN = 1_048_576, 16_383
"""Where a sheet of every spreadsheet program ends: its last row (from 1) and last column (from 0, XFD)."""


class Place(NamedTuple):
    """A cell of a workbook."""

    table: str
    """Its tab."""
    row: int
    """Its row, from 1."""
    column: int
    """Its column, from 0."""


@dataclass(frozen=True)
class CellError:
    """A cell in which the spreadsheet program shows an error."""

    shown: str
    """What it shows, e.g. ``#DIV/0!``."""
    code: ClassVar[str] = "error-cell"

    @property
    def words(self) -> dict[str, Any]:
        """Further words of its finding."""
        return {}


@dataclass(frozen=True)
class Unreadable(CellError):
    """A cell that holds something, of which the file does not say what."""

    why: str = ""
    """What is wrong, in a few words."""
    code: ClassVar[str] = "cell-unreadable"

    @property
    def words(self) -> dict[str, Any]:
        """Further words of its finding."""
        return {"why": self.why}


@dataclass(frozen=True)
class Uncalculated:
    """A formula without a stored result."""

    formula: str
    """The formula, ``=…``."""


@dataclass(frozen=True)
class Oddity:
    """Something that a file holds and its table cannot, to be written down as a finding."""

    code: str
    """Code of the finding."""
    value: object
    """What the file holds."""
    row: int | None = None
    """Row, from 1; None for what stands nowhere."""
    column: int | None = None
    """Column, from 0."""
    words: dict[str, Any] = field(default_factory=dict)
    """Further words of the finding."""
    others: tuple[tuple[int, int], ...] = ()
    """Rows and columns of further cells of which the finding speaks."""

    @property
    def places(self) -> tuple[tuple[int, int], ...]:
        """Rows and columns of all cells of which the finding speaks."""
        return self.others if self.row is None or self.column is None else ((self.row, self.column), *self.others)


@dataclass(frozen=True)
class Body:
    """The rows below a heading row, as columns."""

    rows: np.ndarray
    """Row in the spreadsheet of each entry."""
    columns: tuple[np.ndarray, ...]
    """One array a column: float (NaN = blank) or object (``""`` = blank)."""


@dataclass
class Grid:
    """The cells of one table."""

    name: str
    """Name of the table in the workbook."""
    rows: list[list[Any]]
    """Cells by row, from the spreadsheet's first column on; ``""`` is blank, `numbers` says which rows these are."""
    hidden: bool = False
    """Is the whole table hidden?"""
    hidden_rows: frozenset[int] = frozenset()
    """Spreadsheet rows that are hidden."""
    hidden_columns: frozenset[int] = frozenset()
    """Columns (0-based) that are hidden."""
    merged: tuple[tuple[int, int, int, int], ...] = ()
    """Merged ranges: first row, first column, last row, last column (rows from 1, columns from 0)."""
    numbers: tuple[int, ...] = field(default=())
    """Spreadsheet rows of ``rows``, upwards: those of a workbook that hold something; blank means 1, 2, 3 …"""
    oddities: tuple[Oddity, ...] = ()
    """What the file holds besides and no cell of ``rows`` does."""

    def head(self) -> list[tuple[int, list[Any]]]:
        """Return the top rows with their numbers."""
        return [(self.row_number(i), row) for i, row in enumerate(self.rows[:HEAD_ROWS])]

    def below_headings(self, index: int) -> Iterator[tuple[int, list[Any]]]:
        """Yield the rows from ``index`` on with their numbers."""
        for i in range(index, len(self.rows)):
            yield self.row_number(i), self.rows[i]

    def row_number(self, index: int) -> int:
        """Return the spreadsheet row of an entry of ``rows``."""
        return self.numbers[index] if self.numbers else index + 1

    def filled(self) -> dict[int, np.ndarray]:
        """Return the spreadsheet rows of the filled cells of each column, from the top down."""
        rows: dict[int, list[int]] = {}
        whole: dict[int, list[int]] = {}
        for number, cells in zip(self.numbers or range(1, len(self.rows) + 1), self.rows, strict=True):
            if "" not in cells:
                whole.setdefault(len(cells), []).append(number)
                continue
            for column, cell in enumerate(cells):
                if cell != "":
                    rows.setdefault(column, []).append(number)
        for width, numbers in whole.items():
            for column in range(width):
                rows.setdefault(column, []).extend(numbers)
        for row, column in (place for odd in self.oddities for place in odd.places):
            if self.cell(row, column) == "":
                rows.setdefault(column, []).append(row)
        return {column: np.sort(np.array(numbers, dtype=np.int64)) for column, numbers in rows.items()}

    def cell(self, row: int, column: int) -> Any:
        """Return what stands in a spreadsheet row (from 1) and column (from 0); ``""`` where nothing does."""
        index = bisect.bisect_left(self.numbers, row) if self.numbers else row - 1
        if not 0 <= index < len(self.rows) or self.row_number(index) != row:
            return ""
        return self.rows[index][column] if 0 <= column < len(self.rows[index]) else ""

    def records(self) -> "Records | None":
        """Return how a text table falls into cells; None for a workbook, whose cells are apart anyway."""
        return None

    def below(self, index: int, width: int, texts: frozenset[int]) -> Body:
        """Return ``width`` columns of the rows from ``index`` on; ``texts`` are columns that stay as typed."""
        kept = [
            i for i in range(index, len(self.rows)) if any(self.rows[i]) or any(cell != "" for cell in self.rows[i])
        ]
        columns = list(zip_longest(*(self.rows[i][:width] for i in kept), fillvalue=""))
        columns += [("",) * len(kept)] * (width - len(columns))
        rows = np.array([self.row_number(i) for i in kept], dtype=np.int64)
        return Body(rows, tuple(_column(cells, number not in texts) for number, cells in enumerate(columns)))


def _column(cells: Sequence[Any], numeric: bool) -> np.ndarray:
    """Return a column as floats where it may be and holds nothing but numbers, else as objects."""
    if numeric and (numbers := [*map(type, cells)].count(float)):
        if numbers == len(cells):
            return np.array(cells, dtype=float)
        if numbers + cells.count("") == len(cells):
            return np.array([math.nan if cell == "" else cell for cell in cells], dtype=float)
    column = np.empty(len(cells), dtype=object)
    column[:] = cells
    return column


def without_blank_end(row: list[Any]) -> list[Any]:
    """Return a row as far as it is filled.

    >>> without_blank_end([1.0, "", "A", "", ""])
    [1.0, '', 'A']
    """
    end = len(row)
    while end and row[end - 1] == "":
        end -= 1
    return row[:end]


def column_letters(column: int) -> str:
    """Return the letters of a 0-based column.

    >>> column_letters(0), column_letters(25), column_letters(26), column_letters(701)
    ('A', 'Z', 'AA', 'ZZ')
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def column_index(letters: str) -> int:
    """Return the 0-based column of its letters.

    >>> column_index("A"), column_index("AA")
    (0, 26)
    """
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1


_ADDRESS = re.compile(r"\s*\$?([A-Za-z]{1,3})\$?([0-9]{1,7})\s*")


def address(table: str, row: int, column: int) -> str:
    """Return a cell's address as people know it.

    >>> address("Bars", 12, 5)
    'Bars!F12'
    """
    return f"{table}!{column_letters(column)}{row}"


def parse_address(text: str) -> tuple[int, int] | None:
    """Read ``B2`` as row and column; None when no sheet has such a cell.

    >>> parse_address("b2"), parse_address("XFD1048576"), parse_address("ZZZZZZZZ4")
    ((2, 1), (1048576, 16383), None)
    """
    found = _ADDRESS.fullmatch(text)
    if found is None:
        return None
    row, column = int(found[2]), column_index(found[1].upper())
    return (row, column) if 1 <= row <= LAST_ROW and column <= LAST_COLUMN else None


def parse_range(text: str) -> tuple[int, int, int, int] | None:
    """Read ``B2:C5`` as first row, first column, last row, last column; None when it is none.

    >>> parse_range("B2:C5")
    (2, 1, 5, 2)
    """
    ends = [parse_address(part) for part in text.split(":", 2)]
    corners = [end for end in ends if end is not None]
    return (*corners[0], *corners[-1]) if len(corners) == len(ends) <= 2 else None
