"""What states of one sheet share beside their bars: what the Lab table says, and pieces of ware."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bodytest.grids.grid import address
from bodytest.intake.columns import ReadTable
from bodytest.tables import Lab
from bodytest.units import INSTRUMENTS

SIZES = ("wet_size", "leather_hard_size", "fired_size")
"""Columns of the Pieces table that are measured."""


def shared_labs(labs: Sequence[Lab], states: Sequence[frozenset[int]]) -> list[Lab]:
    """Give each state of a sheet what another one's Lab table states and its own does not."""
    shared = list(labs)
    for state in states:
        for number in state:
            others = [labs[other] for other in sorted(state) if other != number]
            shared[number] = _completed(shared[number], others)
    return shared


def _completed(lab: Lab, others: Sequence[Lab]) -> Lab:
    """Return a Lab table with what others state; a reading step told from digits gives way to one that is stated."""
    usual, fields = Lab(), {}
    inferred = {one.step_field: one.inferred_field for one in INSTRUMENTS.values()}
    for name in (item.name for item in dataclasses.fields(Lab) if item.name not in inferred.values()):
        stated = [getattr(o, name) for o in others if not (name in inferred and getattr(o, inferred[name]))]
        stated = [value for value in stated if value != getattr(usual, name)]
        told = name in inferred and getattr(lab, inferred[name])
        if stated and (told or getattr(lab, name) == getattr(usual, name)):
            fields[name] = stated[0]
            fields |= {inferred[name]: False} if name in inferred else {}
    return dataclasses.replace(lab, **fields)


@dataclass
class SheetPieces:
    """The pieces of one table of a workbook."""

    frame: pd.DataFrame
    """Columns of `bodytest.tables.PIECE_COLUMNS`."""
    table: ReadTable
    """Where they come from."""

    def cell(self, size: str, position: int) -> dict[str, Any]:
        """Return the place of one size."""
        row = int(self.frame["row"].iloc[position])
        return {"table": self.table.name, "row": row, "column": self.table.place(size)}

    def shown(self, size: str, position: int) -> str:
        """Return the cell of one size for people."""
        place = self.cell(size, position)
        return f"{self.table.notes.sheet}, {address(place['table'], place['row'], place['column'] or 0)}"


def join_pieces(tables: Sequence[SheetPieces], states: Sequence[frozenset[int]]) -> list[pd.DataFrame]:
    """Return the pieces of each table; one that stands in several states of a sheet is kept once."""
    root = {number: min(state) for state in states if len(state) > 1 for number in state}
    seen: dict[tuple[Any, ...], tuple[SheetPieces, int]] = {}
    for pieces in tables:
        keep = np.ones(len(pieces.frame), dtype=bool)
        records: list[Any] = list(pieces.frame.itertuples(index=False))
        for position, piece in enumerate(records):
            names = (piece.piece, piece.body, piece.batch, piece.firing, piece.dimension)
            if piece.sheet not in root or not piece.piece:
                continue
            first = seen.setdefault((root[piece.sheet], *(str(n).casefold() for n in names)), (pieces, position))
            if first[0].frame["sheet"].iloc[0] != piece.sheet:
                keep[position] = False
                for size in SIZES:
                    _join_size(size, first, (pieces, position))
        pieces.frame = pieces.frame[keep]
    return [pieces.frame for pieces in tables]


def _join_size(size: str, first: tuple[SheetPieces, int], again: tuple[SheetPieces, int]) -> None:
    """Take a size that the first state lacks, set one aside that is the same, refuse two that differ."""
    column = f"{size}_mm"
    (kept, at), (later, position) = first, again
    known, value = (one.frame[column].iloc[place] for one, place in (first, again))
    if np.isnan(value):
        return
    if np.isnan(known):
        kept.frame.loc[kept.frame.index[at], column] = value
    elif abs(value - known) <= 1e-9 * value:
        place = later.cell(size, position)
        later.table.account.reopen(place["column"], place["row"])
        later.table.account.set_aside("the same reading in another copy", columns=[place["column"]], rows=place["row"])
    else:
        kept.frame.loc[kept.frame.index[at], column] = np.nan
        for (one, here), (other, there), mine, theirs in ((again, first, value, known), (first, again, known, value)):
            one.table.notes.add(
                "copies-contradict",
                **one.cell(size, here),
                value=f"{mine:.8g} mm",
                what=f"piece {one.frame['piece'].iloc[here]}",
                heading=size.replace("_", " "),
                here=one.shown(size, here),
                other=f"{theirs:.8g} mm",
                there=other.shown(size, there),
            )
