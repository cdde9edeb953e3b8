"""Sheets as people keep them are laid out anew as our tables; each cell keeps the way back to where it stood.

A tab is looked at as it is and turned over, so that its columns are lines. The view in which more readings are found
is taken; where two find about as many, it is asked which one is meant.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from bodytest.grids.account import Reason
from bodytest.grids.grid import Grid, Place
from bodytest.grids.notebook import Notebook
from bodytest.intake.broken_rows import ask_about_broken_rows
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.bars_table import our_tables
from bodytest.intake.layouts.blocks import Block, Heading, blocks_with_readings
from bodytest.intake.layouts.body_names import body_names, name_bodies
from bodytest.intake.layouts.firing_lists import Listed, firings_by_kiln_or_day, lists_firings, set_apart
from bodytest.intake.layouts.headings import heading_words, plain
from bodytest.intake.layouts.legends import keys_to, legend_of
from bodytest.intake.layouts.own_layout import is_other, is_ours, is_plain
from bodytest.intake.layouts.records import Reading, read_block, text_in
from bodytest.intake.layouts.said import Said
from bodytest.intake.layouts.seen import seen_blocks, seen_grids
from bodytest.intake.layouts.staged import staged
from bodytest.intake.layouts.view import View, turned
from bodytest.intake.merged_cells import ONCE_A_BAR, ask_about_hidden_rows
from bodytest.quantities import READING_BY_KEY

ALMOST = 0.8
"""Share of the readings of the best proposal from which another one is as good."""


@dataclass
class LaidOut:
    """The tables of one workbook as they are read."""

    grids: list[Grid]
    """Our own tables, those laid out anew among them."""
    firings: list[Grid] = field(default_factory=list)
    """Tabs that list firings under another name."""
    seen: tuple[str, ...] = ()
    """What was seen, line by line; nothing is said of a sheet of our own layout."""


def lay_out(grids: list[Grid], said: Said, notes: Notebook) -> LaidOut:
    """Return tables of our layout; a workbook that has it already comes back as it is."""
    if not said and any(map(is_ours, grids)):
        return LaidOut(grids, _firings_tabs(grids))
    grids, said = firings_by_kiln_or_day(grids, said)
    chosen, beside = _find_bars(grids, replace(said, legend=keys_to(grids)), notes)
    others = [grid for grid in grids if grid.name not in chosen]
    listed = _firings_tabs(others)
    names = body_names([block for blocks in chosen.values() for block in blocks], others)
    if not (said or beside or names) and (not chosen or (len(chosen) == 1 and is_plain(*chosen.values()))):
        return LaidOut(grids, listed, seen_grids(grids, looks_ours=bool(chosen) or any(map(is_other, grids))))
    for grid in grids:
        notes.open_account(grid)
    for part, places in beside:
        notes.lay_out(part, places, next(iter(places.values()))[0].table)
        listed.append(part)
    _leave_summaries_out(chosen, notes)
    readings: list[Reading] = []
    for blocks in chosen.values():
        for at, block in enumerate(blocks):
            readings.append(read_block(block, readings[-1] if at else None, notes))
    readable = [reading for reading in readings if reading.readable]
    name_bodies(readable, names, notes)
    made = our_tables(readable, notes, tabs=chosen or notes.accounts, firings_listed=bool(listed))
    explaining = [place for one in readings for place in one.block.view.said.explained.values()]
    explaining += [place for name in names.values() for place in name.places]
    for key in {place.table for place in explaining} - chosen.keys():
        notes.accounts[key].set_aside("explanation")
    for grid in grids:
        if grid.name in chosen:
            own = [reading for reading in readings if reading.block.view.grid.name == grid.name]
            ask_about_origin(grid, [reading for reading in own if reading.readable], notes)
            set_rest_aside(grid, own, notes)
    return LaidOut([*made, *others], listed, seen_blocks(readings, notes))


def _find_bars(grids: list[Grid], said: Said, notes: Notebook) -> tuple[dict[str, list[Block]], list[Listed]]:
    """Return the blocks of bars of each table that has any, and the lists of firings beside them.

    A table that can be read in two ways is taken out and asked about.
    """
    chosen: dict[str, list[Block]] = {}
    beside: list[Listed] = []
    for rest, lists, grid in [(*set_apart(grid), grid) for grid in grids]:
        proposals = [] if is_other(rest) else _best(rest, said)
        if len(proposals) > 1:
            grids.remove(grid)
            _ask_which(grid, proposals, notes)
        elif proposals:
            chosen[grid.name] = proposals[0]
            beside += lists
    return chosen, beside


def _firings_tabs(grids: Sequence[Grid]) -> list[Grid]:
    """Return the tab named Firings; where none is, those that list firings under another name."""
    named = [grid for grid in grids if plain(grid.name) == "firings"]
    return named or [grid for grid in grids if is_other(grid) and lists_firings(grid)]


def _leave_summaries_out(chosen: dict[str, list[Block]], notes: Notebook) -> None:
    """Leave out blocks of percentages alone beside blocks with readings: they would count the same bars twice."""
    measured = [block for blocks in chosen.values() for block in blocks if _has_readings(block)]
    for name, blocks in list(chosen.items()) if measured else ():
        for block in (block for block in blocks if block not in measured):
            place = next(h for h in block.headings if h.measured).places[-1]
            words: dict[str, Any] = {"value": notes.address(*place), "readings": _address(measured[0], notes)}
            notes.add("summary-beside-readings", **place._asdict(), **words)
            for _, _, (table, row, column) in block.filled():
                notes.accounts[table].set_aside("table not read", columns=[column], rows=row)
        chosen[name] = [block for block in blocks if block in measured]
        if not chosen[name]:
            del chosen[name]


def _has_readings(block: Block) -> bool:
    return any(h.measured and not h.means.quantities for h in block.headings)


def _best(grid: Grid, said: Said) -> list[list[Block]]:
    """Return the blocks of the view that finds most readings, and those of the other one if it finds about as many.

    Where each stage of a bar has a row of its own, that view alone counts.
    """
    told = replace(said, legend=[*legend_of(grid), *said.legend], explained={})
    if by_stage := blocks_with_readings(staged(grid, told)):
        return [by_stage]
    proposals = [blocks_with_readings(view) for view in (View(grid, told), turned(grid, told))]
    counts = [sum(block.readings for block in blocks) for blocks in proposals]
    best = [blocks for blocks, count in zip(proposals, counts, strict=True) if count and count >= ALMOST * max(counts)]
    clear = [blocks for blocks in best if not any(h.text in told.explained for b in blocks for h in b.headings)]
    return clear if len(clear) == 1 else best  # what a note explains may be the codes of bodies


def _ask_which(grid: Grid, proposals: Sequence[list[Block]], notes: Notebook) -> None:
    """Ask which of two ways to read a table is meant; it is not read until that is clear."""
    first, second = (_address(blocks[0], notes) for blocks in proposals[:2])
    notes.open_account(grid)
    notes.accounts[grid.name].set_aside("table not read")
    notes.add("layout-in-doubt", table=grid.name, value=grid.name, upright=first, turned=second)


def _address(block: Block, notes: Notebook) -> str:
    return notes.address(*next(h for h in block.headings if h.measured).places[-1])


def set_rest_aside(grid: Grid, readings: Sequence[Reading], notes: Notebook) -> None:
    """Say of each cell of a tab that no table took why it was not taken."""
    account, reasons = notes.accounts[grid.name], {}
    headless: dict[int, Place] = {}
    taken_places = notes.taken()
    rows_told = {place.row for one in readings if one.block.view.turned for place, _ in one.block.above}
    for reading in readings:
        headed = {h.column: h for h in reading.block.headings}
        taken = {f.column for f in reading.fields}
        told = {place for place, _ in reading.block.above}
        for line, column, place in reading.block.filled():
            of_legend = place in reading.block.view.said.explained.values()
            labelled = line in reading.block.body and {place, reading.block.place(line, column + 1)} & told
            beside = column not in headed and place.row in rows_told
            reason = _reason(reading, line, headed.get(column), column in taken)
            reasons[place] = "title" if of_legend or labelled or beside else reason
            if reasons[place] == "under no heading" and place not in taken_places:
                headless.setdefault(column, place)
    for place in headless.values():
        notes.add("column-without-heading", **place._asdict(), value=read_text(grid.cell(place.row, place.column)))
    rest: Reason = "told at each stage" if any(one.block.view.origin for one in readings) else "title"
    for column, rows in account.rows.items():
        for row in rows.tolist():
            place = Place(grid.name, row, column)
            if place not in taken_places:
                account.set_aside(reasons.get(place, rest), columns=[column], rows=row)


def _reason(reading: Reading, line: int, heading: Heading | None, taken: bool) -> Reason:
    """Return why a cell of a block is not read."""
    if line in reading.block.heading_lines:
        return "heading not read"
    if line in reading.lines:
        return reading.lines[line]
    if not reading.readable:
        return "table not read"
    if heading is None:
        return "under no heading"
    if heading.means.quantities:
        return "computed column"
    return "remark" if taken else "column not read"


def ask_about_origin(grid: Grid, readings: Sequence[Reading], notes: Notebook) -> None:
    """Ask, as for tables of our own, about the cells of one tab that bars were read from."""
    if not readings:
        return
    places = {place for r in readings for record in r.records for cell in record.values() for place in cell.places}
    rows = np.array(sorted({place.row for place in places if place.table == grid.name}), dtype=np.int64)
    ask_about_hidden_rows(grid, rows, notes)
    _ask_about_hidden_columns(grid, readings, notes)
    upright = [reading for reading in readings if not reading.block.view.turned]
    if upright:
        width = max(place.column + 1 for r in upright for h in r.block.headings for place in h.places)
        ask_about_broken_rows(grid, width, rows, notes)
        _ask_about_merged(grid, upright, notes)


def _ask_about_hidden_columns(grid: Grid, readings: Sequence[Reading], notes: Notebook) -> None:
    """Ask about hidden columns of readings, and about hidden bars where these are columns."""
    told: dict[int, tuple[int, str]] = {}
    for reading in readings:
        if reading.block.view.turned:
            named = [
                (place, text_in(record, "bar"))
                for record in reading.records
                for key, cell in record.items()
                if key in READING_BY_KEY
                for place in cell.places
            ]
        else:
            fields = [one for one in reading.fields if one.key in READING_BY_KEY or one.key == "left_out"]
            named = [(one.heading.places[-1], heading_words(one.key)) for one in fields]
        for place, name in named:
            if place.column in grid.hidden_columns:
                told.setdefault(place.column, (place.row, name))
    for column, (row, name) in told.items():
        notes.add("column-hidden", table=grid.name, row=row, column=column, heading=name)


def _ask_about_merged(grid: Grid, readings: Sequence[Reading], notes: Notebook) -> None:
    """Ask about readings in a cell merged over the rows of several bars."""
    lines = [
        (record, {p.row for cell in record.values() for p in cell.places}) for r in readings for record in r.records
    ]
    for top, left, bottom, _ in grid.merged:
        place = Place(grid.name, top, left)
        inside = [record for record, rows in lines if any(top <= row <= bottom for row in rows)]
        for key, cell in inside[0].items() if len(inside) > 1 else ():
            if key in READING_BY_KEY and place in cell.places:
                codes = {text_in(record, "bar") for record in inside}
                if not (key in ONCE_A_BAR and len(codes) == 1 and "" not in codes):
                    notes.add("reading-merged", **place._asdict(), value=cell.value, last_row=bottom)
