"""The account of one table: each filled cell is used, named in a finding, or set aside for a reason that is listed."""

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Literal

import numpy as np

from bodytest.grids.grid import Place

Reason = Literal[
    "title",
    "heading not read",
    "computed column",
    "column not read",
    "under no heading",
    "row not read",
    "total row",
    "headings again",
    "remark",
    "explanation",
    "line left blank",
    "guide",
    "names for lists",
    "list of findings",
    "where nothing is read",
    "table not read",
    "names no firing",
    "told at each stage",
    "under a merged cell",
    "dash for nothing",
    "only blanks",
    "copy of another file",
    "the same reading in another copy",
]
"""Why a cell is set aside, in the words that ``check`` prints."""
Rows = np.ndarray | range | int | None
"""Spreadsheet rows: each of them, a run from … to before …, a single one, or None for all."""
_OPEN, _USED, _NAMED, _FIRST_REASON = 0, 1, 2, 3


class Account:
    """What became of each filled cell of a table: the first mark stays, except that what a finding names is named.

    Cells that are not filled may be marked too; nothing is counted for them.

    >>> account = Account(lambda: {0: np.array([1, 2, 3]), 4: np.array([2])})
    >>> account.set_aside("title", rows=1)
    >>> account.use(0, np.array([1, 2, 9]))
    >>> account.counts(), account.left()
    ((1, 0, {'title': 1}), [(3, 0), (2, 4)])
    """

    def __init__(self, filled: Callable[[], Mapping[int, np.ndarray]]) -> None:
        self._filled = filled
        self._rows: Mapping[int, np.ndarray] | None = None
        self._states: dict[int, np.ndarray] = {}
        self._reasons: list[Reason] = []

    @property
    def rows(self) -> Mapping[int, np.ndarray]:
        """Spreadsheet rows of the filled cells of each column, ascending; found out when first asked for."""
        if self._rows is None:
            self._rows = {column: rows for column, rows in self._filled().items() if len(rows)}
            self._states = {column: np.zeros(len(rows), dtype=np.uint8) for column, rows in self._rows.items()}
        return self._rows

    @property
    def filled(self) -> int:
        """Number of filled cells."""
        return sum(map(len, self.rows.values()))

    def use(self, column: int, rows: Rows = None) -> None:
        """Mark cells whose values went into a table."""
        self._mark(column, rows, _USED)

    def set_aside(self, reason: Reason, *, columns: Iterable[int] | None = None, rows: Rows = None) -> None:
        """Mark what is left open of some columns and rows as not used, and why."""
        if reason not in self._reasons:
            self._reasons.append(reason)
        state = _FIRST_REASON + self._reasons.index(reason)
        for column in self.rows if columns is None else columns:
            self._mark(column, rows, state)

    def reopen(self, column: int | None = None, rows: Rows = None) -> None:
        """Take marks back: what was used is not used after all."""
        for place in self.rows if column is None else (column,):
            if place in self.rows:
                self._states[place][_positions(self.rows[place], rows)] = _OPEN

    def name(self, cells: Collection[tuple[int, int]]) -> None:
        """Mark cells, given as row and column, as named in findings."""
        by_column: dict[int, list[int]] = {}
        for row, column in cells:
            by_column.setdefault(column, []).append(row)
        for column, rows in by_column.items():
            if column in self.rows:
                self._states[column][_positions(self.rows[column], np.array(rows))] = _NAMED

    def counts(self) -> tuple[int, int, dict[str, int]]:
        """Return how many cells were used, named, and set aside for each reason."""
        total = np.zeros(_FIRST_REASON + len(self._reasons), dtype=np.int64)
        for column in self.rows:
            total += np.bincount(self._states[column], minlength=len(total))
        aside: dict[str, int] = dict(zip(self._reasons, total[_FIRST_REASON:].tolist(), strict=True))
        return int(total[_USED]), int(total[_NAMED]), {reason: n for reason, n in aside.items() if n}

    def hand_over(self, places: Mapping[tuple[int, int], Iterable[Place]], accounts: "Mapping[str, Account]") -> None:
        """Mark the cells that those of this table came from as these are marked; what is named counts most."""
        marks: dict[tuple[int, str, int], list[int]] = {}
        for column, rows in self.rows.items():
            for row, state in zip(rows.tolist(), self._states[column].tolist(), strict=True):
                for place in places.get((row, column), ()):
                    marks.setdefault((state, place.table, place.column), []).append(place.row)
        for state in (_NAMED, _USED, *range(_FIRST_REASON, _FIRST_REASON + len(self._reasons))):
            for (found, table, column), rows_there in marks.items():
                if found != state:
                    continue
                there = np.unique(rows_there)
                if state == _NAMED:
                    accounts[table].name([(int(row), column) for row in there])
                elif state == _USED:
                    accounts[table].use(column, there)
                else:
                    accounts[table].set_aside(self._reasons[state - _FIRST_REASON], columns=[column], rows=there)

    def left(self) -> list[tuple[int, int]]:
        """Return row and column of the cells without any mark."""
        open_cells = ((column, self.rows[column][self._states[column] == _OPEN]) for column in self.rows)
        return [(int(row), column) for column, rows in open_cells for row in rows]

    def _mark(self, column: int, rows: Rows, state: int) -> None:
        if column not in self.rows:
            return
        states = self._states[column]
        places = _positions(self.rows[column], rows)
        if isinstance(places, slice):
            states[places][states[places] == _OPEN] = state
        else:
            states[places[states[places] == _OPEN]] = state


def _positions(own: np.ndarray, rows: Rows) -> "slice | np.ndarray":
    """Return where some of the rows stand among a column's own ones."""
    if rows is None:
        return slice(None)
    if isinstance(rows, int):
        rows = range(rows, rows + 1)
    if isinstance(rows, range):
        return slice(*np.searchsorted(own, (rows.start, rows.stop)).tolist())
    start = len(own) - len(rows)
    if start >= 0 and np.array_equal(own[start:], rows):
        return slice(start, None)
    at = np.searchsorted(own, rows)
    there = at < len(own)
    return np.asarray(at[there][own[at[there]] == rows[there]])
