"""Which table of a workbook is what: bars, firings, lab, pieces, a tab of ours without readings, or none of them."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bodytest.grids.grid import Grid, Place
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_text
from bodytest.intake.heading_row import heading_texts, write_unknown
from bodytest.intake.layouts.headings import lab_key, match_heading, plain, split_unit
from bodytest.intake.layouts.titles import tab_title
from bodytest.intake.layouts.view import is_number
from bodytest.intake.layouts.vocabulary import TableName
from bodytest.intake.own_tabs import is_own_tab, set_own_aside
from bodytest.quantities import READING_BY_KEY
from bodytest.tables import SHEETS_WITHOUT_READINGS
from bodytest.units import canonical_unit, dimension_of, parse_measure

_READ = ("Bars", "Firings", "Lab", "Pieces", "Specs")
SOURCES_HEADINGS = ("table", "column", "cells from", "heading there")
"""Headings of the table in a clean workbook that says where everything came from."""


@dataclass
class Kinds:
    """The tables of one workbook that are read; the first of each kind is the one that has its name."""

    bars: list[Grid]
    """Tables of bars."""
    firings: list[Grid]
    """Tables of firings."""
    lab: list[Grid]
    """Tables that say how the bars were measured."""
    pieces: list[Grid]
    """Tables of real ware."""
    specs: list[Grid]
    """Tables of limits that somebody set."""


def sort_tables(grids: list[Grid], notes: Notebook, listed: Sequence[Grid] = ()) -> Kinds:
    """Say what each table is; of a table that is not read a finding says what is in it.

    ``listed`` are tables that list firings under whatever name.
    """
    for grid in grids:
        if grid.name not in notes.accounts:
            notes.open_account(grid)
    named = Kinds(*(_named_like(name, grids, notes) for name in _READ))
    named.firings += [grid for grid in listed if not any(grid is one for one in named.firings)]
    if not named.bars:
        named.bars = _by_headings(grids, notes)
    read = [grid for kind in vars(named).values() for grid in kind]
    for grid in grids:
        if not any(grid is one for one in read):
            _tell_of_other(grid, named.bars, notes)
    return named


def _named_like(name: str, grids: list[Grid], notes: Notebook) -> list[Grid]:
    """Return the table of that name, and those named like it that have its headings too."""
    like = [grid for grid in grids if plain(grid.name) == plain(name)]
    like = like or [grid for grid in grids if plain(tab_title(grid.name)) == plain(name)]
    like.sort(key=lambda grid: (not _is_kind(grid, name), grid.name != name))
    further = [grid for grid in like[1:] if _is_kind(grid, name)]
    for grid in further:
        notes.add("second-table-read", table=grid.name, value=grid.name, first=like[0].name)
    return like[:1] + further


def _is_kind(grid: Grid, name: str) -> bool:
    """Tell whether a table clearly is of a kind, by its headings."""
    if name == "Bars":
        return looks_like_bars(grid)
    if name == "Lab":
        return any(lab_key(text)[0] for _, row in grid.head() for text in map(read_text, row) if text)
    table: TableName = "firings" if name == "Firings" else "pieces" if name == "Pieces" else "specs"
    return ("quantity" if table == "specs" else "firing") in _keys(grid, table)


def looks_like_bars(grid: Grid) -> bool:
    """Tell whether a table has the headings of bars: their codes and a reading."""
    keys = _keys(grid, "bars")
    return "bar" in keys and not keys.isdisjoint(READING_BY_KEY)


def _keys(grid: Grid, table: TableName) -> set[str]:
    return {found.key for text in heading_texts(grid, table) if (found := match_heading(text, table)[0])}


def _by_headings(grids: list[Grid], notes: Notebook) -> list[Grid]:
    """Return the only table that has the headings of bars, where none has their name."""
    likely = [grid for grid in grids if looks_like_bars(grid)]
    if len(likely) == 1:
        notes.add("bars-sheet-by-headings", table=likely[0].name, value=likely[0].name)
        return likely
    notes.add("no-bars-sheet", tables=", ".join(grid.name for grid in grids) or "none")
    for grid in grids:
        if plain(tab_title(grid.name)) not in map(plain, _READ):
            _name_measured(grid, notes)
    return []


def _name_measured(grid: Grid, notes: Notebook) -> None:
    """Name the headings of a table without bars that have a unit of length or mass, since its readings stand there."""
    for number, row in grid.head():
        for column, text in enumerate(map(read_text, row)):
            dimension = dimension_of(canonical_unit(split_unit(text)[1] or ""))
            if dimension is not None and dimension.staged and parse_measure(text) is None:
                place = Place(grid.name, number, column)._asdict()
                write_unknown(text, "bars", {**place, "value": text}, notes, compare=True)


def _tell_of_other(grid: Grid, bars: list[Grid], notes: Notebook) -> None:
    """Say of a table that is not read what it is and what is in it."""
    account = notes.accounts[grid.name]
    if any(tuple(map(read_text, row)) == SOURCES_HEADINGS for _, row in grid.head()[:1]):
        account.set_aside("explanation")
        return
    own = is_own_tab(grid) and set_own_aside(grid, account)
    rest = account.left()
    if not rest:
        return
    row, column = min(rest)
    place: dict[str, Any] = {"table": grid.name, "value": grid.name}
    if bars and looks_like_bars(grid) and any(is_number(cell) for _, row in grid.below_headings(0) for cell in row):
        notes.add("second-bars-table", **place, bars=bars[0].name)
    elif own:
        first = read_text(dict(grid.below_headings(0))[row][column])
        notes.add("cell-not-read", table=grid.name, row=row, column=column, value=first, count=len(rest))
    elif bars:
        known = (*_READ, *SHEETS_WITHOUT_READINGS)
        near = difflib.get_close_matches(grid.name.title(), known, n=1, cutoff=0.7)
        nearest = f" Its name is like “{near[0]}”." if near else ""
        notes.add("table-not-read", **place, count=len(rest), nearest=nearest)
    account.set_aside("where nothing is read" if own else "table not read")
