"""Rows of a text table whose cells may have moved to the left: cells run together, or one left out."""

import numpy as np

from bodytest.grids.grid import Grid
from bodytest.grids.notebook import Notebook
from bodytest.grids.quoting import short_rows


def ask_about_broken_rows(grid: Grid, width: int, rows: np.ndarray, notes: Notebook) -> None:
    """Ask about rows with a stray quotation mark or with fewer cells than the ``width`` of the headings."""
    split = grid.records()
    if split is None:
        return
    kept = rows[rows <= len(split.widths)]
    if split.unclosed is not None:
        notes.add("quote-never-closed", table=grid.name, row=split.unclosed + 1, value='"')
    for row in kept[np.isin(kept, np.add(split.stray, 1))].tolist():
        notes.add("quote-stray", table=grid.name, row=row, value='"')
    told = notes.rows_of(grid.name)
    widths = np.array(split.widths, dtype=np.int64)[kept - 1]
    for place in short_rows(widths, width):
        row, cells = int(kept[place]), int(widths[place])
        if row not in told and cells > 1:  # one line of words is asked about elsewhere
            notes.add("row-short", table=grid.name, row=row, value=cells, expected=width)
