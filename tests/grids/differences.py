"""What a file from the grammar holds against what was read of it."""

from pathlib import Path
from typing import Any

from bodytest.grids.grid import CellError, Grid, Uncalculated
from bodytest.grids.notebook import Notebook
from bodytest.grids.opening import open_workbook
from bodytest.intake.layouts.headings import is_bars_heading
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.grids.grammar import ODD, Made


def differences(made: Made, folder: Path) -> tuple[CheckedSheets, list[str]]:
    """Write and read a file; return what was read, and each cell that was read wrong, lost or not accounted for."""
    path = folder / made.name
    path.write_bytes(made.content)
    sheets = read_sheets([path])
    wrong = [f.sentence for f in sheets.findings if f.code == "cells-unaccounted"]
    if made.harmed:
        return sheets, wrong
    notes = Notebook(path.name)
    grids = open_workbook(path, notes, is_bars_heading).grids
    if len(grids) != 1:
        return sheets, [*wrong, f"{len(grids)} tables: {[f.sentence for f in notes.ordered()]}"]
    return sheets, wrong + _cells(made, grids[0], notes)


def _cells(made: Made, grid: Grid, notes: Notebook) -> list[str]:
    there = dict(_read_cells(grid))
    wrong = []
    for place, holds in made.cells.items():
        read = there.pop(place, "")
        if not _alike(holds, read) and not notes.knows(grid.name, *place):
            wrong.append(f"{place}: holds {'what cannot be read' if holds is ODD else repr(holds)}, read {read!r}")
    return wrong + [f"{place}: holds nothing, read {read!r}" for place, read in there.items()]


def _read_cells(grid: Grid) -> Any:
    for row, line in grid.below_headings(0):
        for column, value in enumerate(line):
            if value != "":
                yield (row, column), value


def _alike(holds: Any, read: Any) -> bool:
    if holds is ODD:
        return isinstance(read, (CellError, Uncalculated))
    return (type(holds), holds) == (type(read), read)
