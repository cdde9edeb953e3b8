"""Files and bars that are given twice: they would count twice and make a mean look surer than it is."""

import numpy as np

from bodytest.intake.bars import SheetBars
from bodytest.quantities import BAR_READINGS, MARK_READINGS
from bodytest.tables import SheetSource

FEWEST = 3
"""Bars with the same code and readings in two workbooks before it is asked about."""


def same_file(sources: list[SheetSource], content_hash: str) -> SheetSource | None:
    """Return an earlier file with the same content."""
    return next((s for s in sources if s.sha256 == content_hash), None)


def ask_about_shared_bars(sheets: list[SheetBars]) -> None:
    """Ask about bars that stand with the same readings in an earlier workbook too, once for each pair."""
    known: dict[int, int] = {}
    for number, sheet in enumerate(sheets):
        prints = _fingerprints(sheet) if len(sheets) > 1 else {}
        shared: dict[int, list[int]] = {}
        for position, fingerprint in prints.items():
            if known.setdefault(fingerprint, number) != number:
                shared.setdefault(known[fingerprint], []).append(position)
        for other, positions in shared.items():
            if len(positions) >= FEWEST:
                _ask(sheet, positions, _other(sheets[other], sheet))


def _other(sheet: SheetBars, beside: SheetBars) -> str:
    """Return the name of the workbook, or of the table where it is the same workbook."""
    return f"its table “{sheet.table}”" if sheet.notes is beside.notes else sheet.notes.sheet


def _ask(sheet: SheetBars, positions: list[int], other: str) -> None:
    sheet.notes.add(
        "bars-in-two-sheets",
        table=sheet.table,
        row=int(sheet.bars["row"].iloc[positions[0]]),
        column=sheet.places.get("bar"),
        value=len(positions),
        other=other,
    )


def _fingerprints(sheet: SheetBars) -> dict[int, int]:
    """Return a number for each bar with at least two readings that is the same for bars that are the same."""
    return _prints(sheet, ["bar", "body", "batch", "firing"])


def reading_prints(sheet: SheetBars) -> dict[int, int]:
    """Return such a number that goes by the bar's code and readings alone, whatever body or firing it is said to be."""
    return _prints(sheet, ["bar"])


def _prints(sheet: SheetBars, names: list[str]) -> dict[int, int]:
    import pandas as pd

    first = sheet.marks.drop_duplicates("bar_row").set_index("bar_row")[[r.column for r in MARK_READINGS]]
    readings: pd.DataFrame = pd.concat([sheet.bars[[r.column for r in BAR_READINGS]], first], axis=1)
    enough = np.flatnonzero(readings.notna().sum(axis=1).to_numpy() >= 2)
    whole = pd.concat([sheet.bars[names], readings.round(6)], axis=1)
    hashes = pd.util.hash_pandas_object(whole, index=False).to_numpy()
    return {int(position): int(hashes[position]) for position in enough}
