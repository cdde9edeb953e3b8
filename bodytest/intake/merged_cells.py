"""Merged cells filled; hidden rows and columns asked about."""

from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np

from bodytest.grids.grid import Grid
from bodytest.grids.notebook import Notebook
from bodytest.intake.columns import ReadTable
from bodytest.intake.heading_row import Headings
from bodytest.quantities import BAR_READINGS, DATES

_TEXTS = ("bar", "body", "batch", "firing", "direction", "position", "left_out", "kiln", "atmosphere")
_FILLED = (*_TEXTS, *(one.key for one in DATES))
ONCE_A_BAR = frozenset(r.key for r in BAR_READINGS)
"""Readings that may be merged over the rows of one bar's marks."""


def fill_merged(table: ReadTable, grid: Grid) -> None:
    """Give each row of a merged range its text; a reading merged over several rows belongs to the first one."""
    ranges = list(_merged_columns(table, grid))
    for key, inside, _ in ranges:
        if key in _FILLED:
            table.set_aside("under a merged cell", inside[1:], key)
            cells = table.raw if key in table.raw else table.texts
            cells[key][inside] = cells[key][inside[0]]
    for key, inside, bottom in ranges:
        if key not in table.numbers or np.isnan(table.numbers[key][inside[0]]):
            continue
        codes = set(table.text("bar")[inside])
        if key in ONCE_A_BAR and len(codes) == 1 and "" not in codes:
            continue  # read once for the bar, beside its marks
        value = float(table.numbers[key][inside[0]])
        table.tell("reading-merged", key, int(inside[0]), value=value, last_row=bottom)


def _merged_columns(table: ReadTable, grid: Grid) -> Iterator[tuple[str, np.ndarray, int]]:
    """Yield each column merged over several rows: its key, the rows as positions, and the last spreadsheet row."""
    by_place = {use.index: key for key, use in table.used.items()}
    for top, left, bottom, right in grid.merged:
        inside = np.flatnonzero((table.rows >= top) & (table.rows <= bottom))
        if len(inside) < 2 or table.rows[inside[0]] != top:
            continue
        for place in range(left, right + 1):
            key = by_place.get(place)
            if key is not None and (key in table.numbers or place == left):
                yield key, inside, bottom


def ask_about_hidden(table: ReadTable, headings: Headings, grid: Grid) -> None:
    """Ask about hidden rows, hidden columns and a hidden table: they are read like the others."""
    ask_about_hidden_rows(grid, table.rows, table.notes)
    for key, use in table.used.items():
        if use.index in grid.hidden_columns and (key in table.numbers or key == "left_out"):
            row = grid.row_number(headings.first_row - 1)
            place: dict[str, Any] = {"table": table.name, "row": row, "column": use.index}
            table.notes.add("column-hidden", **place, heading=use.column.heading)


def ask_about_hidden_rows(grid: Grid, rows: np.ndarray, notes: Notebook) -> None:
    """Ask about a hidden table, and about those of its rows that were read and are hidden."""
    if grid.hidden:
        notes.add("table-hidden", table=grid.name)
    hidden = [int(row) for row in rows if row in grid.hidden_rows] if grid.hidden_rows else []
    if hidden:
        notes.add("rows-hidden", table=grid.name, row=hidden[0], value=len(hidden), rows=spans(hidden))


def spans(rows: list[int]) -> str:
    """Return row numbers in words, runs joined, at most six runs.

    >>> spans([3, 4, 5, 9])
    '3–5, 9'
    """
    found = runs(rows)
    texts = [f"{a}–{b}" if a != b else str(a) for a, b in found[:6]]
    return ", ".join(texts) + (" and others" if len(found) > 6 else "")


def runs(rows: Iterable[int]) -> list[tuple[int, int]]:
    """Return the first and the last of each run of rows that follow one another.

    >>> runs([7, 2, 3, 4])
    [(2, 4), (7, 7)]
    """
    there = set(rows)
    starts, ends = (sorted(row for row in there if row + step not in there) for step in (-1, 1))
    return list(zip(starts, ends, strict=True))
