"""One grid with headings → one table in columns, with an account of each of its cells."""

import re
from collections.abc import Iterable

import numpy as np

from bodytest.grids.grid import Grid
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_text
from bodytest.intake.columns import ReadTable, read_columns
from bodytest.intake.heading_row import Headings, find_heading_row, understand
from bodytest.intake.layouts.vocabulary import TableName
from bodytest.intake.merged_cells import ask_about_hidden, fill_merged, runs
from bodytest.intake.merging import group_by
from bodytest.intake.stated import compare_stated
from bodytest.quantities import READING_BY_KEY
from bodytest.units import parse_measure

_EXPECTED: dict[TableName, str] = {
    "bars": "bar, body, firing, wet length (mm), dry length (mm), fired length (mm)",
    "firings": "firing, cone, peak temperature (°C)",
    "specs": "body, quantity, lowest, highest, applies to",
    "pieces": "piece, body, firing, dimension, wet size (mm), fired size (mm)",
}
_NAMES = frozenset({"bar", "body", "batch", "firing"})
"""Without knowing these for certain no bar can be told from another."""
_MEANING = {
    "bar": "each row is taken as a bar of its own",
    "body": "all bars are taken as one body without a name",
    "firing": "all bars are taken as one firing without a code",
}


def read_table(grid: Grid, name: TableName, notes: Notebook) -> ReadTable | None:
    """Return a grid as a table of one kind; None without headings, with a finding where it holds anything."""
    found = find_heading_row(grid, name)
    if found is None:
        if name == "bars" or any(any(v != "" for v in row) for row in grid.rows):
            notes.add("no-headings", table=grid.name, expected=_EXPECTED[name])
        notes.accounts[grid.name].set_aside("table not read")
        return None
    headings = understand(found, grid, name, notes)
    if headings.doubled & _NAMES:
        notes.accounts[grid.name].set_aside("table not read")
        return None
    _ask_about_rows_above(headings, grid, notes)
    if name == "bars":
        _ask_for_missing(headings, grid, notes)
    table = read_columns(grid, headings, notes)
    _account_for_headings(headings, grid, notes)
    fill_merged(table, grid)
    ask_about_hidden(table, headings, grid)
    if name == "bars":
        compare_stated(table, headings, grid)
        hold_back_divided(table, headings, grid)
        hold_back_coded(table, headings, grid)
    return table


def _ask_about_rows_above(headings: Headings, grid: Grid, notes: Notebook) -> None:
    """Ask about rows above the headings that look like readings and not like a title."""
    for number, row in grid.head()[: headings.first_row]:
        places = [c for c, cell in enumerate(row) if isinstance(cell, float) or parse_measure(read_text(cell))]
        if len(places) >= 3:
            value = read_text(row[places[0]])
            notes.add("rows-above-headings", table=grid.name, row=number, column=places[0], value=value)
            return


def _ask_for_missing(headings: Headings, grid: Grid, notes: Notebook) -> None:
    known, row = set(headings.used), grid.row_number(headings.first_row - 1)
    column = min((use.index for use in headings.used.values()), default=0)
    for key in ("bar", "body", "firing"):
        if key not in known and not notes.typed_for:
            words = {"table": grid.name, "heading": key, "meaning": _MEANING[key]}
            notes.add("heading-missing", row=row, column=column, **words)
    if not known & READING_BY_KEY.keys():
        notes.add("no-reading-columns", table=grid.name)


def _account_for_headings(headings: Headings, grid: Grid, notes: Notebook) -> None:
    """Account for the headings, for what stands above them and for columns that are not read."""
    account = notes.accounts[grid.name]
    first, last = (grid.row_number(headings.first_row - back) for back in (headings.height, 1))
    account.set_aside("title", rows=range(1, first))
    for use in headings.used.values():
        account.use(use.index, range(first, last + 1))
    account.set_aside("heading not read", rows=range(first, last + 1))
    account.set_aside("computed column", columns=headings.computed)
    headed = {index for index, text in enumerate(headings.texts) if text}
    account.set_aside("column not read", columns=headed - {use.index for use in headings.used.values()})
    headless = [column for column, rows in account.rows.items() if column not in headed and rows[-1] > last]
    if headless:
        _ask_about_headless(set(headless), headings, grid, notes)
        account.set_aside("under no heading", columns=headless)


