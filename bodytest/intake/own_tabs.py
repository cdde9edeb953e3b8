"""The tabs of a workbook of ours that hold no readings: which cells on them are ours and not typed by anybody."""

import re
import zlib
from functools import cache
from importlib.resources import files

from bodytest.grids.account import Account, Reason
from bodytest.grids.grid import Grid
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.headings import plain
from bodytest.tables import SHEETS_WITHOUT_READINGS

TITLE_OF_FINDINGS = re.compile(r"^Findings in (.+): \d+ to mend, \d+ to look at, \d+ to know$", re.DOTALL)
"""What the first cell of the list in front of a marked copy says."""
_FINDINGS_HEADINGS = ("level", "where", "what stands there", "what is wrong", "how to mend it", "code")
_FIRST_LISTS = ["bodies", "batches", "directions"]
"""Headings of the first lists of every version."""
_OPEN_LISTS = ("bodies", "batches")
"""Lists in which a number may be a name."""
_ROWS_OF_LISTS = 40
"""How far down the drop-down lists look."""


def is_own_tab(grid: Grid) -> bool:
    """Tell whether a table has the name of a tab of ours that holds no readings."""
    name = re.sub(r"\s*\(\d+\)$", "", grid.name)
    return plain(name) in map(plain, SHEETS_WITHOUT_READINGS)


def set_own_aside(grid: Grid, account: Account) -> bool:
    """Set aside what is ours on such a tab; False where nothing is."""
    rows = [(number, [read_text(cell) for cell in row]) for number, row in grid.below_headings(0)]
    before = len(account.left())
    for number, texts in rows:
        for column, text in enumerate(texts):
            if text_hash(text) in _own_texts():
                account.set_aside("guide", columns=[column], rows=number)
    _set_lists_aside(grid, account)
    _set_findings_aside(rows, account)
    return len(account.left()) < before


def text_hash(text: str) -> str:
    """Return the short number by which a text of ours is known.

    >>> text_hash("Take care")
    '85e87a5a'
    """
    return f"{zlib.crc32(' '.join(text.split()).encode()):08x}"


@cache
def _own_texts() -> frozenset[str]:
    """Return the numbers of the texts that blank workbooks of this and of earlier versions hold on their tabs."""
    return frozenset(files("bodytest.intake").joinpath("own_texts.txt").read_text(encoding="utf-8").split())


def _set_lists_aside(grid: Grid, account: Account) -> None:
    """Set aside the names for drop-down lists: below their headings, as far as the lists look, and no readings."""
    top = next(((n, row) for n, row in grid.head() if list(map(read_text, row[:3])) == _FIRST_LISTS), None)
    if top is None:
        return
    first, headings = top[0], list(map(read_text, top[1]))
    for number, row in grid.below_headings(0):
        for column, (heading, cell) in enumerate(zip(headings, row, strict=False)):
            open_list = number > first and heading in _OPEN_LISTS
            if number <= first + _ROWS_OF_LISTS and (open_list or (heading and isinstance(cell, str))):
                reason: Reason = "title" if number <= first else "names for lists"
                account.set_aside(reason, columns=[column], rows=number)


def _set_findings_aside(rows: list[tuple[int, list[str]]], account: Account) -> None:
    """Set aside the list of findings of a marked copy: its words, its headings, and lines that end with a code."""
    from bodytest.findings import catalogue

    if not rows or not rows[0][1] or not TITLE_OF_FINDINGS.match(rows[0][1][0]):
        return
    top = next((n for n, texts in rows if tuple(texts[:6]) == _FINDINGS_HEADINGS), 0)
    for number, texts in rows:
        ours = (number < top and not any(texts[1:])) or number == top or (len(texts) > 5 and texts[5] in catalogue())
        if ours:
            account.set_aside("list of findings", columns=range(6), rows=number)
