"""Tables as the templates take them: finished strings, decimals lined up by figure spaces."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from bodytest.report.wording import VerdictMark, Voice

FIGURE_SPACE = "\N{FIGURE SPACE}"
_NUMBER = re.compile(r"[−-]?\d+(?:[.,]\d+)?")


@dataclass(frozen=True)
class Cell:
    """One cell."""

    text: str
    """What stands in it."""
    small: str = ""
    """A second, quieter line."""
    mark: VerdictMark | None = None
    """A verdict in place of the text."""
    link: str = ""
    """Address that the text leads to."""
    sort: str = ""
    """What a sortable table sorts it by, when not its text."""


@dataclass(frozen=True)
class Column:
    """One column: its heading and how it is set."""

    heading: str
    """Heading, with the unit of its numbers."""
    numeric: bool = False
    """Right-aligned, decimals lined up."""


@dataclass(frozen=True)
class Table:
    """A table with its caption; the first cell of each row is its heading."""

    caption: str
    """What the table shows."""
    columns: tuple[Column, ...]
    """From left to right."""
    rows: tuple[tuple[Cell, ...], ...]
    """From top to bottom."""
    note: str = ""
    """A sentence below."""
    key: str = ""
    """Name for links and scripts, unique on the page."""


def columns_of(
    voice: Voice, section: str, names: Sequence[str], numeric: Collection[str] = (), **blanks: str
) -> list[Column]:
    """Return columns with headings of one section of the wording; a name with a dot names its own section before it.

    ``numeric`` are the names of columns of numbers; ``blanks`` fill blanks of the headings.
    """
    keys = {name: name if "." in name else f"{section}.{name}" for name in names}
    return [Column(voice.say(key, **blanks), numeric=name in numeric) for name, key in keys.items()]


def table(
    caption: str,
    columns: Sequence[Column],
    rows: Sequence[Sequence[Cell | str]],
    *,
    note: str = "",
    key: str = "",
    whole: bool = False,
) -> Table:
    """Make a table; plain strings become cells, numeric columns are lined up.

    Columns in which no row has anything to show are left out, the first one apart, unless it is to be ``whole``.
    """
    cells = [[cell if isinstance(cell, Cell) else Cell(cell) for cell in row] for row in rows]
    for place, column in enumerate(columns):
        if column.numeric:
            lined = lined_up([row[place].text for row in cells])
            for row, text in zip(cells, lined, strict=True):
                old = row[place]
                row[place] = Cell(text, old.small, old.mark, old.link, old.sort or old.text)
    kept = [
        place
        for place in range(len(columns))
        if whole or not place or any(row[place].mark or row[place].text.strip(f" –{FIGURE_SPACE}") for row in cells)
    ]
    shown = tuple(tuple(row[place] for place in kept) for row in cells)
    return Table(caption, tuple(columns[place] for place in kept), shown, note, key)


def lined_up(texts: Sequence[str]) -> list[str]:
    """Pad the numbers of a right-aligned column with figure spaces, so that their decimal signs line up.

    >>> [text.replace(FIGURE_SPACE, "_") for text in lined_up(["9.4 ± 0.5", "12.19 ± 0.21", "–"])]
    ['9.4_ ± 0.5_', '12.19 ± 0.21', '–']
    """
    found = [_NUMBER.findall(text) for text in texts]
    places = max((len(numbers) for numbers in found), default=0)
    widths = [_widths([numbers[k] for numbers in found if len(numbers) > k]) for k in range(places)]
    return [_padded(text, widths) for text in texts]


def _parts(number: str) -> tuple[str, str]:
    sign = "," if "," in number else "."
    whole, _, decimals = number.partition(sign)
    return whole, f"{sign}{decimals}" if decimals else ""


def _widths(numbers: list[str]) -> tuple[int, int]:
    parts = [_parts(number) for number in numbers]
    return max(len(whole) for whole, _ in parts), max(len(decimals) for _, decimals in parts)


def _padded(text: str, widths: list[tuple[int, int]]) -> str:
    pieces: list[str] = []
    end = 0
    for k, found in enumerate(_NUMBER.finditer(text)):
        whole, decimals = _parts(found.group())
        before = FIGURE_SPACE * (widths[k][0] - len(whole)) if k else ""
        after = FIGURE_SPACE * (widths[k][1] - len(decimals))
        pieces += [text[end : found.start()], before, found.group(), after]
        end = found.end()
    return "".join([*pieces, text[end:]])
