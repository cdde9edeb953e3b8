"""One sheet as somebody keeps it → tables of our layout, with a table that says where everything came from."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bodytest.files.inputs import name_of
from bodytest.findings import Finding
from bodytest.grids.grid import HEAD_ROWS, CellError, Grid, Uncalculated
from bodytest.grids.notebook import Notebook
from bodytest.grids.opening import open_workbook
from bodytest.intake.cells import converted, read_date, read_text
from bodytest.intake.columns import ReadTable
from bodytest.intake.copies import is_table_of_results
from bodytest.intake.kinds import SOURCES_HEADINGS, sort_tables
from bodytest.intake.layouts.headings import DEFAULT_UNITS, is_bars_heading, match_heading
from bodytest.intake.layouts.laying_out import lay_out
from bodytest.intake.layouts.said import Said
from bodytest.intake.layouts.vocabulary import COLUMNS, TableName
from bodytest.intake.reading_table import read_table
from bodytest.shown import file_label
from bodytest.units import DIMENSIONS

Rows = list[list[Any]]
_READINGS = frozenset(column for column in COLUMNS["bars"] if column.kind in (*DIMENSIONS, "percent"))
TOLD = "told"
"""First word of a line of Sources that holds an answer of the user."""


@dataclass(frozen=True)
class Cleaned:
    """One sheet in our layout."""

    tables: dict[str, Rows]
    """Rows of each table by its name, ``Sources`` last; no table where no bar was read."""
    findings: tuple[Finding, ...]
    """What was found on the way."""


def clean(path: Path, said: Said) -> Cleaned:
    """Read one file and return its tables in our layout, numbers in the units of the sheet."""
    notes = Notebook(name_of(path))
    workbook = open_workbook(path, notes, is_bars_heading)
    if of_results := is_table_of_results(workbook.grids):
        notes.add("results-not-readings")
    if of_results or not workbook.readable:
        return Cleaned({}, tuple(notes.ordered()))
    laid_out = lay_out(workbook.grids, said, notes)
    kinds = sort_tables(laid_out.grids, notes, laid_out.firings)
    tables: dict[str, Rows] = {}
    sources: Rows = [list(SOURCES_HEADINGS)]
    named: tuple[tuple[TableName, list[Grid]], ...] = (
        ("bars", kinds.bars), ("firings", kinds.firings), ("pieces", kinds.pieces),
    )  # fmt: skip
    for name, grids in named:
        read = [table for grid in grids if (table := read_table(grid, name, notes)) is not None and len(table)]
        if read:
            tables[name.title()] = _rows(read, name, notes)
            sources += _sources(read, grids, name, notes)
    for title, grids in (("Lab", kinds.lab), ("Specs", kinds.specs)):
        if grids:
            tables[title] = [list(map(_copied, row)) for _, row in grids[0].below_headings(0)]
    findings = tuple(notes.ordered())
    if not any(match_heading(heading, "bars")[0] in _READINGS for heading in tables.get("Bars", [[]])[0]):
        return Cleaned({}, findings)
    sources += [[], ["level", "cell", "what was assumed or left out", "what to do"]]
    sources += [[found.level, found.cell or "", found.sentence, found.remedy] for found in findings]
    sources += [[TOLD, option] for options in said.options() for option in options]
    return Cleaned({**tables, "Sources": sources}, findings)


def _rows(tables: list[ReadTable], name: TableName, notes: Notebook) -> Rows:
    """Return tables of one kind below each other, each number in the unit of the first table that has its column.

    A unit that no cell tells is not written either, so that the question stays.
    """
    missing = {found.cell for found in notes.ordered() if found.code == "unit-missing"}
    untold = {
        key
        for table in tables
        for key, use in table.used.items()
        if any(notes.address(table.name, row, use.index) in missing for row in range(1, HEAD_ROWS + 1))
    }
    used = {key: use for table in reversed(tables) for key, use in table.used.items()}
    columns = [column for column in COLUMNS[name] if column.key in used]
    units = [used[c.key].unit if c.kind in DIMENSIONS else DEFAULT_UNITS.get(c.kind, "") for c in columns]
    told = [unit if c.key not in untold else "" for c, unit in zip(columns, units, strict=True)]
    rows: Rows = [[f"{c.heading} ({unit})" if unit else c.heading for c, unit in zip(columns, told, strict=True)]]
    for table in tables:
        cells = [_values(table, c.key, c.kind, unit) for c, unit in zip(columns, units, strict=True)]
        rows += [list(row) for row in zip(*cells, strict=True)]
    return rows


def _values(table: ReadTable, key: str, kind: str, unit: str) -> list[Any]:
    if kind == "date" and key in table.raw:
        return [read_date(cell) or read_text(cell) for cell in table.raw[key]]
    if key in table.raw:
        return [read_text(cell) for cell in table.raw[key]]
    if kind not in DEFAULT_UNITS:
        return list(table.text(key))
    factor = converted(1.0, unit, kind) if kind in DIMENSIONS else 1.0
    numbers = table.number(key)
    return ["" if np.isnan(number) else round(float(number) / factor, 9) for number in numbers]


def _sources(tables: list[ReadTable], grids: list[Grid], name: TableName, notes: Notebook) -> Iterator[list[Any]]:
    """Yield, for each column, the cells that it came from."""
    by_name = {grid.name: grid for grid in grids}
    for table in tables:
        for use in sorted(table.used.values(), key=lambda use: use.index):
            rows = table.rows.tolist()
            first, last = (notes.address(table.name, row, use.index) for row in (rows[0], rows[-1]))
            heads = (read_text(row[use.index]) for _, row in by_name[table.name].head() if len(row) > use.index)
            laid_out = notes.is_laid_out(table.name)
            told = notes.address(table.name, 1, use.index) if laid_out else next(heads, "")
            yield [name.title(), use.column.heading, f"{first} to {last}", told]


def _copied(cell: Any) -> Any:
    """Return a cell that is copied as it stands; nothing for one that shows an error or was never calculated."""
    return "" if isinstance(cell, (CellError, Uncalculated)) else cell


def clean_workbook(cleaned: Cleaned) -> bytes:
    """Return the workbook; texts stay texts, whatever a spreadsheet program would take them for."""
    from openpyxl import Workbook

    from bodytest.files.fixed_zip import workbook_bytes

    book = Workbook()
    for first in book.worksheets:
        book.remove(first)
    for name, rows in cleaned.tables.items():
        tab = book.create_sheet(name)
        for number, row in enumerate(rows, start=1):
            for column, value in enumerate(row, start=1):
                if value != "":
                    cell = tab.cell(number, column, value)
                    cell.data_type = "s" if isinstance(value, str) else cell.data_type
    return workbook_bytes(book)


def answers_of(path: Path) -> tuple[list[str], list[str]]:
    """Return what was told when an earlier clean workbook was made: columns and units."""
    grids = open_workbook(path, Notebook(file_label(path.name)), is_bars_heading).grids
    lines = [row for grid in grids if grid.name == "Sources" for _, row in grid.below_headings(0)]
    told = [read_text(row[1]) for row in lines if len(row) > 1 and row[0] == TOLD]
    return [text for text in told if "=" in text], [text for text in told if "=" not in text]
