"""A table while it is filled, cell by cell in any order: sparse, and bounded whatever a file asks for."""

from dataclasses import dataclass, field
from typing import Any

from bodytest.grids.grid import LAST_COLUMN, LAST_ROW, Grid, Oddity, Unreadable, without_blank_end
from bodytest.grids.notebook import shown_value
from bodytest.grids.xml_parts import HarmfulPart

MOST_CELLS = 20_000_000
"""Cells that a table may hold: more than a million bars with every reading."""
MOST_FAR = 100_000
"""Cells far to the right of all others that are kept to be named."""
FREE_GAP = 32
"""Blank columns between two cells of a row that cost little enough not to be counted."""
MOST_BLANKS = 4_000_000
"""Blank columns in wider gaps that a table may hold in all: one cell in column XFD takes 16 thousand."""
MOST_REPEATS = 200_000
"""Cells of a table that may come of one cell or row being repeated."""
MOST_NAMED = 20
"""Cells without a place in any sheet that are named one by one."""


@dataclass
class Filling:
    """Collects the cells of one table."""

    name: str
    """Name of the table."""
    lines: dict[int, list[Any]] = field(default_factory=dict)
    """Cells by spreadsheet row."""
    hidden_rows: set[int] = field(default_factory=set)
    """Hidden rows."""
    hidden_columns: set[int] = field(default_factory=set)
    """Hidden columns, from 0."""
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    """Merged ranges."""
    last: int = 0
    """Greatest row so far."""
    _far: dict[tuple[int, int], Any] = field(default_factory=dict)
    _outside: list[tuple[str, Any]] = field(default_factory=list)
    _oddities: list[Oddity] = field(default_factory=list)
    _cells: int = 0
    _blanks: int = MOST_BLANKS
    _repeats: int = MOST_REPEATS
    _unplaced: int = 0

    def count(self, cells: int) -> None:
        """Count cells that the file holds, blank ones too.

        Raises:
            HarmfulPart: they are too many.
        """
        self._cells += cells
        if self._cells > MOST_CELLS:
            raise HarmfulPart(f"the table {self.name} holds more than {MOST_CELLS // 1_000_000} million cells")

    def put(self, row: int, column: int, value: Any) -> None:
        """Put a value into a cell; one that holds another value already becomes unreadable."""
        if value == "":
            return
        line = self.lines.setdefault(row, [])
        self.last = max(self.last, row)
        gap = column - len(line)
        if gap < 0:
            line[column] = value if line[column] == "" else _either(line[column], value)
        elif gap > FREE_GAP and gap > self._blanks:
            self._put_far(row, column, value)
        else:
            self._blanks -= gap if gap > FREE_GAP else 0
            line.extend([""] * gap)
            line.append(value)

    def put_row(self, row: int, line: list[Any]) -> None:
        """Put a whole row below all others."""
        if line := without_blank_end(line):
            self.lines[row] = line
            self.last = row

    def _put_far(self, row: int, column: int, value: Any) -> None:
        before = self._far.get((row, column), "")
        self._far[row, column] = value if before == "" else _either(before, value)
        if len(self._far) > MOST_FAR:
            raise HarmfulPart(f"in the table {self.name} more than {MOST_FAR} cells stand far to the right")

    def put_outside(self, place: str, value: Any) -> None:
        """Remember a value at a place that no sheet has."""
        if value == "":
            return
        self._unplaced += 1
        if len(self._outside) < MOST_NAMED:
            self._outside.append((place, value))

    def repeat(self, row: int, cells: list[tuple[int, int, Any]], times: int) -> None:
        """Put cells, each given as column, number of columns and value, into a row and those below it."""
        last = min(row + times - 1, LAST_ROW)
        asked = sum(wide for _, wide, _ in cells) * times
        whole = asked - len(cells) <= self._repeats and row + times - 1 <= LAST_ROW
        if whole:
            self._repeats -= asked - len(cells)
        for column, wide, value in cells:
            if row > LAST_ROW or column > LAST_COLUMN:
                self.put_outside(f"row {row}, column {column + 1}", value)
                continue
            if not whole and wide * times > 1:
                words: dict[str, object] = {"times": wide * times}
                self._oddities.append(Oddity("cell-repeated", shown_value(value), row, column, words))
            elif column + wide > LAST_COLUMN + 1:
                self.put_outside(f"column {LAST_COLUMN + 2}", value)
            for number in range(row, (last if whole else row) + 1):
                for place in range(column, min(column + (wide if whole else 1), LAST_COLUMN + 1)):
                    self.put(number, place, value)

    def finish(self, *, hidden: bool = False) -> Grid:
        """Return the table as a grid."""
        lines = {row: line for row in sorted(self.lines) if (line := self.lines[row])}
        width = max((len(line) for line in lines.values()), default=0)
        bottom = max(lines, default=0)
        merged = dict.fromkeys(
            (top, left, min(low, bottom), min(right, width - 1))
            for top, left, low, right in self.merged
            if top <= bottom and left < width
        )
        return Grid(
            self.name,
            list(lines.values()),
            hidden=hidden,
            hidden_rows=frozenset(self.hidden_rows),
            hidden_columns=frozenset(self.hidden_columns),
            merged=tuple(merged),
            numbers=tuple(lines),
            oddities=(*self._oddities, *self._far_oddities(), *self._outside_oddities()),
        )

    def _far_oddities(self) -> list[Oddity]:
        """Return one oddity for each column far out."""
        columns: dict[int, list[int]] = {}
        for row, column in sorted(self._far):
            columns.setdefault(column, []).append(row)
        return [
            Oddity(
                "cell-far-out",
                shown_value(self._far[rows[0], column]),
                rows[0],
                column,
                {"others": f", like {len(rows) - 1} more below it," if len(rows) > 1 else ""},
                tuple((row, column) for row in rows[1:]),
            )
            for column, rows in columns.items()
        ]

    def _outside_oddities(self) -> list[Oddity]:
        more = self._unplaced - len(self._outside)
        rest = f" So do {more} more cells." if more else ""
        return [
            Oddity("cell-outside", shown_value(value), words={"place": place[:40], "more": rest})
            for place, value in self._outside
        ]


def _either(one: Any, other: Any) -> Any:
    """Return the value of a cell that is given twice: neither of two values wins."""
    if (type(one), one) == (type(other), other) or (isinstance(one, Unreadable) and "twice" in one.why):
        return one
    return Unreadable(shown_value(one), f"it is there twice, as {shown_value(one)} and as {shown_value(other)}")
