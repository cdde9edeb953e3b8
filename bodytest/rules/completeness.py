"""What is still to come, what is left out, and whether there are enough bars: told, never held against a sheet."""

from typing import TYPE_CHECKING

import numpy as np

from bodytest.findings import Finding, finding
from bodytest.grids.notebook import Notebook
from bodytest.intake.bars import SheetBars
from bodytest.intake.merging import group_by
from bodytest.quantities import READINGS
from bodytest.rules.conditions import not_needed
from bodytest.rules.neighbours import Readings, measured
from bodytest.tables import Lab

if TYPE_CHECKING:
    import pandas as pd

SHRINKAGE_BARS = 10
"""Bars that ASTM C326 asks for."""
ABSORPTION_BARS = 5
"""Specimens that ASTM C373 asks for."""
NO_REASON = frozenset(
    {"x", "xx", "y", "yes", "1", "true", "ok", "✓", "✔", "*", "-", "–", "—", "n", "no", "0", "false", "n/a", "?"}
)
"""Texts under “leave out” that leave the bar out but give no reason."""
ALIKE = 5
"""Bars that must read the same before it is told."""


def tell_left_out(sheet: SheetBars, notes: Notebook) -> None:
    """Ask about bars that are left out without a reason."""
    texts = sheet.bars["left_out"].to_numpy(dtype=object)
    for position in np.flatnonzero(texts != "").tolist():
        if texts[position].casefold() in NO_REASON:
            notes.add(
                "left-out-without-reason",
                table=sheet.table,
                row=int(sheet.bars["row"].iloc[position]),
                column=sheet.places.get("left_out"),
                value=texts[position],
                bar=sheet.bars["bar"].iloc[position],
            )


def tell_shared_codes(sheet: SheetBars, notes: Notebook) -> None:
    """Ask about bar codes that stand for bars of several bodies or batches."""
    by_code = group_by([sheet.codes])
    if by_code.all_single:
        return
    bars = group_by([sheet.codes, *(sheet.bars[k].to_numpy(dtype=object) for k in ("body", "batch"))])
    counts = np.bincount(by_code.ids[bars.first], minlength=len(by_code))
    shared = np.flatnonzero(counts > 1)
    if len(shared):
        notes.add(
            "code-for-several-bars",
            table=sheet.table,
            row=int(sheet.bars["row"].iloc[by_code.first[shared[0]]]),
            column=sheet.places.get("bar"),
            value=len(shared),
        )


def tell_what_is_to_come(sheet: SheetBars, notes: Notebook) -> None:
    """Note which readings are still blank, in one finding for the workbook."""
    measured_bars = sheet.bars["left_out"].to_numpy(dtype=object) == ""
    counts = []
    for reading in READINGS:
        column = sheet.places.get(reading.key)
        if column is None:
            continue
        given = ~np.isnan(sheet.values(reading.key))
        if reading.of_mark:
            bars_given = np.zeros(len(sheet.bars), dtype=bool)
            bars_given[sheet.marks["bar_row"].to_numpy()[given]] = True
            given = bars_given
        places = sheet.bars["row"].to_numpy() if reading.of_mark else sheet.rows[reading.key]
        told = np.isin(places, notes.rows_of_column(sheet.table, column))
        blank = int((measured_bars & ~given & ~told & ~not_needed(sheet, reading)).sum())
        if blank:
            counts.append(f"{reading.heading} ({blank})")
    if counts:
        notes.add(
            "still-to-come", table=sheet.table, value=None, readings=", ".join(counts), bars=int(measured_bars.sum())
        )


def tell_alike(readings: Readings, lab: Lab, notes: Notebook) -> None:
    """Note readings that are the same for every bar of a group (those apart that are set alike)."""
    import pandas as pd

    for reading in readings.readings:
        if reading.set_alike:
            continue
        step = lab.step(reading.dimension.instrument.name)
        values = pd.Series(readings.values[reading.key])
        groups = values.groupby(readings.group)
        alike = (groups.max() - groups.min() < 1e-9) & (groups.count() >= ALIKE)
        for group in alike.index[alike.to_numpy()]:
            position = int(np.flatnonzero((readings.group == group) & values.notna().to_numpy())[0])
            notes.add(
                "readings-all-alike",
                **readings.cell(reading.key, position),
                value=float(values[position]),
                count=int(groups.count()[group]),
                heading=reading.heading,
                shown=measured(reading.key, float(values[position])),
                step=f" of {measured(reading.key, step)}" if step else "",
            )


def too_few_bars(bars: "pd.DataFrame", marks: "pd.DataFrame") -> list[Finding]:
    """Note groups with fewer bars than the standards ask for, over all workbooks."""
    if bars.empty:
        return []
    counted = bars["left_out"].to_numpy(dtype=object) == ""
    measured_marks = marks["fired_length_mm"].notna() & marks[["wet_length_mm", "dry_length_mm"]].notna().any(axis=1)
    shrunk = np.zeros(len(bars), dtype=bool)
    shrunk[marks["bar_row"].to_numpy()[measured_marks.to_numpy()]] = True
    soaked = (bars["fired_mass_g"].notna() & bars["boiled_mass_g"].notna()).to_numpy()
    found = []
    for code, fewest, having in (
        ("few-bars-for-shrinkage", SHRINKAGE_BARS, shrunk & counted),
        ("few-bars-for-absorption", ABSORPTION_BARS, soaked & counted),
    ):
        counts = bars[having].groupby(["body", "firing"], sort=False).size()
        few = counts[counts < fewest]
        if len(few):
            found.append(finding(code, groups=_listed(few), fewest=fewest))
    return found


def _listed(few: "pd.Series[int]") -> str:
    names = [f"{' '.join(str(p) for p in index if p) or 'unnamed'} ({count})" for index, count in few.items()]  # type: ignore[attr-defined]
    return ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
