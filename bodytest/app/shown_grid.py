"""The tables of a workbook as a page shows them: as they are, doubtful cells marked, large ones cut."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from bodytest.findings import Finding, worst_level
from bodytest.grids.grid import Grid, column_letters, parse_range
from bodytest.grids.notebook import shown_value
from bodytest.tables import SHEETS_WITHOUT_READINGS

MOST_ROWS, MOST_DOUBTFUL, MOST_COLUMNS = 150, 150, 60
"""Rows shown from the top, rows with doubtful cells shown further down, and columns."""

_Rows = list[tuple[int, list[Any]]]
_Doubtful = dict[tuple[int, int], list[tuple[int, Finding]]]
"""Row and column → number in the list and finding."""


@dataclass(frozen=True)
class ShownTable:
    """One table."""

    name: str
    """Its name."""
    letters: tuple[str, ...]
    """Letters of its columns."""
    rows: tuple[tuple[int, list[dict[str, Any]]], ...]
    """Number and cells of each row: text, number of the first finding in the list or 0, worst level, and anchor."""
    doubtful: bool
    """Whether anything was found in it."""
    cut: bool
    """Whether there is more than is shown."""
    texts: dict[str, str] = field(repr=False)
    """Address → what stands in a cell that is shown."""


def shown_tables(grids: Sequence[Grid], findings: Sequence[Finding]) -> list[ShownTable]:
    """Return the tables that hold readings, each with the cells that something was found in."""
    kept = [(grid, [*grid.below_headings(0)]) for grid in grids if grid.name not in SHEETS_WITHOUT_READINGS]
    filled = [(grid.name, rows) for grid, rows in kept if rows]
    return [_table(at, name, rows, _doubtful(name, findings)) for at, (name, rows) in enumerate(filled)]


def place_of(found: Finding) -> tuple[str, int, int] | None:
    """Return table, row from 1 and column from 0 of a finding; None when it is about no cell."""
    table, _, where = (found.cell or "").rpartition("!")
    corners = parse_range(where)
    return (table, *corners[:2]) if table and corners else None


def anchor(found: Finding, tables: Sequence[ShownTable]) -> str:
    """Return where the cell of a finding is on the page; ``""`` when it is not shown."""
    place = place_of(found)
    for position, table in enumerate(tables):
        if place and table.name == place[0] and f"{column_letters(place[2])}{place[1]}" in table.texts:
            return _anchor(position, place[1], place[2])
    return ""


def _anchor(position: int, row: int, column: int) -> str:
    return f"cell-{position + 1}-{column_letters(column)}{row}"


def _doubtful(table: str, findings: Sequence[Finding]) -> _Doubtful:
    cells: _Doubtful = {}
    for number, found in enumerate(findings, start=1):
        place = place_of(found)
        if place and place[0] == table:
            cells.setdefault(place[1:], []).append((number, found))
    return cells


def _table(position: int, name: str, numbered: _Rows, doubtful: _Doubtful) -> ShownTable:
    width = min(max(len(row) for _, row in numbered), MOST_COLUMNS)
    marked = {row for row, _ in doubtful}
    shown = numbered[:MOST_ROWS] + [one for one in numbered[MOST_ROWS:] if one[0] in marked][:MOST_DOUBTFUL]
    rows, texts = [], {}
    for number, row in shown:
        cells: list[dict[str, Any]] = []
        for column in range(width):
            text = shown_value(row[column]) if column < len(row) else ""
            found = doubtful.get((number, column), [])
            texts[f"{column_letters(column)}{number}"] = text
            cells.append({"text": text, "number": found[0][0] if found else 0})
            if level := worst_level(one for _, one in found):
                cells[-1] |= {"level": level, "anchor": _anchor(position, number, column)}
        rows.append((number, cells))
    cut = len(shown) < len(numbered) or any(len(row) > MOST_COLUMNS for _, row in numbered)
    return ShownTable(name, tuple(map(column_letters, range(width))), tuple(rows), bool(doubtful), cut, texts)
