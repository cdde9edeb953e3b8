"""Bars that stand in two of the things compared, such as two firings: each is compared with itself."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from bodytest.analysis.compared_levels import Batches, Cell, Cells, level_of, pooled_scatter
from bodytest.stats.mean_differences import LevelMean

_FEWEST = 3
"""Fewer bars than this say too little about how they change."""
_MOST_NAMED = 3

SAME_BARS_NOTE = "The same bars, each compared with itself: {pairs}."
UNUSED_NOTE = "Bars in only one of the two are not used for that difference."
FIRED_AGAIN_NOTE = "Bars fired again went through both firings; a fresh bar may read otherwise."
FEW_SAME_NOTE = "Too few bars are the same to be compared with themselves: {pairs}."


@dataclass(frozen=True)
class PairedBars:
    """The bars that two levels share."""

    bars: int
    """How many."""
    mean: LevelMean
    """Mean of second minus first, its variance and degrees of freedom."""


def paired_bars(
    cells: Cells, names: tuple[str, ...], by: str
) -> tuple[dict[tuple[int, int], PairedBars], tuple[str, ...]]:
    """Return the bars that levels share, by positions of the levels, and what is to be said of them.

    They are taken where they are at least three and at least half of the bars of the level that has fewer; what
    scatters is then how each bar changes, within its batch.

    Parameters:
        cells: bars that have everything else in common.
        names: of the levels compared, in their order.
        by: what they are compared by.
    """
    found: dict[tuple[int, int], PairedBars] = {}
    same, few, unused = [], [], False
    for pair in combinations(range(len(names)), 2):
        first, second = names[pair[0]], names[pair[1]]
        changes = _changes(cells[first], cells[second])
        bars = sum(len(cell) for cell in changes.values())
        all_bars = [sum(len(cell) for cell in cells[name].values()) for name in (first, second)]
        if not bars:
            continue
        told = f"{bars} {'bar' if bars == 1 else 'bars'} in {first} and {second}"
        level = level_of("", changes, _scatter(changes)) if bars >= _FEWEST and 2 * bars >= min(all_bars) else None
        if level is None:
            few.append(told)
            continue
        found[pair] = PairedBars(bars, level.mean)
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
