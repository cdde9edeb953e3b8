"""Cones that may have lost their leading zero, as 06 does in a spreadsheet program: asked about."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from bodytest.cones import parse_cone
from bodytest.intake.bars import SheetBars
from bodytest.intake.cells import read_text
from bodytest.intake.columns import ReadTable

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
    """Ask about stoneware cones typed as text whose bars are as open, or as little shrunk, as earthenware is."""
    for firing in firings.to_dict("records"):
        if firing["cone"] not in HOT or pd.notna(firing["set_temperature_c"]) or pd.notna(firing["peak_temperature_c"]):
            continue
        position = int(np.flatnonzero(table.rows == firing["row"])[0])
        absorption, shrinkage = _medians(str(firing["firing"]), bars)
        is_open, is_text = absorption > OPEN_PERCENT, isinstance(table.raw["cone"][position], str)
        if is_text and (is_open or shrinkage < UNSHRUNK_PERCENT):
            did = f"take up {absorption:.0f} % of water" if is_open else f"shrank by {shrinkage:.1f} % in it"
            table.tell("cone-too-hot-for-bars", "cone", position, value=firing["cone"], did=did)


def _medians(firing: str, bars: Sequence[SheetBars]) -> tuple[float, float]:
    """Return the median absorption and firing shrinkage of the bars of a firing, in per cent; NaN without readings."""
    masses = pd.concat([one.bars[one.bars["firing"] == firing] for one in bars])
    marks = pd.concat([one.marks[(one.bars["firing"] == firing).to_numpy()[one.marks["bar_row"]]] for one in bars])
    absorption = 100.0 * (masses["boiled_mass_g"] / masses["fired_mass_g"] - 1.0).median()
    return absorption, 100.0 * (1.0 - marks["fired_length_mm"] / marks["dry_length_mm"]).median()
