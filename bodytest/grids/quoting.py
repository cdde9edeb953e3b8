"""Quotation marks in text tables: which rows have cells run together by one too many or too few."""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt


@dataclass(frozen=True)
class Records:
    """How the rows of a text table fall into cells."""

    widths: list[int]
    """Cells of each row."""
    stray: tuple[int, ...] = ()
    """Rows (from 0) in which something follows a closing quotation mark."""
    unclosed: int | None = None
    """Row (from 0) in which a quotation mark opens that is never closed."""


def cells(text: str, delimiter: str, *, strict: bool = False) -> Iterator[list[str]]:
    """Yield the cells of each row; a cell may be as long as the text, which a quotation mark never closed makes it."""
    before = csv.field_size_limit(max(len(text) + 1, csv.field_size_limit()))
    try:
        yield from csv.reader(io.StringIO(text), delimiter=delimiter, strict=strict)
    finally:
        csv.field_size_limit(before)


def records(text: str, delimiter: str) -> Records:
    """Return how a text table falls into cells, the way `csv.reader` takes it.

    >>> records('a,b\\n"1,"2,3\\n', ",")
    Records(widths=[2, 2], stray=(1,), unclosed=None)
    """
    if '"' not in text:
        lines = text.removesuffix("\n").split("\n")
        return Records([line.count(delimiter) + 1 if line else 0 for line in lines])
    try:
        return Records([len(row) for row in cells(text, delimiter, strict=True)])
    except csv.Error:  # a quotation mark too many or too few
        return _by_sign(text, delimiter)


def _by_sign(text: str, delimiter: str) -> Records:
    sign = re.escape(delimiter)
    cell = re.compile(
        rf'(?:"[^"]*(?:""[^"]*)*(?:"(?P<tail>[^{sign}\n]*)|(?P<open>\Z))|[^{sign}\n]*)(?P<end>{sign}|\n|\Z)'
    )
    widths: list[int] = []
    stray: set[int] = set()
    unclosed, position, width = None, 0, 0
    while position < len(text) or width:
        found = cell.match(text, position)
        if found is None:  # cannot be: the pattern takes anything
            break
        width, position = width + 1, found.end()
        if found["tail"]:
            stray.add(len(widths))
        if found["open"] is not None:
            unclosed = len(widths)
        if found["end"] != delimiter:
            widths.append(width if width > 1 or found.group().strip("\n") else 0)
            width = 0
    return Records(widths, tuple(sorted(stray)), unclosed)


def short_rows(widths: npt.NDArray[np.int64], headings: int) -> npt.NDArray[np.int64]:
    """Return the places of rows with fewer cells than the headings and than most rows; ``widths``: cells of each row.

    Programs leave blank cells at the end of a row out, so what most rows lack is not missed.

    >>> short_rows(np.array([5, 5, 4]), 6), short_rows(np.array([6, 5]), 6)
    (array([2]), array([1]))
    """
    counts = np.bincount(np.minimum(widths, headings), minlength=1)
    usual = len(counts) - 1 - counts[::-1].argmax()
    return np.flatnonzero(widths < usual)
