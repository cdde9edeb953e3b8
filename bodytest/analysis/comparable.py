"""Which bars can be compared: those that have everything in common but one thing."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import pandas as pd

from bodytest.analysis.compared_levels import (
    Batches,
    Cell,
    Cells,
    ComparedLevel,
    bars_of,
    compared_levels,
    level_of,
    pooled_scatter,
)
from bodytest.lab.uncertainty import step_uncertainty
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Results
from bodytest.rounding import counted
from bodytest.stats.design import FloatArray, IntArray
from bodytest.units import INSTRUMENTS

_FEWEST = 3
"""Fewer bars than this say too little about how they change."""
_MOST_NAMED = 3

SAME_BARS_NOTE = "The same bars, each compared with itself: {pairs}."
UNUSED_NOTE = "Bars in only one of the two are not used for that difference."
FIRED_AGAIN_NOTE = "Bars fired again went through both firings; a fresh bar may read otherwise."
FEW_SAME_NOTE = "Too few bars are the same to be compared with themselves: {pairs}."


def paired_bars(
    cells: Cells, names: tuple[str, ...], by: str
) -> tuple[dict[tuple[int, int], ComparedLevel], tuple[str, ...]]:
    """Return how the bars that levels share change, second minus first, by positions of the levels, and what to say.

    They are taken where they are at least three and at least half of the bars of the level that has fewer; what
    scatters is then how each bar changes, within its batch. ``names`` are those of the levels, in their order.
    """
    found: dict[tuple[int, int], ComparedLevel] = {}
    same, few, unused = [], [], False
    for pair in combinations(range(len(names)), 2):
        first, second = names[pair[0]], names[pair[1]]
        changes = _changes(cells[first], cells[second])
        bars, all_bars = bars_of(changes), [bars_of(cells[name]) for name in (first, second)]
        if not bars:
            continue
        told = f"{counted(bars, 'bar')} in {first} and {second}"
        level = level_of("", changes, _scatter(changes)) if bars >= _FEWEST and 2 * bars >= min(all_bars) else None
        if level is None:
            few.append(told)
            continue
        found[pair] = level
        same.append(told)
        unused |= max(all_bars) > bars
    return found, _notes(same, few, unused=unused, by=by)


def _changes(first: Batches, second: Batches) -> Batches:
    """Return how each bar that stands in both changes, batch by batch."""
    values, steps, bars = (np.concatenate([getattr(cell, name) for cell in first.values()]) for name in _OF_A_CELL)
    changes: Batches = {}
    for batch, cell in second.items():
        shared, at, before = np.intersect1d(cell.bars, bars, return_indices=True)
        if len(shared):
            by = np.hypot(cell.steps[at], steps[before])
            changes[batch] = Cell(cell.values[at] - values[before], by, shared)
    return changes


_OF_A_CELL = ("values", "steps", "bars")


def _scatter(changes: Batches) -> tuple[float, float] | None:
    """Return what single bars of a batch borrow; None where every batch has one, so that batches scatter."""
    return pooled_scatter({"": changes}) if any(len(cell) > 1 for cell in changes.values()) else None


def _notes(same: list[str], few: list[str], *, unused: bool, by: str) -> tuple[str, ...]:
    notes = []
    if same:
        notes.append(SAME_BARS_NOTE.format(pairs=_listed(same)))
    if unused:
        notes.append(UNUSED_NOTE)
    if same and by == "firing":
        notes.append(FIRED_AGAIN_NOTE)
    if few:
        notes.append(FEW_SAME_NOTE.format(pairs=_listed(few)))
    return tuple(notes)


def _listed(pairs: list[str]) -> str:
    more = len(pairs) - _MOST_NAMED
    return "; ".join(pairs[:_MOST_NAMED]) + (f"; and {more} more pairs" if more > 0 else "")


HELD_EQUAL: dict[str, tuple[str, ...]] = {
    "batch": ("body", "firing", "direction", "absorption_method"),
    "body": ("firing", "direction", "absorption_method"),
    "firing": ("body", "direction", "absorption_method"),
    "direction": ("body", "firing", "absorption_method"),
    "position": ("body", "firing", "direction", "absorption_method"),
}
"""What bars are compared by, and what they must have in common for it."""


@dataclass(frozen=True)
class ComparableBars:
    """Bars that have everything in common but what they are compared by."""

    by: str
    """What they are compared by."""
    common: dict[str, str | None]
    """What they have in common, by name of the column."""
    levels: tuple[ComparedLevel, ...]
    """What is compared, at least two."""
    paired: dict[tuple[int, int], ComparedLevel]
    """How bars that two of the levels share change from the first to the second, by the positions of these."""
    notes: tuple[str, ...]
    """Sentences on what the comparison can and cannot say."""


def comparable_bars(results: Results, by: str, quantity: str) -> Iterator[ComparableBars]:
    """Yield each set of bars that can be compared ``by`` a key of `HELD_EQUAL`; bars left out are not used."""
    held = HELD_EQUAL[by]
    for key, cells in _sets(results, by, quantity).items():
        compared, notes = compared_levels(cells, by)
        if len(compared) > 1:
            held_equal = {name: value or None for name, value in zip(held, key, strict=True)}
            paired, more = paired_bars(cells, tuple(level.name for level in compared), by)
            yield ComparableBars(by, held_equal, compared, paired, (*notes, *more))


def _sets(results: Results, by: str, quantity: str) -> dict[tuple[str, ...], Cells]:
    """Return the bars that count and have the quantity, by what they have in common, in the order of the groups."""
    every = results.bars
    if len(set(every[by].unique()) - {""}) < 2:
        return {}
    wanted = {*HELD_EQUAL[by], by, "batch", "sheet", "bar", "group", "marks", quantity}
    wanted |= {reading.column for reading in QUANTITY_BY_KEY[quantity].readings}
    known = (every["left_out"] == "") & (every["group"] >= 0) & every[quantity].notna()
    bars = every.loc[known, [name for name in every if name in wanted]].sort_values("group", kind="stable")
    methods = pd.Series([group.absorption_method or "" for group in results.groups], dtype=object)
    bars["absorption_method"] = bars["group"].map(methods)
    columns = list(dict.fromkeys((*HELD_EQUAL[by], by, "batch")))
    found = Cell(bars[quantity].to_numpy(dtype=float), step_uncertainties(results, bars, quantity), _numbers(bars))
    sets: dict[tuple[str, ...], Cells] = {}
    for names, rows in _alike(bars[columns]):
        level = sets.setdefault(tuple(names[name] for name in HELD_EQUAL[by]), {}).setdefault(names[by], {})
        level[names["batch"]] = Cell(found.values[rows], found.steps[rows], found.bars[rows])
    return sets


def _numbers(bars: pd.DataFrame) -> IntArray:
    """Return a number for each bar, the same for one that was fired again; without a code each is a bar of its own."""
    numbers = bars.groupby(["sheet", "bar"], sort=False).ngroup().to_numpy(dtype=np.int64)
    return np.where(bars["bar"] == "", -1 - np.arange(len(bars)), numbers)


def _alike(texts: pd.DataFrame) -> Iterator[tuple[dict[str, str], IntArray]]:
    """Yield the positions of the rows that are alike, in the order of the first of them, with what stands there."""
    numbers = texts.groupby(list(texts), sort=False, dropna=False).ngroup().to_numpy()
    order = np.argsort(numbers, kind="stable")
    starts = np.flatnonzero(np.diff(numbers[order], prepend=-1))
    for names, rows in zip(texts.iloc[order[starts]].to_dict("records"), np.split(order, starts[1:]), strict=False):
        yield {str(column): str(name) for column, name in names.items()}, rows


def step_uncertainties(results: Results, bars: pd.DataFrame, quantity: str) -> FloatArray:
    """Return the standard uncertainty of each value from the reading steps of its sheet."""
    readings = QUANTITY_BY_KEY[quantity].readings
    if not len(bars) or any(reading.column not in bars for reading in readings):
        return np.zeros(len(bars))
    stated = {name: {source.name: source.lab.step(name) or 0.0 for source in results.sheets} for name in INSTRUMENTS}
    return step_uncertainty(
        QUANTITY_BY_KEY[quantity],
        {reading.key: bars[reading.column].to_numpy(dtype=np.float64) for reading in readings},
        steps={name: bars["sheet"].map(of_sheet).fillna(0.0).to_numpy(float) for name, of_sheet in stated.items()},
        marks=np.maximum(bars["marks"].to_numpy(dtype=np.float64), 1.0) if "marks" in bars else 1.0,
    )
