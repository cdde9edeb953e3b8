"""Where the headings stand: below title rows, in one row or two, and what each column then means."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from bodytest.grids.grid import Grid, Place
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.headings import (
    DEFAULT_UNITS,
    heading_words,
    match_heading,
    meaning,
    nearest_heading,
    split_unit,
    unit_fits,
)
from bodytest.intake.layouts.vocabulary import Column, TableName
from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY
from bodytest.units import DAY, canonical_unit


@dataclass(frozen=True)
class UsedColumn:
    """One column of a table that is understood."""

    column: Column
    """What it means."""
    index: int
    """Its place, from 0."""
    unit: str
    """Unit of its numbers; ``""`` for texts."""


@dataclass(frozen=True)
class Headings:
    """The headings of one table."""

    first_row: int
    """Position in the grid of the first row below them."""
    texts: tuple[str, ...]
    """What stands above each column."""
    used: dict[str, UsedColumn] = field(default_factory=dict)
    """The columns understood, by key."""
    height: int = 1
    """Rows that the headings take."""
    computed: frozenset[int] = frozenset()
    """Places of columns that a sheet computes for its reader's eye."""
    unknown: frozenset[int] = frozenset()
    """Places of columns that nothing is known of, so that they may tell bars apart."""
    doubled: frozenset[str] = frozenset()
    """Keys that several columns stand for which do not hold the same."""

    @property
    def width(self) -> int:
        """Columns to read."""
        return max((use.index for use in self.used.values()), default=-1) + 1


_DIVIDES = frozenset({"bar", "body", "batch", "firing", "direction", "cone", "peak temperature"})
"""Columns that say which bars belong together; another one that is misspelt divides none."""
MOST_SCORED, MOST_COMPARED = 1000, 200
"""Columns by which a row is told to be headings; unknown headings for which the nearest known one is looked up."""
ALMOST = 0.7
"""Share of the most headings in a row that an earlier row needs to be taken for the headings."""


_MOST_MEANINGS = 4
"""Meanings that a question names."""


@dataclass(frozen=True)
class _Candidate:
    score: int
    index: int
    height: int
    texts: tuple[str, ...]


def find_heading_row(grid: Grid, table: TableName) -> Headings | None:
    """Return the headings without their meaning, None when no row looks like headings.

    Of several rows that look like headings the first one counts, unless a later one is much more like it.
    """
    head = [[read_text(cell) for cell in row] for _, row in grid.head()]
    options = [_better_of_two(grid, head, index, table) for index in range(len(head))]
    most = max((option.score for option in options), default=0)
    best = next((option for option in options if option.score >= max(2, ALMOST * most)), None)
    return None if best is None else Headings(best.index + best.height, best.texts, height=best.height)


def heading_texts(grid: Grid, table: TableName) -> list[str]:
    """Return the texts of the headings, none where no row looks like headings."""
    found = find_heading_row(grid, table)
    return [text for text in found.texts if text] if found else []


def _better_of_two(grid: Grid, head: list[list[str]], index: int, table: TableName) -> _Candidate:
    """Return a row as headings, joined with the row below it where that makes more of them."""
    alone = _Candidate(_score(head[index], table), index, 1, tuple(head[index]))
    if index + 1 == len(head) or grid.row_number(index + 1) != grid.row_number(index) + 1 or not any(head[index]):
        return alone
    together = joined(grid, grid.row_number(index), head[index], head[index + 1])
    if together is None:
        return alone
    both = _Candidate(_score(together, table), index, 2, tuple(together))
    if both.score <= _score(head[index + 1], table):  # a title above the headings
        return alone
    return both if both.score > alone.score or _adds_units(both, alone) else alone


def _adds_units(option: _Candidate, best: _Candidate) -> bool:
    """Tell whether the option only adds units: they change no score but belong to the headings."""
    more, fewer = (sum(split_unit(text)[1] is not None for text in one.texts) for one in (option, best))
    return option.score == best.score and more > fewer


def _score(row: Sequence[str], table: TableName) -> int:
    return len({found.key for text in row[:MOST_SCORED] if text and (found := match_heading(text, table)[0])})


def joined(grid: Grid, number: int, upper: list[str], lower: list[str]) -> list[str] | None:
    """Join a spreadsheet row of headings with the one below it; None when the lower one is plainly no heading.

    An upper heading holds for the columns that it is merged over; one that is not merged for those on its right up to
    the next one, but for those whose own words name a column that is no reading.
    """
    filled = [text for text in lower if text]
    if not filled or any(_is_number(text) for text in filled):
        return None
    width = max(len(upper), len(lower))
    above = [*upper, *[""] * (width - len(upper))]
    below = [*lower, *[""] * (width - len(lower))]
    merged = {left: right for top, left, bottom, right in grid.merged if top <= number <= bottom}
    both, carried, end = [], "", -1
    for column, (over, under) in enumerate(zip(above, below, strict=True)):
        if over:
            carried, end = over, merged.get(column, -1)
        elif column > end and (end >= 0 or not under):
            carried, end = "", -1
        group = carried if over or column <= end or not _names_column(under) else ""
        name = f"({under.strip('()[]')})" if _is_unit(under.strip("()[] "), group) else under
        both.append(_with_unit_last(group, name) if under else group)
    return both


def _is_unit(text: str, upper: str) -> bool:
    """Tell whether a text is a unit, or min below a time: below a reading that is the smallest one."""
    column = match_heading(f"{upper} (min)", "firings")[0] if text == "min" else None
    return canonical_unit(text) is not None or (column is not None and column.kind == "minutes")


