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
    kept = [int(row) for row in rows if row <= len(split.widths)]
    if split.unclosed is not None:
        notes.add("quote-never-closed", table=grid.name, row=split.unclosed + 1, value='"')
    stray = {place + 1 for place in split.stray}
    for row in kept:
        if row in stray:
            notes.add("quote-stray", table=grid.name, row=row, value='"')
    told = notes.rows_of(grid.name)
    widths = {row: split.widths[row - 1] for row in kept}
    for row in short_rows(widths, width):
        # one line of words is asked about elsewhere
        if row not in told and widths[row] > 1:
            notes.add("row-short", table=grid.name, row=row, value=widths[row], expected=width)
