"""The rows below the headings as typed columns: texts stay texts, readings become numbers or findings."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bodytest.grids.account import Account, Reason
from bodytest.grids.grid import CellError, Grid, Uncalculated
from bodytest.grids.notebook import Notebook
from bodytest.intake.broken_rows import ask_about_broken_rows
from bodytest.intake.cells import MEASURABLE, NO_READING, converted, in_its_unit, read_number, read_text
from bodytest.intake.commas import ask_about_commas
from bodytest.intake.heading_row import Headings, UsedColumn
from bodytest.intake.layouts.headings import DEFAULT_UNITS
from bodytest.intake.layouts.totals import is_total
from bodytest.intake.repeats import has_repeats, repeated, repeated_readings
from bodytest.units import DIMENSIONS


@dataclass
class ReadTable:
    """One table of a workbook in columns."""

    name: str
    """Name of the table in the workbook."""
    rows: np.ndarray
    """Spreadsheet row of each entry."""
    texts: dict[str, np.ndarray]
    """Texts by key, ``""`` for blank."""
    numbers: dict[str, np.ndarray]
    """Numbers by key in the unit of `DEFAULT_UNITS`, NaN for blank or unusable."""
    used: dict[str, UsedColumn]
    """The columns understood, by key."""
    raw: dict[str, np.ndarray]
    """Columns that are neither: dates and cones, as they stood."""
    notes: Notebook
    """Where findings about it are written down."""

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def account(self) -> Account:
        """What becomes of each of its cells."""
        return self.notes.accounts[self.name]

    def at(self, key: str, position: int) -> dict[str, Any]:
        """Return where a cell stands."""
        return {"table": self.name, "row": int(self.rows[position]), "column": self.place(key)}

    def tell(self, code: str, key: str, position: int, **words: Any) -> None:
        """Write down a finding about a cell; of one that is neither text nor number the value is what was typed."""
        value = words.pop("value") if "value" in words else read_text(self.typed(key, position))
        self.notes.add(code, **self.at(key, position), value=value, **words)

    def typed(self, key: str, position: int) -> Any:
        """Return a cell of a column that is neither text nor number, ``""`` where the table has no such column."""
        return self.raw[key][position] if key in self.raw else ""

    def in_its_unit(self, key: str, position: int) -> str:
        """Return a number with the unit that it was typed in."""
        return in_its_unit(float(self.numbers[key][position]), self.used[key].unit)

    def text(self, key: str) -> np.ndarray:
        """Return a text column, blank where the table has none."""
        return self.texts[key] if key in self.texts else np.full(len(self), "", dtype=object)

    def number(self, key: str) -> np.ndarray:
        """Return a number column, NaN where the table has none."""
        return self.numbers[key] if key in self.numbers else np.full(len(self), np.nan)

    def use(self, key: str, chosen: np.ndarray) -> None:
        """Mark the cells of a column that went on into the tables; ``chosen`` are positions or a mask."""
        if key in self.used:
            self.account.use(self.used[key].index, self.rows[chosen])

    def set_aside(self, reason: Reason, chosen: np.ndarray, *keys: str) -> None:
        """Mark cells that are not read: of some columns, or of the whole row where none is named."""
        columns = [self.used[key].index for key in keys if key in self.used] if keys else None
        self.account.set_aside(reason, columns=columns, rows=self.rows[chosen])

    def set_nothing_aside(self, key: str) -> None:
        """Mark the dashes and blanks of a column that is neither text nor number."""
        texts = np.array([read_text(cell).lower() for cell in self.raw[key]], dtype=object)
        self.set_aside("dash for nothing", np.isin(texts, list(NO_READING)), key)
        self.set_aside("only blanks", (texts == "") & filled(self.raw[key]), key)

    def keep(self, chosen: np.ndarray) -> None:
        """Drop all rows but those chosen."""
        self.rows = self.rows[chosen]
        for columns in (self.texts, self.numbers, self.raw):
            for key in columns:
                columns[key] = columns[key][chosen]

    def place(self, key: str) -> int | None:
        """Return the position of a column in the spreadsheet."""
        return self.used[key].index if key in self.used else None


def read_columns(grid: Grid, headings: Headings, notes: Notebook) -> ReadTable:
    """Read what stands below the headings."""
    as_typed = frozenset(u.index for u in headings.used.values() if u.column.kind not in DEFAULT_UNITS)
    body = grid.below(headings.first_row, headings.width, as_typed)
    keep = _data_rows(grid, headings, body.rows, body.columns, notes)
    table = ReadTable(grid.name, body.rows[keep], {}, {}, headings.used, {}, notes)
    width = max((place + 1 for place, text in enumerate(headings.texts) if text), default=0)
    ask_about_broken_rows(grid, width, table.rows, notes)
    measured = {u: body.columns[u.index][keep] for u in headings.used.values() if u.column.kind in DEFAULT_UNITS}
    ask_about_commas(measured, table.name, table.rows, notes)
    for key, use in headings.used.items():
        cells = body.columns[use.index][keep]
        if use.column.kind in DEFAULT_UNITS:
            told = cells if notes.is_laid_out(grid.name) else repeated_readings(cells)
            table.numbers[key] = _numbers(told, use, table)
        elif use.column.kind == "text":
            table.texts[key] = _texts(cells, use, table)
        else:
            table.raw[key] = _without_odd(cells, use, table)
    return table


def _data_rows(
    grid: Grid, headings: Headings, rows: np.ndarray, columns: tuple[np.ndarray, ...], notes: Notebook
) -> np.ndarray:
    """Tell rows of data from rows with nothing in a known column, repeated headings and totals."""
    keep = np.zeros(len(rows), dtype=bool)
    for use in headings.used.values():
        keep |= filled(columns[use.index])
    first = next(iter(sorted(headings.used.values(), key=lambda u: u.index)), None)
    names = [u for u in headings.used.values() if u.column.key in ("bar", "firing", "piece", "body")]
    for use in names or ([first] if first else []):
        cells = columns[use.index]
        if cells.dtype == object:
            _drop_summaries(grid, use, (rows, cells, keep), notes)
    account = notes.accounts[grid.name]
    for position in _repeated_headings(headings, columns):
        keep[position] = False
        account.set_aside("headings again", rows=rows[position : position + 1])
        if _texts_of(columns, position) != _known_texts(headings):
            notes.add("headings-change", table=grid.name, row=int(rows[position]))
            keep[position:] = False
            account.set_aside("row not read", rows=rows[position:])
            break
    return keep


def _drop_summaries(
    grid: Grid, use: UsedColumn, block: tuple[np.ndarray, np.ndarray, np.ndarray], notes: Notebook
) -> None:
    rows, cells, keep = block
    below_another = False
    for position in range(max(0, len(cells) - 40), len(cells)):
        text = read_text(cells[position])
        below_another = is_total(text, below_total=below_another)
        if keep[position] and below_another:
            keep[position] = False
            notes.accounts[grid.name].set_aside("total row", rows=rows[position : position + 1])
            notes.add("summary-row", table=grid.name, row=int(rows[position]), value=text, column=use.index)


def _known_texts(headings: Headings) -> list[str]:
    return [headings.texts[u.index] for u in sorted(headings.used.values(), key=lambda u: u.index)]


def _texts_of(columns: tuple[np.ndarray, ...], position: int) -> list[str]:
    return [text for column in columns if (text := read_text(column[position])) != ""]


def _repeated_headings(headings: Headings, columns: tuple[np.ndarray, ...]) -> list[int]:
    """Return positions of rows in which headings stand again."""
    known = set(_known_texts(headings))
    first = next((c for u in headings.used.values() if (c := columns[u.index]).dtype == object), None)
    if first is None:
        return []
    suspects = [i for i, cell in enumerate(first.tolist()) if cell in known]
    return [i for i in suspects if sum(t in known for t in _texts_of(columns, i)) >= min(3, len(known))]


def filled(cells: np.ndarray) -> np.ndarray:
    """Tell which cells hold something."""
    if cells.dtype != object:
        return np.asarray(~np.isnan(cells))
    return np.asarray(cells != "", dtype=bool)


def _texts(cells: np.ndarray, use: UsedColumn, table: ReadTable) -> np.ndarray:
    """Return a column of texts; error cells and formulas without a result are written down."""
    if cells.dtype != object:
        cells = np.where(np.isnan(cells), "", cells.astype(object))
    if set(map(type, cells)) <= {str}:
        texts = _tidy_texts(cells)
        if texts is cells and not has_repeats(texts):
            return texts
    else:
        texts = np.array([read_text(cell) for cell in _without_odd(cells, use, table)], dtype=object)
    texts = repeated(texts)
    table.account.set_aside("only blanks", columns=[use.index], rows=table.rows[(texts == "") & filled(cells)])
    return texts


def _without_odd(cells: np.ndarray, use: UsedColumn, table: ReadTable) -> np.ndarray:
    """Return cells with error cells and formulas without a result blanked; they are written down."""
    cells = cells.copy()
    for position, cell in enumerate(cells):
        if isinstance(cell, (CellError, Uncalculated)):
            code, words = (cell.code, cell.words) if isinstance(cell, CellError) else ("formula-not-calculated", {})
            _write_odd(code, position, cell, use, table, **words)
            cells[position] = ""
    return cells


_UNTIDY = (
    *"\t\r\f\v\u00a0\u202f\u3000",
    *map(chr, range(0x2000, 0x200C)),
    "  ",
    " \n",
    "\n ",
    *(f"\n'{one}" for one in "=+-@"),
)
"""What stands in texts between line feeds that are not tidy: odd spaces, those at an end, guards of formulas."""


def _tidy_texts(cells: np.ndarray) -> np.ndarray:
    """Return texts without odd spaces and guards; where a look at all together finds none they are left alone."""
    together = "\n".join(["", *cells, ""])
    if together.count("\n") == len(cells) + 1 and not any(sign in together for sign in _UNTIDY):
        return cells
    memory: dict[str, str] = {}
    for cell in cells:
        if cell not in memory:
            memory[cell] = read_text(cell)
    return np.array([memory[cell] for cell in cells], dtype=object)


def _write_odd(code: str, position: int, cell: Any, use: UsedColumn, table: ReadTable, **words: object) -> None:
    shown = cell.shown if isinstance(cell, CellError) else cell.formula if isinstance(cell, Uncalculated) else cell
    table.tell(code, use.column.key, position, value=shown, heading=use.column.heading, **words)


def _numbers(cells: np.ndarray, use: UsedColumn, table: ReadTable) -> np.ndarray:
    """Return a column of numbers; only cells that are no plain positive number are looked at one by one."""
    if cells.dtype == object:
        values, odd = _plain_numbers(cells)
    else:
        values, odd = cells.copy(), np.isinf(cells)
    zero = converted(0.0, use.unit, use.column.kind)
    numbers = values * (converted(1.0, use.unit, use.column.kind) - zero) + zero
    if use.column.kind in DIMENSIONS:
        odd |= (numbers < MEASURABLE[0]) | (numbers > MEASURABLE[1])
    for position in np.flatnonzero(odd).tolist():
        cell = cells[position] if cells.dtype == object else float(cells[position])
        read = read_number(cell, use.unit, use.column.kind)
        numbers[position] = read.value
        if read.code is not None:
            _write_odd(read.code, position, cell, use, table, **read.words)
        elif np.isnan(read.value):
            table.account.set_aside("only blanks", columns=[use.index], rows=table.rows[position : position + 1])
    return numbers


def _plain_numbers(cells: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the cells that are numbers already as floats, and which others hold something."""
    plain = np.fromiter(map({float, int}.__contains__, map(type, cells)), dtype=bool, count=len(cells))
    values = np.full(len(cells), np.nan)
    values[plain] = cells[plain].astype(float)
    odd = filled(cells) & ~plain
    if odd.sum() > 500:
        _texts_at_once(cells, values, odd)
    odd |= plain & ~np.isfinite(values)
    return values, odd


def _texts_at_once(cells: np.ndarray, values: np.ndarray, odd: np.ndarray) -> None:
    """Turn texts that are plain decimal numbers into numbers, many at once."""
    texts = np.flatnonzero(odd & np.fromiter((isinstance(c, str) for c in cells), dtype=bool, count=len(cells)))
    strings = pd.Series(cells[texts], dtype=object)
    simple = strings.str.fullmatch(r"\s*[0-9]+(?:[.,][0-9]+)?\s*").to_numpy(dtype=bool)
    chosen = texts[simple]
    values[chosen] = strings[simple].str.replace(",", ".").astype(float).to_numpy()
    odd[chosen] = False
