"""Commas in numbers typed as text: a decimal comma, or one between thousands."""

import re
from collections.abc import Mapping

import numpy as np

from bodytest.grids.delimited import DECIMAL
from bodytest.grids.notebook import Notebook
from bodytest.intake.heading_row import UsedColumn

_EITHER = re.compile(r"^[\s'(]*[+-]?[1-9]\d{0,2},\d{3}(?![\d.,])")
"""A lone comma before exactly three digits: 1,200 is 1.2 to some and 1200 to others."""
_DECIMAL = re.compile(rf"^[\s'(]*{DECIMAL}")


def ask_about_commas(columns: Mapping[UsedColumn, np.ndarray], table: str, rows: np.ndarray, notes: Notebook) -> None:
    """Ask, once a column, about commas that may stand between thousands; no cell of the table tells otherwise."""
    doubtful: dict[UsedColumn, list[int]] = {}
    for use, cells in columns.items():
        if cells.dtype != object:
            continue
        for position, cell in enumerate(cells):
            if not isinstance(cell, str) or "," not in cell:
                continue
            if _DECIMAL.match(cell):
                return
            if _EITHER.match(cell):
                doubtful.setdefault(use, []).append(position)
    for use, positions in doubtful.items():
        first = str(columns[use][positions[0]]).strip()
        notes.add(
            "comma-in-doubt",
            table=table,
            row=int(rows[positions[0]]),
            column=use.index,
            value=first,
            heading=use.column.heading,
            read=first.replace(",", "."),
            other=first.replace(",", ""),
            count=len(positions),
        )
