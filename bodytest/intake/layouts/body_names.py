"""Codes of bodies and what they stand for: A = Torvan in a note, or a list of clays on another tab."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from bodytest.grids.grid import Grid, Place
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.blocks import Block
from bodytest.intake.layouts.headings import meaning
from bodytest.intake.layouts.legends import MOST_ROWS
from bodytest.intake.layouts.records import Cell, Reading
from bodytest.intake.layouts.titles import read_title
from bodytest.intake.layouts.words import tokens

_IS_NAME = re.compile(r"[^\W\d_]{4}")
"""What is more than a code."""


def body_names(blocks: Sequence[Block], others: Iterable[Grid]) -> dict[str, Cell]:
    """Return the names of the bodies of some blocks by their codes; nothing where no note and no list tells them."""
    columns = [(block, h.column) for block in blocks for h in block.headings if h.means.key == "body"]
    used = {read_text(block.cell(line, column)).casefold() for block, column in columns for line in block.body}
    codes = {text for text in used if text and not _IS_NAME.search(text)}
    noted = [(entry.word, entry.said, entry.place) for block in blocks for entry in block.view.said.legend]
    for told in (*map(_listed, others), noted) if codes else ():
        names = {
            code.casefold(): Cell(name, (place,))
            for code, said, place in told
            if code.casefold() in codes and (name := read_title(said, of_tab=True).body)
        }
        if names and len({cell.value.casefold() for cell in names.values()}) == len(names):
            return names
    return {}


def _listed(grid: Grid) -> list[tuple[str, str, Place]]:
    """Return each text of a list of clays with the name beside it, and the cell of the name."""
    for number, row in grid.head() if len(grid.rows) <= MOST_ROWS else ():
        headings = list(map(read_text, row))
        columns = [
            c for c, text in enumerate(headings) if meaning(text, "bars").key == "body" or "name" in tokens(text)
        ]
        if columns and len(headings) > 1:
            below = [(at, list(map(read_text, cells))) for at, cells in grid.below_headings(0) if at > number]
            return [
                (code, cells[c], Place(grid.name, at, c))
                for c in columns
                for at, cells in below
                for code in cells
                if len(cells) > c and code != cells[c]
            ]
    return []


def name_bodies(readings: Iterable[Reading], names: dict[str, Cell], notes: Notebook) -> None:
    """Call bodies by their names; each keeps the way back to its code and to what tells its name."""
    for reading in readings if names else ():
        for record in reading.records:
            body = record.get("body", Cell())
            if (name := names.get(read_text(body.value).casefold())) is not None:
                record["body"] = Cell(name.value, (*body.places, *name.places))
        first = notes.address(*next(iter(names.values())).places[0])
        reading.fields = [replace(one, why=first) if one.key == "body" else one for one in reading.fields]
