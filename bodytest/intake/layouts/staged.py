"""Tables in which each stage of a bar has a row of its own, seen with one row for each bar."""

from collections.abc import Sequence
from typing import Any

from bodytest.grids.grid import HEAD_ROWS, Grid
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.headings import meaning
from bodytest.intake.layouts.meant import is_reading
from bodytest.intake.layouts.said import Said
from bodytest.intake.layouts.view import View

_NAMES = ("bar", "body", "batch", "mark")


def staged(grid: Grid, said: Said) -> View | None:
    """Return a table of rows such as “bar 3, bone dry, 94.1 mm” with all readings of a bar beside each other.

    It has a column that names the bar, one whose cells are all stages, or a stage alone in a row above the bars that it
    is of, and lengths or masses that tell none themselves. None for any other table.
    """
    view = View(grid, said)
    for position, (_, row) in enumerate(view.lines[:HEAD_ROWS]):
        means = [meaning(said.heading(text), "bars") for text in map(read_text, row)]
        measures = [c for c, m in enumerate(means) if len(m.may_be) > 2 and all(map(is_reading, m.may_be))]
        if measures and any(m.key == "bar" for m in means):
            below = [[*cells, *[""] * (len(row) - len(cells))] for _, cells in view.lines[position + 1 :]]
            others = [c for c in range(len(row)) if c not in measures]
            names = [c for c in others if means[c].key in _NAMES]
            if (stage := next((c for c in others if _are_stages([cells[c] for cells in below])), None)) is not None:
                return _by_bar(view, position, _named(below, stage, names), stage, measures, names)
            if _are_stages(sections := [text for cells in below if (text := _alone(cells))]):
                return _by_bar(view, position, _told_above(below, {*sections}), len(row), measures, names)
    return None


def _named(below: Sequence[list[Any]], stage: int, names: Sequence[int]) -> list[list[Any]]:
    """Return rows with the names that stand once for all stages of a bar in each of them."""
    named: list[list[Any]] = []
    for cells in below:
        goes_on = named and cells[stage] != "" and "" in [cells[c] for c in names if named[0][c] != ""]
        named.append([named[-1][c] if goes_on and c in names and cell == "" else cell for c, cell in enumerate(cells)])
    return named


def _alone(cells: Sequence[Any]) -> str:
    """Return the one text in a row, nothing where more stands in it."""
    filled = [text for text in map(read_text, cells) if text]
    return filled[0] if len(filled) == 1 else ""


def _told_above(below: Sequence[list[Any]], sections: set[str]) -> list[list[Any]]:
    """Return rows with a column for the stage that stands above them."""
    told, stage = [], ""
    for cells in below:
        if (text := _alone(cells)) in sections:
            stage = text
            told.append([""] * (len(cells) + 1))
        else:
            told.append([*cells, stage])
    return told


def _are_stages(cells: Sequence[Any]) -> bool:
    """Tell whether cells name stages, two or more of them, and nothing else."""
    stages = {text.casefold() for text in map(read_text, cells) if text}
    return len(stages) > 1 and all(
        any(is_reading(meaning(f"{s} ({u})", "bars").key) for u in ("mm", "g")) for s in stages
    )


def _by_bar(
    view: View, position: int, below: Sequence[Sequence[Any]], stage: int, measures: Sequence[int], names: Sequence[int]
) -> View:
    """Return the view with a line for each bar, and further ones where a bar went through a stage again."""
    head = [read_text(cell) for cell in view.lines[position][1]]
    others = [c for c in range(len(head)) if c != stage and c not in measures]
    stages = list(dict.fromkeys(read_text(cells[stage]) for cells in below if read_text(cells[stage])))
    read = {(read_text(cells[stage]), c) for cells in below for c in measures if cells[c] != ""}
    columns = [(None, c) for c in others] + [(s, c) for s in stages for c in measures if (s, c) in read]
    lines: list[tuple[int, list[Any]]] = [*view.lines[:position]]
    first = lines[-1][0] + 1 if lines else 1
    lines.append((first, [head[c] if s is None else f"{s} {head[c]}" for s, c in columns]))
    origin = {(first, at): view.place(view.lines[position][0], c) for at, (_, c) in enumerate(columns)}
    latest: dict[tuple[str, ...], tuple[int, list[Any]]] = {}
    for (number, _), cells in zip(view.lines[position + 1 :], below, strict=True):
        if not any(map(read_text, cells)):
            continue
        name, told = tuple(read_text(cells[c]).casefold() for c in names), read_text(cells[stage])
        own = {at: cells[c] for at, (s, c) in enumerate(columns) if s in (None, told) and cells[c] != ""}
        row, line = latest.get(name, (0, []))
        if not line or any(line[at] != "" for at in own if columns[at][0]):
            row, line = lines[-1][0] + 1, [""] * len(columns)
            lines.append((row, line))
            latest[name] = row, line
        for at, value in own.items():
            if read_text(value) != read_text(line[at]):  # of several cones the last one counts, of remarks each
                both = line[at] != "" and meaning(head[columns[at][1]], "bars").key == "notes"
                line[at] = f"{read_text(line[at])}; {read_text(value)}" if both else value
                origin[row, at] = view.place(number, columns[at][1])
    grid = Grid(view.grid.name, [line for _, line in lines], numbers=tuple(number for number, _ in lines))
    return View(grid, view.said, origin=origin)
