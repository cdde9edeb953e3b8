"""The days on which bars were measured: dates of the Bars table as numbers, merged and compared as readings are."""

import datetime
from dataclasses import dataclass

import numpy as np

from bodytest.intake.cells import day_number, read_text
from bodytest.intake.columns import ReadTable
from bodytest.quantities import DATES
from bodytest.rounding import counted
from bodytest.units import iso_day


@dataclass(frozen=True)
class FiringDay:
    """The date of one firing."""

    day: float
    """Number of the day."""
    cell: str
    """Its cell …"""
    sheet: str
    """… and the name of the workbook in which it stands."""


def read_days(table: ReadTable) -> None:
    """Add the dates of measuring to the numbers of a table; odd ones are asked about, once a column."""
    today = datetime.date.today().toordinal()
    for key in (one.key for one in DATES if one.key in table.raw):
        cells = table.raw[key]
        texts = np.array([read_text(cell) for cell in cells], dtype=object)
        days = [day_number(cell) for cell in cells]
        table.numbers[key] = numbers = np.array([np.nan if day is None else day for day in days])
        unclear = np.array([day is None for day in days], dtype=bool)
        for text in dict.fromkeys(texts[unclear]):
            words = {"value": text, "what": "the readings were used without it"}
            _ask(table, "date-unclear", key, np.flatnonzero(texts == text), words)
        for day in np.unique(numbers[numbers > today]).tolist():
            words = {"value": iso_day(day), "what": "it was kept"}
            _ask(table, "date-after-today", key, np.flatnonzero(numbers == day), words)
        table.set_nothing_aside(key)


def _ask(table: ReadTable, code: str, key: str, positions: np.ndarray, words: dict[str, str]) -> None:
    """Ask about the same date in several cells of a column, at the first of them."""
    first, *others = positions.tolist()
    table.tell(code, key, first, more=also(len(others)), **words)
    for position in others:
        table.notes.mention(table.name, int(table.rows[position]), table.used[key].index)


def also(count: int) -> str:
    """Say in how many further rows the same stands, nothing where in none.

    >>> also(0), also(1), also(9)
    ('', ' (so in 1 further row)', ' (so in 9 further rows)')
    """
    return f" (so in {counted(count, 'further row')})" if count else ""
