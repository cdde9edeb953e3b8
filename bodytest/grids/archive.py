"""Workbooks as they were opened, kept in a results file, so that years of sheets can be analysed again without them.

A cell is a number, a text, true or false as in JSON; what JSON has no word for is an object that names its kind.
"""

import datetime
import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

from pydantic_core import to_json

from bodytest.errors import UnreadableResults
from bodytest.files.inputs import called
from bodytest.files.own_files import is_sealed
from bodytest.files.results_file import read_document
from bodytest.grids.delimited import TextGrid, text_grid
from bodytest.grids.grid import (
    LAST_COLUMN,
    LAST_ROW,
    CellError,
    Grid,
    Oddity,
    Uncalculated,
    Unreadable,
    without_blank_end,
)
from bodytest.grids.opening import OpenedSource, Workbook

KEY = "workbooks"
"""Where the workbooks stand in the document, in the order of ``sheets``."""


def sources_in(path: Path) -> list[OpenedSource]:
    """Return the workbooks that a results file keeps.

    Raises:
        UnreadableResults: it is no results file, is damaged, or keeps no workbooks.
    """
    document = read_document(path)
    kept = document.get(KEY)
    if not kept:
        raise UnreadableResults("results-without-readings", sheet=called(path))
    changed = () if is_sealed(path) else (Oddity("results-changed", path.name),)
    try:
        return [
            OpenedSource(path.parent / Path(sheet["name"]).name, _workbook(one, sheet["sha256"], changed))
            for one, sheet in zip(kept, document["sheets"], strict=True)
        ]
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        what = "the cells of its sheets are not as bodytest writes them"
        raise UnreadableResults("results-damaged", sheet=called(path), value=document["version"], what=what) from None


def workbook_chunks(workbook: Workbook) -> Iterator[bytes]:
    """Yield a workbook as a JSON object, a row a line."""
    head: dict[str, Any] = {"readable": workbook.readable, "notes": [_of_oddity(one) for one in workbook.notes]}
    if any(workbook.said):
        head["said"] = workbook.said
    yield b"  " + to_json(head).removesuffix(b"}") + b',"tables":['
    separator = b"\n"
    for grid in workbook.grids:
        yield separator
        yield from _table_chunks(grid)
        separator = b",\n"
    yield b"]}"


def _table_chunks(grid: Grid) -> Iterator[bytes]:
    if isinstance(grid, TextGrid):
        yield b"   " + to_json({"name": grid.name, "delimiter": grid.delimiter, "text": grid.content})
        return
    head = {
        "name": grid.name,
        "hidden": grid.hidden,
        "hidden_rows": sorted(grid.hidden_rows),
        "hidden_columns": sorted(grid.hidden_columns),
        "merged": grid.merged,
        "oddities": [_of_oddity(one) for one in grid.oddities],
    }
    yield b"   " + to_json(head).removesuffix(b"}") + b',"rows":['
    separator = b"\n"
    for index, row in enumerate(grid.rows):
        yield separator + b"    " + to_json([grid.row_number(index), *map(_of_cell, without_blank_end(row))])
        separator = b",\n"
    yield b"]}"


def without_cells(grid: Grid) -> Grid:
    """Return a table in which a dash stands in the place of each filled cell."""
    rows = [[cell if cell == "" else "–" for cell in row] for row in grid.rows]
    return replace(grid, rows=rows, oddities=())


def _of_cell(cell: Any) -> Any:
    if type(cell) in {str, bool, int} or cell is None or (type(cell) is float and math.isfinite(cell)):
        return cell
    for kind, (cls, write, _) in _KINDS.items():
        if type(cell) is cls:
            return {kind: write(cell)}
    return str(cell)


_KINDS: dict[str, tuple[type, Callable[[Any], Any], Callable[[Any], Any]]] = {
    "number": (float, repr, float),
    "moment": (datetime.datetime, datetime.datetime.isoformat, datetime.datetime.fromisoformat),
    "date": (datetime.date, datetime.date.isoformat, datetime.date.fromisoformat),
    "time": (datetime.time, datetime.time.isoformat, datetime.time.fromisoformat),
    "span": (
        datetime.timedelta,
        lambda span: [span.days, span.seconds, span.microseconds],
        lambda span: datetime.timedelta(*span),
    ),
    "error": (CellError, lambda cell: cell.shown, lambda told: CellError(str(told))),
    "unreadable": (Unreadable, lambda cell: [cell.shown, cell.why], lambda told: Unreadable(*map(str, told))),
    "formula": (Uncalculated, lambda cell: cell.formula, lambda told: Uncalculated(str(told))),
}
"""Kinds of cells that JSON has no word for: their type, how they are written and how they are read."""


def _cell(kept: Any) -> Any:
    if isinstance(kept, dict):
        ((kind, told),) = kept.items()
        return _KINDS[kind][2](told)
    if isinstance(kept, str | bool) or kept is None:
        return kept
    return float(kept)


def _of_oddity(odd: Oddity) -> dict[str, Any]:
    words = {name: _of_cell(word) for name, word in odd.words.items()}
    return {**vars(odd), "value": _of_cell(odd.value), "words": words}


def _oddity(kept: dict[str, Any]) -> Oddity:
    words = {str(name): _word(word) for name, word in kept["words"].items()}
    others = tuple((_row(row), _column(column)) for row, column in kept["others"])
    row, column = kept["row"], kept["column"]
    return Oddity(
        str(kept["code"]),
        _word(kept["value"]),
        None if row is None else _row(row),
        None if column is None else _column(column),
        words,
        others,
    )


def _word(kept: Any) -> Any:
    return kept if isinstance(kept, int) else _cell(kept)


def _workbook(kept: dict[str, Any], sha256: str, more: tuple[Oddity, ...]) -> Workbook:
    notes = (*(_oddity(one) for one in kept["notes"]), *more)
    grids = [_grid(one) for one in kept["tables"]]
    columns, units = kept.get("said", ((), ()))
    said = (tuple(map(str, columns)), tuple(map(str, units)))
    return Workbook(b"", grids, bool(kept["readable"]), str(sha256), notes, said)


def _grid(kept: dict[str, Any]) -> Grid:
    if "text" in kept:
        (sign,) = kept["delimiter"]
        return text_grid(str(kept["text"]), sign)
    numbers = [_row(row[0]) for row in kept["rows"]]
    if any(after <= before for before, after in pairwise(numbers)):
        raise ValueError("rows out of order")
    return Grid(
        str(kept["name"]),
        [[_cell(cell) for cell in row[1 : LAST_COLUMN + 2]] for row in kept["rows"]],
        bool(kept["hidden"]),
        frozenset(map(_row, kept["hidden_rows"])),
        frozenset(map(_column, kept["hidden_columns"])),
        tuple((_row(top), _column(left), _row(low), _column(right)) for top, left, low, right in kept["merged"]),
        tuple(numbers),
        tuple(_oddity(one) for one in kept["oddities"]),
    )


def _row(number: Any) -> int:
    return _between(number, 1, LAST_ROW)


def _column(number: Any) -> int:
    return _between(number, 0, LAST_COLUMN)


def _between(number: Any, low: int, high: int) -> int:
    if not isinstance(number, int) or not low <= number <= high:
        raise ValueError("beyond every sheet")
    return number
