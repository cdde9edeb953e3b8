"""Unknown columns that tell bars apart: what they divide is not put together until somebody says what they are."""

from collections.abc import Iterable

import numpy as np

from bodytest.grids.grid import Grid
from bodytest.intake.cells import read_text
from bodytest.intake.columns import ReadTable
from bodytest.intake.heading_row import Headings
from bodytest.intake.merged_cells import runs
from bodytest.intake.merging import group_by

_TOGETHER = ("body", "batch", "firing", "direction")
"""Bars that agree in these have one mean."""
FEWEST = 2
"""Rows of the second most frequent label from which a column divides bars; what differs from bar to bar does not."""


def hold_back_divided(table: ReadTable, headings: Headings, grid: Grid) -> None:
    """Take out the bars that an unknown column divides, and ask what the column is."""
    if not headings.unknown or not len(table):
        return
    body = grid.below(headings.first_row, max(headings.unknown) + 1, headings.unknown)
    kept = np.isin(body.rows, table.rows)
    together = group_by([table.text(key) for key in _TOGETHER]).ids
    divided = np.zeros(len(table), dtype=bool)
    for index in sorted(headings.unknown):
        labels = np.array([read_text(cell) for cell in body.columns[index][kept]], dtype=object)
        mine = np.isin(together, [g for g in np.unique(together) if _divides(labels[together == g])])
        if mine.any():
            row = grid.row_number(headings.first_row - 1)
            shown = ", ".join(f"“{label}”" for label in sorted(set(labels[mine]) - {""})[:4])
            rows = each_row([table.notes.source(table.name, int(one), None)[1] or int(one) for one in table.rows[mine]])
            words = {"value": headings.texts[index], "labels": shown, "bars": int(mine.sum()), "rows": rows}
            table.notes.add("column-splits-bars", table=table.name, row=row, column=index, **words)
            divided |= mine
    if divided.any():
        table.set_aside("row not read", divided)
        table.keep(~divided)


def each_row(rows: Iterable[int]) -> str:
    """Return rows in as few words as name each of them.

    >>> each_row([7, 2, 3, 4]), each_row([5])
    ('rows 2 to 4, 7', 'row 5')
    """
    found = runs(rows)
    said = (str(a) if a == b else f"{a} to {b}" for a, b in found)
    return ("row " if len(found) == 1 and found[0][0] == found[0][1] else "rows ") + ", ".join(said)


def _divides(labels: np.ndarray) -> bool:
    """Tell whether labels divide bars: two or more of them, each on several bars, and no measured numbers."""
    filled = labels[labels != ""]
    names, counts = np.unique(filled.astype(str), return_counts=True)
    measured = any(any(sign in name for sign in ".,") and name.strip()[:1].isdigit() for name in names.tolist())
    return not measured and len(names) > 1 and sorted(counts.tolist())[-2] >= FEWEST and 2 * len(names) <= len(labels)
