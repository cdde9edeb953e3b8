"""What is odd about the cells that bars were laid out from: hidden, merged, or moved by a stray quotation mark."""

from collections.abc import Sequence

import numpy as np

from bodytest.grids.grid import Grid
from bodytest.grids.notebook import Notebook
from bodytest.intake.broken_rows import ask_about_broken_rows
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.headings import heading_words
from bodytest.intake.layouts.records import Cell, Reading
from bodytest.intake.merged_cells import ONCE_A_BAR, ask_about_hidden_rows
from bodytest.quantities import READING_BY_KEY


def ask_about_origin(grid: Grid, readings: Sequence[Reading], notes: Notebook) -> None:
    """Ask, as for tables of our own, about the cells of one tab that bars were read from."""
    if not readings:
        return
    places = {place for r in readings for record in r.records for cell in record.values() for place in cell.places}
    rows = np.array(sorted({place.row for place in places if place.table == grid.name}), dtype=np.int64)
    ask_about_hidden_rows(grid, rows, notes)
    _ask_about_hidden_columns(grid, readings, notes)
    upright = [reading for reading in readings if not reading.block.view.turned]
    if upright:
        width = max(place.column + 1 for r in upright for h in r.block.headings for place in h.places)
        ask_about_broken_rows(grid, width, rows, notes)
        _ask_about_merged(grid, upright, notes)


def _ask_about_hidden_columns(grid: Grid, readings: Sequence[Reading], notes: Notebook) -> None:
    """Ask about hidden columns of readings, and about hidden bars where these are columns."""
    told: dict[int, tuple[int, str]] = {}
    for reading in readings:
        if reading.block.view.turned:
            named = [
                (place, read_text(record.get("bar", Cell()).value))
                for record in reading.records
                for key, cell in record.items()
                if key in READING_BY_KEY
                for place in cell.places
            ]
        else:
            fields = [one for one in reading.fields if one.key in READING_BY_KEY or one.key == "left_out"]
            named = [(one.heading.places[-1], heading_words(one.key)) for one in fields]
        for place, name in named:
            if place.column in grid.hidden_columns:
                told.setdefault(place.column, (place.row, name))
    for column, (row, name) in told.items():
        notes.add("column-hidden", table=grid.name, row=row, column=column, heading=name)


def _ask_about_merged(grid: Grid, readings: Sequence[Reading], notes: Notebook) -> None:
    """Ask about readings in a cell merged over the rows of several bars."""
    lines = [
        (record, {p.row for cell in record.values() for p in cell.places}) for r in readings for record in r.records
    ]
    for top, left, bottom, _ in grid.merged:
        inside = [record for record, rows in lines if any(top <= row <= bottom for row in rows)]
        for key, cell in inside[0].items() if len(inside) > 1 else ():
            if key in READING_BY_KEY and (grid.name, top, left) in cell.places:
                codes = {read_text(record.get("bar", Cell()).value) for record in inside}
                if not (key in ONCE_A_BAR and len(codes) == 1 and "" not in codes):
                    notes.add(
                        "reading-merged", table=grid.name, row=top, column=left, value=cell.value, last_row=bottom
                    )