def _ask_about_headless(columns: set[int], headings: Headings, grid: Grid, notes: Notebook) -> None:
    """Ask, once for each, about columns that hold something below the headings but have none themselves."""
    for number, row in grid.below_headings(headings.first_row):
        for column in sorted(columns & set(range(len(row)))):
            if (text := read_text(row[column])) != "":
                columns.remove(column)
                notes.add("column-without-heading", table=grid.name, row=number, column=column, value=text)
        if not columns:
            return


_TOGETHER = ("body", "batch", "firing", "direction")
"""Bars that agree in these have one mean."""
FEWEST = 2
"""Rows of the second most frequent label from which a column divides bars; what differs from bar to bar does not."""


def hold_back_divided(table: ReadTable, headings: Headings, grid: Grid) -> None:
    """Take out the bars that an unknown column divides, and ask what the column is.

    What stands right of all readings says most often what became of a bar: it is asked about, and the bars are read.
    """
    if not headings.unknown or not len(table):
        return
    body = grid.below(headings.first_row, max(headings.unknown) + 1, headings.unknown)
    kept = np.isin(body.rows, table.rows)
    together = group_by([table.text(key) for key in _TOGETHER]).ids
    divided = np.zeros(len(table), dtype=bool)
    row = grid.row_number(headings.first_row - 1)
    readings = [use.index for key, use in table.used.items() if key in READING_BY_KEY]
    last_reading = max((table.notes.source(table.name, row, i)[2] or 0 for i in readings), default=0)
    for index in sorted(headings.unknown):
        labels = np.array([read_text(cell) for cell in body.columns[index][kept]], dtype=object)
        mine = np.isin(together, [g for g in np.unique(together) if _divides(labels[together == g])])
        if mine.any():
            shown = ", ".join(f"“{label}”" for label in sorted(set(labels[mine]) - {""})[:4])
            rows = each_row([table.notes.source(table.name, int(one), None)[1] or int(one) for one in table.rows[mine]])
            words = {"value": headings.texts[index], "labels": shown, "bars": int(mine.sum()), "rows": rows}
            if (table.notes.source(table.name, row, index)[2] or 0) > last_reading:
                table.notes.add("column-may-split-bars", table=table.name, row=row, column=index, **words)
            else:
                table.notes.add("column-splits-bars", table=table.name, row=row, column=index, **words)
                divided |= mine
    if divided.any():
        table.set_aside("row not read", divided)
        table.keep(~divided)


_LAST_NUMBER = re.compile(r"\W*\d*$")
_WORD = re.compile(r"[^\W\d]{2}")


def hold_back_coded(table: ReadTable, headings: Headings, grid: Grid) -> None:
    """Take out bars of which nothing but their codes, such as TOR-6-1 and BEL-6-1, seems to tell the bodies apart."""
    if "body" in table.used or "bar" not in table.used:
        return
    codes = np.array([_LAST_NUMBER.sub("", code) for code in table.text("bar").tolist()], dtype=object)
    if any(map(_WORD.search, codes.tolist())) and _divides(codes):
        use = table.used["bar"]
        shown = ", ".join(f"“{code}”" for code in sorted(set(codes) - {""})[:4])
        words = {"value": headings.texts[use.index], "labels": shown, "bars": len(table)}
        row = grid.row_number(headings.first_row - 1)
        table.notes.add("codes-split-bars", table=table.name, row=row, column=use.index, **words)
        everything = np.ones(len(table), dtype=bool)
        table.set_aside("row not read", everything)
        table.keep(~everything)


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
