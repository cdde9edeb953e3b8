"""Cones that may have lost their leading zero, as 06 does in a spreadsheet program: asked about."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from bodytest.cones import parse_cone
from bodytest.intake.bars import SheetBars
from bodytest.intake.cells import read_text
from bodytest.intake.columns import ReadTable
from bodytest.quantities import QUANTITY_BY_KEY

HOT = frozenset(["4", "5", "6", "7", "8", "9", "10"])
"""Cones of stoneware firings that have a namesake with a zero."""
OPEN_PERCENT = 8.0
"""Absorption above which few bodies are that saw such a cone (common practice, no source)."""
UNSHRUNK_PERCENT = 2.5
"""Firing shrinkage below which few bodies are that saw such a cone (common practice, no source)."""


def note_bare_cones(frame: pd.DataFrame, table: ReadTable) -> None:
    """Note once when cones are numbers and no temperature tells whether a leading zero was lost."""
    cells = table.raw.get("cone")
    if cells is None:
        return
    untold = frame["set_temperature_c"].isna() & frame["peak_temperature_c"].isna()
    bare = [
        i
        for i, cone in enumerate(frame["cone"])
        if cone and untold[i] and not isinstance(cells[i], str) and parse_cone(f"0{read_text(cells[i])}")
    ]
    if bare:
        cones = list(dict.fromkeys(str(frame["cone"].iloc[i]) for i in bare))
        read = ", ".join(f"{cone}, not 0{cone}" for cone in cones[:4]) + (" and so on" if len(cones) > 4 else "")
        table.tell("cone-without-zero", "cone", bare[0], count=len(bare), read=read)


def ask_about_lost_zeros(table: ReadTable, firings: pd.DataFrame, bars: Sequence[SheetBars]) -> None:
    """Ask about stoneware cones whose bars are as open, or as little shrunk, as earthenware is."""
    untold = firings["set_temperature_c"].isna() & firings["peak_temperature_c"].isna()
    hot = firings[untold & firings["cone"].isin(HOT)]
    absorptions, shrinkages = (
        (_medians(key, bars) for key in ("absorption", "firing_shrinkage")) if len(hot) else ({}, {})
    )
    for firing in hot.to_dict("records"):
        position = int(np.flatnonzero(table.rows == firing["row"])[0])
        absorption, shrinkage = (of.get(firing["firing"], np.nan) for of in (absorptions, shrinkages))
        is_open = absorption > OPEN_PERCENT
        if is_open or shrinkage < UNSHRUNK_PERCENT:
            did = f"take up {absorption:.0f} % of water" if is_open else f"shrank by {shrinkage:.1f} % in it"
            table.tell("cone-too-hot-for-bars", "cone", position, value=firing["cone"], did=did)


def _medians(key: str, bars: Sequence[SheetBars]) -> dict[str, float]:
    """Return the median of a quantity over the bars, or marks, of each firing that has the readings for it."""
    quantity, values = QUANTITY_BY_KEY[key], []
    for one in bars:
        of_marks = quantity.readings[0].of_mark
        rows, firing = (
            (one.marks, one.bars["firing"].iloc[one.marks["bar_row"]]) if of_marks else (one.bars, one.bars["firing"])
        )
        readings = {reading.key: rows[reading.column].to_numpy(float) for reading in quantity.readings}
        values.append(pd.Series(quantity.value(readings), index=firing.to_numpy()))
    return dict(pd.concat(values).groupby(level=0).median())
