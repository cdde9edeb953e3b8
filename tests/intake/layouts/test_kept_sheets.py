"""Sheets as people keep them: answered right, or asked about by the cell; never read wrong without a word."""

from pathlib import Path

import pandas as pd
import pytest

from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.intake.layouts.kept_sheets import KINDS, Kept, kept_sheet

SHEETS = 10 * len(KINDS)
"""More than two hundred."""


def read_bars(sheets: CheckedSheets) -> list[tuple[str, str, tuple[float, ...]]]:
    """Return body, cone and mean lengths of each bar that was read."""
    cones = dict(zip(sheets.firings["firing"], sheets.firings["cone"], strict=True))
    lengths = ["wet_length_mm", "dry_length_mm", "fired_length_mm"]
    means: pd.DataFrame = sheets.marks.groupby("bar_row")[lengths].mean()
    return sorted(
        (bar.body, cones.get(bar.firing, bar.firing), tuple(round(v, 1) for v in means.loc[row]))
        for row, bar in enumerate(sheets.bars.itertuples())
    )


def outcome(kept: Kept, sheets: CheckedSheets) -> str:
    """Return ``right``, ``asked`` or what is wrong."""
    asked = [f for f in sheets.findings if f.level in ("stop", "ask")]
    truth = sorted((b.body, b.cone, b.lengths) for b in kept.bars)
    if kept.asks:
        named = any(kept.asks in f.sentence for f in asked)
        if kept.bars:
            return "asked" if named and read_bars(sheets) == truth else f"taken for granted: {kept.asks}"
        used = not sheets.marks.empty and sheets.marks[["wet_length_mm", "dry_length_mm"]].notna().any(axis=None)
        return "asked" if named and not used else f"taken for granted: {kept.asks}"
    found = read_bars(sheets)
    if found == truth:
        return "right"
    wrong = [bar for bar in found if bar not in truth]
    return "asked" if asked and not wrong else f"{len(found)} bars for {len(truth)}, wrong: {wrong[:3]}"


@pytest.mark.parametrize("kind", range(len(KINDS)), ids=[kind.__name__ for kind in KINDS])
def test_sheets_of_every_layout_are_read_right_or_asked_about(kind: int, tmp_path: Path) -> None:
    told = {}
    for seed in range(kind, SHEETS, len(KINDS)):
        kept = kept_sheet(seed)
        sheets = read_sheets([kept.save(tmp_path / "kept.xlsx")])
        told[seed] = outcome(kept, sheets)
        assert [f.code for f in sheets.findings if f.code == "cells-unaccounted"] == []
        assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in sheets.cells)
    wanted = "asked" if kept.asks else "right"
    assert {seed: said for seed, said in told.items() if said != wanted} == {}
