"""What is still to come, what is left out, and whether there are enough bars: told, never held against a sheet."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from bodytest.findings import Finding, finding
from bodytest.intake.all_bars import AllBars
from bodytest.intake.merging import group_by
from bodytest.lab.record import STAGES, Reading
from bodytest.lab.soaking import soaking
from bodytest.quantities import READINGS
from bodytest.rules.conditions import has, not_needed
from bodytest.rules.neighbours import Readings
from bodytest.tables import Lab

SHRINKAGE_BARS = 10
"""Bars that ASTM C326 asks for."""
ALIKE = 5
"""Bars that must read the same before it is told."""


def tell_shared_codes(every: AllBars) -> None:
    """Ask, once for each table, about bar codes that stand for bars of several bodies or batches."""
    by_code = group_by([every.codes])
    if by_code.all_single:
        return
    bars = group_by([every.codes, every.texts("body"), every.texts("batch")])
    counts = np.bincount(by_code.ids[bars.first], minlength=len(by_code))
    shared = by_code.first[counts > 1]
    _, first, numbers = np.unique(every.table_of["bar"][shared], return_index=True, return_counts=True)
    for at, number in zip(first.tolist(), numbers.tolist(), strict=True):
        every.tell("code-for-several-bars", "bar", int(shared[at]), value=number)


def tell_what_is_to_come(every: AllBars, left_out_from: np.ndarray) -> None:
    """Note which readings are still blank, in one finding for each table; none from the stage a bar is left out on."""
    waiting = left_out_from > 0
    table_of, count = every.table_of["bar"], len(every.tables)
    words: list[list[str]] = [[] for _ in range(count)]
    for reading in READINGS:
        blank = (
            (left_out_from > STAGES.index(reading.stage))
            & ~has(every, reading)
            & every.has_column(reading.key)
            & ~not_needed(every, reading)
            & ~_is_told(every, reading)
        )
        for number, blanks in enumerate(np.bincount(table_of[blank], minlength=count).tolist()):
            if blanks:
                words[number].append(f"{reading.heading} ({blanks})")
    bars = np.bincount(table_of[waiting], minlength=count).tolist()
    for table, to_come, waits in zip(every.tables, words, bars, strict=True):
        if to_come:
            table.notes.add("still-to-come", table=table.table, value=None, readings=", ".join(to_come), bars=waits)


def _is_told(every: AllBars, reading: Reading) -> np.ndarray:
    """Tell which bars have a finding about the cell of a reading."""
    told = np.zeros(len(every), dtype=bool)
    rows = every.rows["bar" if reading.of_mark else reading.key]
    for number, table in enumerate(every.tables):
        if reading.key in table.places and (
            cells := table.notes.rows_of_column(table.table, table.places[reading.key])
        ):
            told |= (every.table_of["bar"] == number) & np.isin(rows, cells)
    return told


def tell_alike(readings: Readings) -> None:
    """Note readings that are the same for every bar of a group (those apart that are set alike)."""
    for reading in readings.readings:
        if reading.set_alike:
            continue
        values = readings.values[reading.key]
        given = np.flatnonzero(~np.isnan(values))
        ids = readings.group.ids[given]
        count = np.bincount(ids)
        low, high = np.full((2, len(count)), [[np.inf], [-np.inf]])
        np.minimum.at(low, ids, values[given])
        np.maximum.at(high, ids, values[given])
        for group in np.flatnonzero((high - low < 1e-9) & (count >= ALIKE)).tolist():
            position = int(given[ids == group][0])
            step = float(readings.steps(reading.dimension.instrument.name)[position])
            words: dict[str, Any] = {
                "count": int(count[group]),
                "shown": readings.shown(reading.key, position, float(values[position])),
                "step": f" of {readings.shown(reading.key, position, step)}" if step else "",
            }
            readings.tell("readings-all-alike", reading.key, position, **words)


def too_few_bars(bars: pd.DataFrame, marks: pd.DataFrame, labs: Sequence[Lab]) -> list[Finding]:
    """Note groups with fewer bars than the standards that were followed ask for, over all workbooks."""
    if bars.empty:
        return []
    counted = bars["left_out"].to_numpy(dtype=object) == ""
    measured_marks = marks["fired_length_mm"].notna() & marks[["wet_length_mm", "dry_length_mm"]].notna().any(axis=1)
    shrunk = np.zeros(len(bars), dtype=bool)
    shrunk[marks["bar_row"].to_numpy()[measured_marks.to_numpy()]] = True
    soaked = (bars["fired_mass_g"].notna() & bars["boiled_mass_g"].notna()).to_numpy()
    found = _few("few-bars-for-shrinkage", bars[shrunk & counted], SHRINKAGE_BARS)
    methods = bars["sheet"].map(dict(enumerate(lab.absorption_method or "" for lab in labs)))
    for method in methods[soaked & counted].unique():
        asked = soaking(method)
        fewest, source = (asked.fewest, asked.source) if method else _FEWEST_OF_ANY
        if fewest is not None:
            having = bars[soaked & counted & (methods == method).to_numpy()]
            found += _few("few-bars-for-absorption", having, fewest, source=source)
    return found


_FEWEST_OF_ANY = (5, "ASTM C373 or C67")
"""Specimens that either standard asks for, where no absorption method is stated."""


def _few(code: str, having: pd.DataFrame, fewest: int, **words: str) -> list[Finding]:
    counts = having.groupby(["body", "firing"], sort=False).size()
    few = counts[counts < fewest]
    return [finding(code, groups=_listed(few), fewest=fewest, **words)] if len(few) else []


def _listed(few: "pd.Series[int]") -> str:
    names = [f"{' '.join(str(p) for p in index if p) or 'unnamed'} ({count})" for index, count in few.items()]  # type: ignore[attr-defined]
    return ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
