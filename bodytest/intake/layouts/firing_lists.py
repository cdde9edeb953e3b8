"""Lists of firings: on a tab of their own, or beside or below the bars of a table."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from bodytest.grids.grid import Grid, Place
from bodytest.intake.cells import read_date, read_text
from bodytest.intake.heading_row import find_heading_row, heading_texts
from bodytest.intake.layouts.headings import meaning, plain
from bodytest.intake.layouts.said import Said
from bodytest.intake.layouts.view import MOST_LINES
from bodytest.intake.layouts.vocabulary import TableName
from bodytest.intake.merged_cells import runs

Listed = tuple[Grid, dict[tuple[int, int], tuple[Place, ...]]]
"""A list of firings, and where each of its cells stands."""
MOST_PARTS = 100
"""Parts above which a table is not looked through for lists beside its bars."""


def lists_firings(grid: Grid) -> bool:
    """Tell whether a table lists firings: their codes, and a cone, a temperature or a day of each."""
    keys = {meaning(text, "firings").key for text in heading_texts(grid, "firings")}
    return "firing" in keys and bool(keys & {"cone", "peak_temperature", "date", "set_temperature"})


def lists_nothing_else(grid: Grid) -> bool:
    """Tell whether a table lists firings and holds no reading."""
    return lists_firings(grid) and not any(meaning(t, "bars").measured for t in heading_texts(grid, "firings"))


def firings_by_kiln_or_day(grids: Sequence[Grid], said: Said) -> tuple[list[Grid], Said]:
    """Return tables and what is said of them with each kiln, or each day, of a list taken for a firing.

    That is so where the list tells a day and a cone or a temperature of each, and bars name their kiln or day and no
    more.
    """
    found, heats = list(grids), {"cone", "peak_temperature", "set_temperature"}
    of_bars = [{meaning(text, "bars").key for text in heading_texts(grid, "bars")} for grid in grids]
    for at, grid in enumerate(grids):
        headings = find_heading_row(grid, "firings")
        keys = [meaning(text, "firings").key if text else "" for text in headings.texts] if headings else []
        if headings is None or "firing" in keys or keys.count("date") != 1 or not heats & {*keys}:
            continue
        told = set().union(*of_bars[:at], *of_bars[at + 1 :])
        name = next((key for key in ("kiln", "date") if key in told and keys.count(key) == 1), "")
        if name and not told & {"firing", *heats}:
            tables = found
            if name == "date":
                tables = [_in_iso(one, "firings" if k == at else "bars") for k, one in enumerate(found)]
            rows, column = [list(row) for row in tables[at].rows], keys.index(name)
            rows[headings.first_row - 1][column] = "firing"
            if _each_once(listed := replace(grid, rows=rows)):
                found = [*tables[:at], listed, *tables[at + 1 :]]
                texts = {text for one in grids for text in heading_texts(one, "bars")}
                typed = {plain(text): text for text in texts if meaning(text, "bars").key == name}
                columns = {**dict.fromkeys(typed, "firing"), **said.columns}
                said = replace(said, columns=columns, typed={**typed, **said.typed})
    return found, said


def _in_iso(grid: Grid, kind: TableName) -> Grid:
    """Return a table with the days in its column of dates written in one way."""
    headings = find_heading_row(grid, kind)
    keys = [meaning(text, kind).key if text else "" for text in headings.texts] if headings else []
    if headings is None or keys.count("date") != 1:
        return grid
    rows, column = [list(row) for row in grid.rows], keys.index("date")
    for row in rows[headings.first_row :]:
        if column < len(row) and row[column] != "":
            row[column] = read_date(row[column]) or row[column]
    return replace(grid, rows=rows)


def set_apart(grid: Grid) -> tuple[Grid, list[Listed]]:
    """Return a table without the lists of firings that blank lines part from its bars, and these with their cells."""
    if len(grid.rows) > MOST_LINES:
        return grid, []
    cells = {(row, c): cell for row, line in grid.below_headings(0) for c, cell in enumerate(line) if cell != ""}
    regions = list(_regions(cells))
    found: list[Listed] = []
    for rows, columns in regions if 1 < len(regions) <= MOST_PARTS else ():
        part = Grid(f"{grid.name}*{len(found) + 1}", [[cells.get((r, c), "") for c in columns] for r in rows])
        if lists_nothing_else(part) and _each_once(part):
            spots = ((r, c) for r in rows for c in columns if (r, c) in cells)
            found.append((part, {(r - rows[0] + 1, c - columns[0]): (Place(grid.name, r, c),) for r, c in spots}))
    if not found:
        return grid, []
    taken = {(place.row, place.column) for _, places in found for (place,) in places.values()}
    rest = [["" if (r, c) in taken else cell for c, cell in enumerate(line)] for r, line in grid.below_headings(0)]
    return Grid(grid.name, rest, grid.hidden, grid.hidden_rows, grid.hidden_columns, grid.merged, grid.numbers), found


def _regions(cells: Iterable[tuple[int, int]]) -> Iterator[tuple[range, range]]:
    """Yield the rows and columns of the parts of a table that blank columns part, and within these blank rows."""
    filled: dict[int, set[int]] = {}
    for row, column in cells:
        filled.setdefault(column, set()).add(row)
    for left, right in runs(filled):
        for top, bottom in runs(set().union(*(filled[column] for column in range(left, right + 1)))):
            yield range(top, bottom + 1), range(left, right + 1)


def _each_once(grid: Grid) -> bool:
    """Tell whether a list names each of its firings once, and no bars."""
    found = find_heading_row(grid, "firings")
    if found is None or any(meaning(text, "bars").key == "bar" for text in found.texts if text):
        return False
    column = next(c for c, text in enumerate(found.texts) if text and meaning(text, "firings").key == "firing")
    codes = [read_text(row[column]) for _, row in grid.below_headings(found.first_row)]
    return bool(codes) and "" not in codes and len(set(codes)) == len(codes)
