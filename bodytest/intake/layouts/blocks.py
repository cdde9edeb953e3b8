"""Blocks of bars: what stands below one line of headings, in a table as it is or turned over."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

from bodytest.grids.grid import LAST_COLUMN, Grid, Place
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.heading_lines import heading_lines
from bodytest.intake.layouts.headings import meaning
from bodytest.intake.layouts.headless import names_bars, names_bodies
from bodytest.intake.layouts.meant import Meaning, is_fired
from bodytest.intake.layouts.titles import heat_beside, labelled_values, read_title
from bodytest.intake.layouts.view import View, is_day, is_number
from bodytest.units import canonical_unit

_WIDEST = LAST_COLUMN + 1
"""Columns of the widest table."""


@dataclass(frozen=True)
class Heading:
    """What stands above one column of a block; nothing where its cells alone show that they name the bars."""

    column: int
    """Its column in the view."""
    text: str
    """Its text, joined where it stands in several cells."""
    places: tuple[Place, ...]
    """Its cells."""
    names: str = "bar"
    """What the cells name where it has no text."""
    of_days: bool = False
    """Does it name a stage, and days stand below it: cut on, out of the kiln?"""

    @property
    def means(self) -> Meaning:
        """What it means."""
        found = meaning(self.text, "bars") if self.text else Meaning(self.names)
        if not found.known and self.heat:
            found = meaning(heat_beside(self.text)[0], "bars")
        if self.of_days:
            return Meaning("date") if "fired_length" in found.may_be else Meaning(passed_over=True)
        return found

    @property
    def heat(self) -> str:
        """Cone or temperature that it names beside a reading of a fired bar, which was read after that firing."""
        rest, heat = heat_beside(self.text)
        return heat if heat and is_fired(meaning(rest, "bars").key) else ""

    @property
    def measured(self) -> bool:
        """Whether a reading or a percentage stands below it, also one that is in doubt."""
        return self.means.measured


@dataclass(frozen=True)
class Block:
    """Bars below one line of headings."""

    view: View
    """Where it stands."""
    headings: tuple[Heading, ...]
    """Its headings, from the left."""
    heading_lines: range
    """Positions of the lines that they take."""
    body: range
    """Positions of the lines below them, to the next headings."""
    above: tuple[tuple[Place, str], ...] = ()
    """Texts above the headings that speak of these columns, the nearest first."""
    columns: range = field(default=range(0))
    """Columns of the view that belong to it alone."""

    def cell(self, position: int, column: int) -> Any:
        """Return a cell of one of its lines."""
        row = self.view.lines[position][1]
        return row[column] if column < len(row) else ""

    def place(self, position: int, column: int) -> Place:
        """Return where a cell of one of its lines stands in the workbook."""
        return self.view.place(self.view.lines[position][0], column)

    @cached_property
    def tail(self) -> range:
        """Positions of its last lines, below an empty one, in which no number stands that no label explains."""
        start, lines = self.body.stop, self.view.lines
        for position in reversed(self.body):
            if _is_numbered(lines[position][1]):
                break
            if lines[position][0] > lines[position - 1][0] + 1:
                start = position
        return range(start, self.body.stop)

    def filled(self) -> Iterator[tuple[int, int, Place]]:
        """Yield line, column and place of each filled cell under its headings or in its own columns, and of these."""
        headed = {h.column for h in self.headings}
        for line in (*self.heading_lines, *self.body):
            for column, cell in enumerate(self.view.lines[line][1]):
                if cell != "" and (column in headed or column in self.columns):
                    yield line, column, self.place(line, column)

    @cached_property
    def measured(self) -> frozenset[int]:
        """Its columns of readings or percentages, also of those in doubt."""
        return frozenset(h.column for h in self.headings if h.measured)

    def is_measured(self, position: int) -> bool:
        """Tell whether one of its lines holds a number below a heading of readings."""
        return any(is_number(self.cell(position, column)) for column in self.measured)

    @cached_property
    def codes(self) -> frozenset[str]:
        """Codes of its bars that have a number in them, in small letters."""
        columns = [h.column for h in self.headings if h.means.key == "bar"]
        lines = [line for line in self.body if self.is_measured(line)] if columns else []
        texts = (read_text(self.cell(line, column)).casefold() for line in lines for column in columns)
        return frozenset(text for text in texts if any(map(str.isdigit, text)))

    @cached_property
    def readings(self) -> int:
        """How many numbers stand below headings of readings or percentages."""
        measured = [h.column for h in self.headings if h.measured and canonical_unit(h.text) is None]
        return sum(is_number(self.cell(position, column)) for position in self.body for column in measured)


def blocks_with_readings(view: View | None) -> list[Block]:
    """Return the blocks of a view that hold a reading, below or beside each other; none where there is no view."""
    return [block for block in _blocks(view) if block.readings] if view is not None else []


def _blocks(view: View) -> list[Block]:
    """Return the blocks under all lines of headings."""
    heads = list(heading_lines(view))
    found: list[Block] = []
    for number, (lines, texts) in enumerate(heads):
        before = heads[number - 1][0].stop if number else 0
        end = heads[number + 1][0].start if number + 1 < len(heads) else len(view.lines)
        headings, titles = _headings(view, lines, texts, range(lines.stop, end)), []
        for heading in list(headings):
            if not heading.means.known and not view.column(range(lines.stop, end), heading.column):
                headings.remove(heading)
                titles += [(place, heading.text) for place in heading.places]
        titles += _across(view, {h.column for h in headings})
        headings = [*_headless(view, headings, lines, range(lines.stop, end)), *headings]
        parts = list(_side_by_side(headings))
        for columns, part in parts:
            block = Block(view, part, lines, range(lines.stop, end), columns=columns)
            own = [told for told in titles if not view.turned or _below(told[0], parts) is part]
            found.append(replace(block, above=(*own, *_above(block, before, [wide for wide, _ in parts]))))
    blocks = map(_without_next_title, found)
    return [replace(block, above=(*block.above, *_beside(block))) for block in blocks]


def _across(view: View, headed: Collection[int]) -> Iterator[tuple[Place, str]]:
    """Yield what labels and their values say in rows of a table turned over that have no heading."""
    width = max(len(row) for _, row in view.lines) if view.turned else 0
    for column in set(range(width)) - set(headed):
        for line, text in labelled_values(view.across(column)).items():
            yield view.place(view.lines[line][0], column), text


def _below(place: Place, parts: Sequence[tuple[range, tuple[Heading, ...]]]) -> tuple[Heading, ...]:
    """Return the first part of a table turned over that reaches below a title."""
    return next((part for _, part in parts if part[-1].column >= place.row), parts[-1][1])


def _headless(view: View, headings: Sequence[Heading], lines: range, below: range) -> Iterator[Heading]:
    """Yield columns without a heading that stand before the readings and name bars or bodies, where no other does."""
    measured = min((h.column for h in headings if h.measured), default=0)
    keys = {"bar" if h.means.bar else h.means.key for h in headings}
    columns = set(range(measured)) - {h.column for h in headings}
    rows = [row for _, row in (view.lines[line] for line in below) if any(map(is_number, row[measured:]))]
    for key, names in (("bar", names_bars), ("body", names_bodies)):
        if key not in keys and rows:
            column = next((c for c in columns if names([read_text(row[c]) for row in rows])), None)
            if column is not None:
                columns.remove(column)
                yield Heading(column, "", (view.place(view.lines[lines[-1]][0], column),), key)


def _headings(view: View, lines: range, texts: Sequence[str], below: range) -> list[Heading]:
    found = []
    for column, text in enumerate(texts):
        if text:
            numbers = [number for number, _ in view.column(lines, column)] or [view.lines[lines.stop - 1][0]]
            places = tuple(view.place(number, column) for number in numbers)
            found.append(Heading(column, text, places, of_days=_names_days(view, text, below, column)))
    return found


def _names_days(view: View, text: str, below: range, column: int) -> bool:
    """Tell whether a heading that may be of a length or of a mass has nothing but days below it."""
    cells = view.column(below, column) if len(meaning(text, "bars").kinds) > 1 else []
    return bool(cells) and all(is_day(cell) for _, cell in cells)


def _side_by_side(headings: Sequence[Heading]) -> Iterator[tuple[range, tuple[Heading, ...]]]:
    """Yield the headings of each block beside the others: the same columns come again, after some that all share."""
    keys = [(h.means.key or h.text.casefold(), h.means.mark, h.means.bar) for h in headings]
    for shared in range(min(4, len(keys))):
        rest = keys[shared:]
        for length in range(2, len(rest) // 2 + 1):
            again = rest == rest[:length] * (len(rest) // length)
            if again and any(h.measured for h in headings[shared : shared + length]):
                starts = [0, *(headings[at].column for at in range(shared + length, len(keys), length)), _WIDEST]
                for time, (start, end) in enumerate(pairwise(starts)):
                    first = shared + time * length
                    yield range(start, end), (*headings[:shared], *headings[first : first + length])
                return
    yield range(_WIDEST), tuple(headings)


def _above(block: Block, before: int, widths: Sequence[range]) -> Iterator[tuple[Place, str]]:
    """Yield texts above the headings, the nearest first, up to the last line with readings of the block before.

    A line that stands above one of the blocks beside each other alone speaks of all of them.
    """
    width = block.columns
    for position in range(block.heading_lines.start - 1, before - 1, -1):
        number, row = block.view.lines[position]
        if before and _is_numbered(row):
            return
        pairs = labelled_values(row)
        filled = {column for column, cell in enumerate(row) if cell != ""}
        alone = any(filled <= set(wide) for wide in widths)
        for column, cell in enumerate(row):
            is_text = isinstance(cell, str) and column + 1 not in pairs and not _is_label(row, column)
            text = pairs.get(column) or (read_text(cell) if is_text else "")
            if text and (
                alone or column in width or any(c in width for c in _merged_over(block.view.grid, number, column))
            ):
                yield block.view.place(number, column), text


def _is_label(row: Sequence[Any], column: int) -> bool:
    """Tell whether a cell ends with a colon and something stands behind it."""
    return read_text(row[column]).endswith(":") and any(cell != "" for cell in row[column + 1 : column + 2])


def remarks(block: Block) -> Iterator[tuple[Place, str]]:
    """Yield the texts below the headings that stand alone in a row or in a column without a heading."""
    headed = {heading.column for heading in block.headings}
    for line in block.body:
        filled = [column for column, cell in enumerate(block.view.lines[line][1]) if cell != ""]
        for column in filled:
            cell = block.cell(line, column)
            if isinstance(cell, str) and not is_number(cell) and (len(filled) == 1 or column not in headed):
                yield block.place(line, column), cell


def _beside(block: Block) -> Iterator[tuple[Place, str]]:
    """Yield what labels with their values say beside the bars, and they or a sentence below an empty line."""
    headed = {heading.column for heading in block.headings}
    for position in (*block.heading_lines, *block.body):
        row = block.view.lines[position][1]
        for column, text in labelled_values(row).items():
            apart = column in block.columns and not headed & {column - 1, column}
            if apart or position in block.tail:
                yield block.place(position, column), text
        alone = [(column, text) for column, cell in enumerate(row) if (text := read_text(cell))]
        if position in block.tail and len(alone) == 1 and read_title(alone[0][1]).heated:
            yield block.place(position, alone[0][0]), alone[0][1]


def _is_numbered(row: Sequence[Any]) -> bool:
    """Tell whether a line holds a number that no label before it explains, as in Clay, Torvan, Cone, 6."""
    labelled = labelled_values(row)
    return any(is_number(cell) and column not in labelled for column, cell in enumerate(row))


def _merged_over(grid: Grid, row: int, column: int) -> range:
    return next(
        (range(left, right + 1) for top, left, bottom, right in grid.merged if top <= row <= bottom and left == column),
        range(0),
    )


def _without_next_title(block: Block) -> Block:
    """Leave out the lines at the end that are the title of the next block."""
    end = block.body.stop
    if end < len(block.view.lines):
        while end > block.body.start and not _is_numbered(block.view.lines[end - 1][1]):
            end -= 1
    return replace(block, body=range(block.body.start, end))
