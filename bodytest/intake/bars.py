"""The Bars table: rows joined into marks and bars."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bodytest.grids.account import Account
from bodytest.grids.notebook import Notebook
from bodytest.intake.columns import ReadTable
from bodytest.intake.days import read_days
from bodytest.intake.merging import Grouping, fill_blanks, first_texts, group_by, merge_numbers
from bodytest.lab.record import Reading
from bodytest.quantities import DATES, READING_BY_KEY, READINGS, STATED
from bodytest.tables import BAR_COLUMNS, BAR_TEXTS, MARK_COLUMNS


@dataclass
class BarsAndMarks:
    """Bars with their marks; *entries* of a key are marks for lengths, bars for everything else."""

    bars: pd.DataFrame
    """Columns of `bodytest.tables.BAR_COLUMNS`, and what is stated of any of them and when they were measured."""
    marks: pd.DataFrame
    """Columns of `bodytest.tables.MARK_COLUMNS`."""

    def values(self, key: str) -> np.ndarray:
        """Return a reading of each entry."""
        return np.asarray(self.frame_of(READING_BY_KEY[key])[READING_BY_KEY[key].column].to_numpy(dtype=float))

    def texts(self, key: str) -> np.ndarray:
        """Return a text of each bar."""
        return np.asarray(self.bars[key].to_numpy(dtype=object))

    @property
    def typed(self) -> tuple[Reading, ...]:
        """All readings, and the quantities that are stated and the dates that are told."""
        return (*READINGS, *(one for one in (*STATED.values(), *DATES) if one.column in self.bars))

    def frame_of(self, reading: Reading) -> pd.DataFrame:
        """Return the table that a reading stands in."""
        return self.marks if reading.of_mark else self.bars

    def bar_of_mark(self) -> np.ndarray:
        """Return the position of the bar of each mark."""
        return np.asarray(self.marks["bar_row"].to_numpy(dtype=np.int64))


@dataclass
class SheetBars(BarsAndMarks):
    """The bars of one table of a workbook with the way back to their cells."""

    table: str
    """Name of the table in the workbook."""
    places: dict[str, int]
    """Column in the spreadsheet of each reading and text, by key."""
    rows: dict[str, np.ndarray]
    """Spreadsheet row of each reading: by mark for lengths, else by bar."""
    units: dict[str, str]
    """Unit of each column of readings, by key."""
    codes: np.ndarray
    """The bar code of each bar as a number."""
    notes: Notebook
    """Where findings about it are written down."""

    @property
    def account(self) -> Account:
        """What becomes of each cell of the table."""
        return self.notes.accounts[self.table]

    def unit(self, key: str) -> str:
        """Return the unit that a reading is typed in, the one it is held in where the table has no column for it."""
        return self.units.get(key) or READING_BY_KEY[key].dimension.unit

    def tell(self, code: str, key: str, bar: int, **words: Any) -> None:
        """Write down a finding about the cell of a bar in the column of a text."""
        row = int(self.bars["row"].iloc[bar])
        self.notes.add(code, table=self.table, row=row, column=self.places.get(key), **words)


def build_bars(table: ReadTable, sheet: int) -> SheetBars:
    """Join the rows of a Bars table into marks and bars."""
    read_days(table)
    texts = _named_texts(table)
    by_code = group_by([texts["bar"]])
    for key in ("body", "batch", "direction"):
        texts[key] = fill_blanks(texts[key], by_code)
    by_mark = group_by([by_code.ids, *(texts[k] for k in ("body", "batch", "firing", "mark"))])
    by_bar = group_by([k[by_mark.first] for k in (by_code.ids, *(texts[k] for k in ("body", "batch", "firing")))])
    by_bar_of_row = Grouping(by_bar.ids[by_mark.ids], by_mark.first[by_bar.first])
    bars = _bar_texts(table, texts, by_bar_of_row)
    bars |= {"sheet": np.full(len(by_bar), sheet), "row": table.rows[by_bar_of_row.first]}
    marks = {"row": table.rows[by_mark.first], "mark": texts["mark"][by_mark.first], "bar_row": by_bar.ids}
    rows: dict[str, np.ndarray] = {}
    typed = (*READINGS, *(one for one in (*STATED.values(), *DATES) if one.key in table.used))
    for reading in typed:
        target, grouping = (marks, by_mark) if reading.of_mark else (bars, by_bar_of_row)
        target[reading.column], rows[reading.key] = _merge(table, reading.key, grouping)
        table.use(reading.key, ~np.isnan(table.number(reading.key)))
    _note_repeats(table, by_mark)
    columns = (*BAR_COLUMNS, *(one.column for one in typed[len(READINGS) :]))
    return SheetBars(
        pd.DataFrame({name: bars[name] for name in columns}, copy=False),
        pd.DataFrame({name: marks[name] for name in MARK_COLUMNS}, copy=False),
        table.name,
        {key: use.index for key, use in table.used.items()},
        rows,
        {key: use.unit for key, use in table.used.items() if key in READING_BY_KEY},
        by_code.ids[by_bar_of_row.first],
        table.notes,
    )


def _bar_texts(table: ReadTable, texts: dict[str, np.ndarray], by_bar: Grouping) -> dict[str, np.ndarray]:
    """Return the texts of each bar: of several rows the first one with a text counts, notes are put together."""
    bars = {key: first_texts(texts[key], by_bar) for key in BAR_TEXTS}
    for key in table.texts.keys() & {*BAR_TEXTS, "mark"}:
        table.use(key, table.texts[key] != "")
    for key in () if by_bar.all_single else ("direction", "position", "left_out", "notes"):
        first = bars[key].copy()
        for position in np.flatnonzero((texts[key] != "") & (texts[key] != first[by_bar.ids])).tolist():
            bar, text = by_bar.ids[position], texts[key][position]
            if key == "notes":
                bars[key][bar] += f"; {text}"
            elif text.casefold() != first[bar].casefold():
                words = {"heading": table.used[key].column.heading, "bar": texts["bar"][position], "first": first[bar]}
                table.tell("bar-told-differently", key, position, value=text, **words)
    return bars


def _named_texts(table: ReadTable) -> dict[str, np.ndarray]:
    """Return the texts of every row with a bar code in each, and drop rows that hold no bar."""
    _drop_remarks(table)
    texts = {key: table.text(key).copy() for key in (*BAR_TEXTS, "mark")}
    codes = texts["bar"]
    for position in np.flatnonzero(codes == "").tolist():
        if position > 0 and texts["mark"][position]:
            codes[position] = codes[position - 1]
            table.tell("bar-taken-from-above", "bar", position, bar=codes[position])
        else:
            codes[position] = f"row {table.rows[position]}"
            if "bar" in table.used:  # else the missing column was asked about once
                table.tell("bar-without-code", "bar", position, value=None, name=codes[position])
    _share_firing_of_marks(texts)
    return texts


def _share_firing_of_marks(texts: dict[str, np.ndarray]) -> None:
    """Give further marks of a bar the firing and position of the row above where they leave them blank."""
    codes, marks = texts["bar"], texts["mark"]
    follows = np.zeros(len(codes), dtype=bool)
    follows[1:] = (codes[1:] == codes[:-1]) & (marks[1:] != "") & (marks[1:] != marks[:-1])
    for key in ("firing", "position"):
        for position in np.flatnonzero(follows & (texts[key] == "")).tolist():
            texts[key][position] = texts[key][position - 1]


def _drop_remarks(table: ReadTable) -> None:
    """Drop rows that hold neither a reading nor the name of a body, batch or firing."""
    keep = np.zeros(len(table), dtype=bool)
    for values in table.numbers.values():
        keep |= ~np.isnan(values)
    for key in ("body", "batch", "firing", "direction", "mark"):
        keep |= table.text(key) != ""
    keep |= np.isin(table.rows, list(table.notes.rows_of(table.name)))
    for position in np.flatnonzero(~keep).tolist():
        words = " ".join(t[position] for t in table.texts.values() if t[position])
        if words:
            table.notes.add("row-without-readings", table=table.name, row=int(table.rows[position]), value=words)
    if keep.all():
        return
    table.set_aside("remark", ~keep)
    table.keep(keep)


def _merge(table: ReadTable, key: str, grouping: Grouping) -> tuple[np.ndarray, np.ndarray]:
    """Return one value a group and its spreadsheet row; contradictions are written down and not used."""
    values = table.number(key)
    merged = merge_numbers(values, grouping)
    for first, other in zip(merged.first.tolist(), merged.others.tolist(), strict=True):
        place = (table.name, int(table.rows[first]), table.used[key].index)
        words = {"bar": table.text("bar")[other], "heading": READING_BY_KEY[key].heading}
        values_told = {"value": table.in_its_unit(key, other), "first": table.in_its_unit(key, first)}
        table.tell("bar-contradicts", key, other, **values_told, first_cell=table.notes.address(*place), **words)
        table.notes.mention(*place)
    return merged.values, table.rows[merged.source]


def _note_repeats(table: ReadTable, by_mark: Grouping) -> None:
    """Write down rows that stand for a bar and mark which an earlier row stands for already."""
    if by_mark.all_single:
        return
    for position in np.setdiff1d(np.arange(len(table)), by_mark.first).tolist():
        first_row = int(table.rows[by_mark.first[by_mark.ids[position]]])
        table.tell("bar-twice", "bar", position, value=table.text("bar")[position], first_row=first_row)
