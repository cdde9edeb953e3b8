"""A table as it is looked at: its filled lines, or the same turned over, with the way back to its cells."""

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from bodytest.grids.grid import Grid, Place
from bodytest.intake.cells import read_date, read_text, slashed_days
from bodytest.intake.layouts.said import Said
from bodytest.units import parse_measure

MOST_LINES = 4096
"""Columns above which a table is not looked at from the side."""

_MONTH = re.compile(
    r"\b(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?"
    r"|nov(?:ember)?|dec(?:ember)?)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class View:
    """One table, or the same turned over so that its columns are lines."""

    grid: Grid
    """The table, or the turned one."""
    said: Said
    """What the user said of headings."""
    turned: bool = False
    """Is it turned over?"""
    origin: Mapping[tuple[int, int], Place] | None = None
    """Row and column → where the cell stands, where the table was put together anew."""

    @cached_property
    def lines(self) -> list[tuple[int, list[Any]]]:
        """The rows that hold something, with their numbers."""
        return [(number, row) for number, row in self.grid.below_headings(0) if any(cell != "" for cell in row)]

    def column(self, lines: range, column: int) -> list[tuple[int, Any]]:
        """Return what stands in a column of some lines, by their positions, with the number of its row."""
        rows = (self.lines[line] for line in lines)
        return [(number, row[column]) for number, row in rows if column < len(row) and row[column] != ""]

    def across(self, column: int) -> list[Any]:
        """Return what stands in a column, line by line."""
        return [row[column] if column < len(row) else "" for _, row in self.lines]

    def place(self, row: int, column: int) -> Place:
        """Return where a cell of the view stands in the workbook."""
        if self.origin is not None:
            return self.origin.get((row, column), Place(self.grid.name, row, column))
        return Place(self.grid.name, column + 1, row - 1) if self.turned else Place(self.grid.name, row, column)


def turned(grid: Grid, said: Said) -> View | None:
    """Return a table with its columns as lines; None for one that is too large to be typed so."""
    filled = View(grid, said).lines
    if not filled or filled[-1][0] > MOST_LINES:
        return None
    width, height = max(len(row) for _, row in filled), filled[-1][0]
    rows: list[list[Any]] = [[""] * height for _ in range(width)]
    for number, row in filled:
        for column, cell in enumerate(row):
            rows[column][number - 1] = cell
    merged = tuple((left + 1, top - 1, right + 1, bottom - 1) for top, left, bottom, right in grid.merged)
    return View(Grid(grid.name, rows, merged=merged), said, turned=True)


def is_number(cell: Any) -> bool:
    """Tell whether a cell holds a number, with or without a unit.

    >>> is_number(88.2), is_number("87,5 mm"), is_number('3 7/16"'), is_number("A1")
    (True, True, True, False)
    """
    if isinstance(cell, str):
        text = cell.strip().removesuffix("%").rstrip()
        return text[:1].isdigit() and (parse_measure(text) is not None or "/" in text)
    return isinstance(cell, (int, float)) and not isinstance(cell, bool)


def is_day(cell: Any) -> bool:
    """Tell whether a cell holds a day, also one without its year.

    >>> is_day("3 May"), is_day("late Sept"), is_day("2026-05-03"), is_day(88.2), is_day("broke")
    (True, True, True, False, False)
    """
    text = read_text(cell)
    return isinstance(cell, datetime.date) or bool(read_date(text) or slashed_days(text) or _MONTH.search(text))
