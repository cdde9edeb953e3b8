"""The bars of all workbooks in one table, each text and reading with the way back to its cell."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bodytest.intake.bars import BarsAndMarks, SheetBars
from bodytest.intake.cells import factor, in_its_unit
from bodytest.intake.merging import Grouping, group_by
from bodytest.lab.record import BEFORE_FIRING, Reading
from bodytest.quantities import READING_BY_KEY
from bodytest.tables import BAR_COLUMNS, BAR_TEXTS, MARK_COLUMNS, Lab, empty_table


@dataclass
class AllBars(BarsAndMarks):
    """The bars of all workbooks."""

    tables: list[SheetBars]
    """The tables of bars that they come from."""
    labs: Sequence[Lab]
    """The Lab table of each workbook."""
    rows: dict[str, np.ndarray]
    """Spreadsheet row of each entry, by key of the text or reading."""
    table_of: dict[str, np.ndarray]
    """Position in ``tables`` of each entry, by key."""
    books: np.ndarray
    """Number of each workbook; states of one sheet have one number."""
    codes: np.ndarray
    """The code of each bar as a number; one code in two workbooks is two numbers unless they hold the same bars."""

    def __len__(self) -> int:
        return len(self.bars)

    def book_of_bar(self) -> np.ndarray:
        """Return the number of each bar's workbook, as in ``books``."""
        return np.asarray(self.books[self.bars["sheet"].to_numpy(dtype=np.int64)])

    def steps(self, instrument: str) -> np.ndarray:
        """Return the reading step of each bar's workbook, 0 where it is not known."""
        by_sheet = np.array([lab.step(instrument) or 0.0 for lab in self.labs])
        return np.asarray(by_sheet[self.bars["sheet"].to_numpy(dtype=np.int64)])

    def has_column(self, key: str) -> np.ndarray:
        """Tell which bars stand in a table that has a column."""
        by_table = np.array([key in table.places for table in self.tables], dtype=bool)
        return np.asarray(by_table[self.table_of["bar"]])

    def table(self, key: str, entry: int) -> SheetBars:
        """Return the table that one entry comes from."""
        return self.tables[int(self.table_of[key][entry])]

    def tell(self, code: str, key: str, entry: int, **words: Any) -> None:
        """Write down a finding about the cell of one entry of a bar, a number as ``value`` in the unit of the cell."""
        table, row = self.table(key, entry), int(self.rows[key][entry])
        of_mark = key in READING_BY_KEY and READING_BY_KEY[key].of_mark
        words = {"bar": self.bars["bar"].iloc[self.bar_of_mark()[entry] if of_mark else entry], **words}
        if isinstance(value := words.get("value"), float):
            words["value"] = value / factor(table.unit(key))
        table.notes.add(code, table=table.table, row=row, column=table.places.get(key), **words)

    def mention(self, key: str, entries: np.ndarray) -> None:
        """Remember the cells of entries that a finding about another cell speaks of."""
        for entry in entries.tolist():
            table = self.table(key, entry)
            table.notes.mention(table.table, int(self.rows[key][entry]), table.places[key])

    def shown(self, key: str, entry: int, number: float) -> str:
        """Return a number that is held as readings of a key are, in the unit of one entry's column."""
        return in_its_unit(number, self.table(key, entry).unit(key))

    def is_told(self, key: str, entry: int) -> bool:
        """Tell whether something was written down about the cell of one entry."""
        table = self.table(key, entry)
        column = table.places.get(key)
        return column is not None and table.notes.knows(table.table, int(self.rows[key][entry]), column)

    def cell(self, key: str, entry: int, beside: SheetBars | None = None) -> str:
        """Return the cell of one entry for people, with its file unless a table of the same one stands beside it."""
        table = self.table(key, entry)
        cell = table.notes.address(table.table, int(self.rows[key][entry]), table.places.get(key, 0))
        return cell if beside and beside.notes is table.notes else f"{table.notes.sheet}, {cell}"

    def forget(self, key: str, entries: np.ndarray) -> None:
        """Blank readings that cannot be used."""
        reading = READING_BY_KEY[key]
        values = self.values(key).copy()
        values[entries] = np.nan
        self.frame_of(reading)[reading.column] = values
        tables = self.table_of[key][entries]
        for number in np.unique(tables).tolist():
            table = self.tables[number]
            table.account.reopen(table.places.get(key), self.rows[key][entries[tables == number]])


def all_bars(tables: list[SheetBars], labs: Sequence[Lab]) -> AllBars:
    """Put the bars and marks of all workbooks below each other."""
    books = np.arange(len(labs))
    if not tables:
        bars, marks, none = empty_table(BAR_COLUMNS), empty_table(MARK_COLUMNS), np.array([], dtype=np.int64)
        return AllBars(bars, marks, [], labs, {}, {"bar": none}, books, none)
    counts = [len(table.bars) for table in tables]
    starts = np.cumsum([0, *counts[:-1]]).tolist()
    bars = pd.concat([table.bars for table in tables], ignore_index=True)
    marks = pd.concat(
        [t.marks.assign(bar_row=t.marks["bar_row"] + start) for t, start in zip(tables, starts, strict=True)],
        ignore_index=True,
    )
    of_bar = np.repeat(np.arange(len(tables)), counts)
    of_mark = np.repeat(np.arange(len(tables)), [len(table.marks) for table in tables])
    rows = dict.fromkeys(BAR_TEXTS, bars["row"].to_numpy(dtype=np.int64))
    table_of = dict.fromkeys(BAR_TEXTS, of_bar)
    codes = group_by([of_bar, np.concatenate([table.codes for table in tables])]).ids
    every = AllBars(bars, marks, tables, labs, rows, table_of, books, codes)
    for reading in every.typed:
        rows[reading.key] = np.concatenate([t.rows.get(reading.key, t.bars["row"].to_numpy()) for t in tables])
        table_of[reading.key] = of_mark if reading.of_mark else of_bar
    return every


def complete_refired(every: AllBars) -> None:
    """Give bars that were fired again the wet and dry readings of their first row."""
    by_identity = group_by([every.codes, *(every.texts(key) for key in ("body", "batch"))])
    if by_identity.all_single:
        return
    by_mark = group_by([by_identity.ids[every.bar_of_mark()], every.marks["mark"].to_numpy(dtype=object)])
    for reading in every.typed:
        if reading.stage in BEFORE_FIRING:
            _complete(every, reading, by_mark if reading.of_mark else by_identity)


def _complete(every: AllBars, reading: Reading, grouping: Grouping) -> None:
    key, values = reading.key, every.values(reading.key).copy()
    given = np.flatnonzero(~np.isnan(values))
    source = grouping.first_of(given)[grouping.ids]
    blank = np.flatnonzero(np.isnan(values) & ~np.isnan(values[source]))
    taken = source[blank]
    values[blank] = values[taken]
    for way_back in (every.rows, every.table_of):
        way_back[key] = way_back[key].copy()
        way_back[key][blank] = way_back[key][taken]
    every.frame_of(reading)[reading.column] = values