def _names_column(text: str) -> bool:
    """Tell whether a heading alone names a column that is no reading and no mark of one."""
    found = meaning(text, "bars")
    return found.key not in ("", "mark") and not found.measured


def _with_unit_last(upper: str, lower: str) -> str:
    """Join two texts so that a unit of the upper one stands at the end.

    >>> _with_unit_last("length (mm)", "wet"), _with_unit_last("wet length", "(mm)")
    ('length wet (mm)', 'wet length (mm)')
    """
    name, unit = split_unit(upper)
    return f"{name} {lower} ({unit})" if unit and split_unit(lower)[1] is None else f"{upper} {lower}".strip()


def _is_number(text: str) -> bool:
    return text.replace(",", ".").replace(".", "", 1).isdigit()


def understand(headings: Headings, grid: Grid, table: TableName, notes: Notebook) -> Headings:
    """Give each heading its meaning and unit; write down what is unknown, in doubt, doubled or without a unit."""
    named: dict[str, list[UsedColumn]] = {}
    computed: set[int] = set()
    unknown: set[int] = set()
    written = 0
    row = grid.row_number(headings.first_row - 1)
    for index, text in enumerate(headings.texts):
        if not text:
            continue
        place: dict[str, Any] = {"table": grid.name, "row": row, "column": index, "value": text}
        column, unit = match_heading(text, table)
        if column is None:
            written += 1
            write_unknown(text, table, place, notes, compare=written <= MOST_COMPARED)
            if _may_divide(text, table):
                unknown.add(index)
        elif column.kind == "computed":
            computed.add(index)
        elif (chosen := _unit_of(column, unit, place, notes)) is not None:
            named.setdefault(column.key, []).append(UsedColumn(column, index, chosen))
    used = _single(headings, grid, named, notes)
    doubled = frozenset(set(named) - set(used))
    return replace(headings, used=used, computed=frozenset(computed), unknown=frozenset(unknown), doubled=doubled)


def _single(
    headings: Headings, grid: Grid, named: dict[str, list[UsedColumn]], notes: Notebook
) -> dict[str, UsedColumn]:
    """Return the one column for each key; several that do not hold the same are written down."""
    used: dict[str, UsedColumn] = {}
    row = grid.row_number(headings.first_row - 1)
    for key, alike in named.items():
        if len(alike) == 1 or _agree(grid, headings, [one.index for one in alike]):
            used[key] = alike[0]
        else:
            doubled = [(Place(grid.name, row, one.index), headings.texts[one.index]) for one in alike]
            write_doubled(doubled, alike[0].column.heading, notes)
    return used


def _may_divide(text: str, table: TableName) -> bool:
    """Tell whether an unknown heading may stand above what tells bars apart."""
    found = meaning(text, table)
    reading = split_unit(text)[1] is not None or any(key in READING_BY_KEY for key in found.may_be)
    near = nearest_heading(text, table)
    return not found.passed_over and not reading and (near is None or near in _DIVIDES)


def quantities_in_doubt(keys: Sequence[str]) -> dict[str, Any]:
    """Return the words that ask which of several quantities percentages are of."""
    return {"meanings": "” or “".join(QUANTITY_BY_KEY[key].words for key in keys), "first": keys[0]}


def write_unknown(text: str, table: TableName, place: dict[str, Any], notes: Notebook, *, compare: bool) -> None:
    """Write down a heading that is not read: what it may mean, what it is misspelt for, or that it is unknown."""
    may_be = meaning(text, table).may_be
    if compare and len(may_be) < 2 and (near := nearest_heading(text, table)) is not None:
        notes.add("heading-misspelt", **place, nearest=near)
    elif may_be:
        meant = [heading_words(key) for key in may_be[:_MOST_MEANINGS]]
        meant += ["a reading at another stage"] if len(may_be) > _MOST_MEANINGS else []
        notes.add("heading-in-doubt", **place, meanings="” or “".join(meant), first=meant[0])
    else:
        notes.add("heading-unknown", **place)


def _agree(grid: Grid, headings: Headings, places: list[int]) -> bool:
    """Tell whether columns hold the same wherever two of them are filled."""
    body = grid.below(headings.first_row, max(places) + 1, frozenset(places))
    first, *others = ([read_text(cell) for cell in body.columns[place]] for place in places)
    return all(a == b for other in others for a, b in zip(first, other, strict=True))


def write_doubled(doubled: Sequence[tuple[Place, str]], heading: str, notes: Notebook, and_no_bar: str = "") -> None:
    """Write down headings that mean the same above columns that do not hold the same: none of them is read."""
    (at, first), *others = doubled
    for place, text in others:
        words: dict[str, Any] = {"heading": heading, "first": first, "first_cell": notes.address(*at)}
        notes.add("heading-twice", **place._asdict(), value=text, **words, and_no_bar=and_no_bar)
        notes.mention(*at)


def _unit_of(column: Column, unit: str | None, place: dict[str, Any], notes: Notebook) -> str | None:
    """Return the unit of a column, ``""`` for texts, None when its numbers cannot be used."""
    if column.kind not in DEFAULT_UNITS:
        return DAY.unit if column.kind == DAY.name else ""
    default = DEFAULT_UNITS[column.kind]
    written = {"minutes": ("min", "minutes"), "percent": ("%",)}.get(column.kind, ())
    if unit is None or unit in written:
        if not written:
            notes.add("unit-missing", **place, default=default)
        return default
    canonical = canonical_unit(unit)
    if canonical is None or not unit_fits(canonical, column.kind):
        notes.add("unit-unknown", **place, unit=unit, heading=column.heading, kind=column.kind)
        return None
    return canonical
