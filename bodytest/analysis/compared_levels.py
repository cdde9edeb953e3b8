"""What each level of a comparison is known to be: its mean, and what makes it scatter, bars or batches."""

from dataclasses import dataclass

import numpy as np

from bodytest.rounding import counted
from bodytest.stats.design import FloatArray, IntArray
from bodytest.stats.effects import Instruments, summarise_effects
from bodytest.stats.mean_differences import LevelMean
from bodytest.stats.summary import effective_freedom, shared_step_uncertainty


@dataclass(frozen=True)
class Cell:
    """The bars of one batch at one level."""

    values: FloatArray
    """In the quantity's unit."""
    steps: FloatArray
    """Standard uncertainty of each from the reading steps."""
    bars: IntArray
    """A number for each: the same bar in another firing has the same."""

    def __len__(self) -> int:
        """Return how many bars there are."""
        return len(self.values)


Batches = dict[str, Cell]
"""Batch → its bars."""
Cells = dict[str, Batches]
"""Level → batch → its bars."""

_AGREEMENT = 0.95
"""Confidence at which the scatter of batches and that of bars are weighed against each other."""

NESTED_NOTE = (
    "{names} was tested in one batch, so how batches of it differ is not in this comparison: it holds for the batches"
    " tested only."
)
CROSSED_NOTE = (
    "Compared within batches ({names}), so what batches have in common drops out; it holds for these batches."
)
CONFOUNDED_NOTE = "No batch was tested at every {by}, so a difference between batches may look like one between {by}s."
LONE_BAR_NOTE = "{names} has a single bar and is not compared."
BLANK_NOTE = "Not compared: {bars} without a {by}."
ONLY_COMMON_NOTE = "Bars of batches that were not tested at every {by} are not used here."


@dataclass(frozen=True)
class ComparedLevel:
    """One of the things compared."""

    name: str
    """Name of the batch, body, firing, direction or position."""
    bars: int
    """Bars that it rests on."""
    batches: int
    """Batches that they come from."""
    mean: LevelMean
    """Mean, its variance and degrees of freedom."""


def compared_levels(cells: Cells, by: str) -> tuple[tuple[ComparedLevel, ...], tuple[str, ...]]:
    """Return the levels that can be compared, none when fewer than two can, and what is to be said of it.

    ``cells`` are bars that have everything in common but what they are compared ``by``.
    """
    notes: list[str] = []
    if "" in cells:
        notes.append(BLANK_NOTE.format(bars=counted(bars_of(cells[""]), "bar"), by=by))
        cells = {level: batches for level, batches in cells.items() if level}
    lone = [level for level, batches in cells.items() if bars_of(batches) < 2]
    if lone:
        notes.append(LONE_BAR_NOTE.format(names=" and ".join(lone)))
        cells = {level: batches for level, batches in cells.items() if level not in lone}
    if len(cells) < 2:
        return (), tuple(notes)
    cells, between_batches, more = _handling_of_batches(cells, by)
    pooled = None if between_batches else pooled_scatter(cells)
    levels = (level_of(name, batches, pooled) for name, batches in cells.items())
    return tuple(level for level in levels if level is not None), (*notes, *more)


def bars_of(batches: Batches) -> int:
    """Return how many bars there are."""
    return sum(len(cell) for cell in batches.values())


def _handling_of_batches(cells: Cells, by: str) -> tuple[Cells, bool, list[str]]:
    """Return the bars to use, whether batches are the units that scatter, and what to say about it."""
    every = [set(batches) for batches in cells.values()]
    if by == "batch" or (len(set.union(*every)) == 1 and by != "body"):
        return cells, False, []
    if by == "body":
        alone = [level for level, batches in cells.items() if len(batches) == 1]
        return cells, not alone, [NESTED_NOTE.format(names=" and ".join(alone))] if alone else []
    common = set.intersection(*every)
    if not common:
        several = all(len(batches) > 1 for batches in every)
        return cells, several, [] if several else [CONFOUNDED_NOTE.format(by=by)]
    kept = {level: {batch: cell for batch, cell in of.items() if batch in common} for level, of in cells.items()}
    names = ", ".join(sorted(batch or "no name" for batch in common))
    notes = [CROSSED_NOTE.format(names=names)] if len(common) > 1 else []
    if any(batches != common for batches in every):
        notes.append(ONLY_COMMON_NOTE.format(by=by))
    return kept, False, notes


def pooled_scatter(cells: Cells) -> tuple[float, float]:
    """Return variance and degrees of freedom of bars within batch and level, for levels that show none of their own.

    Where every batch has one bar at every level, what is left of level and batch taken together.
    """
    if seen := _within([cell.values for batches in cells.values() for cell in batches.values()]):
        return seen
    batches = sorted(set().union(*(set(of) for of in cells.values())))
    if len(batches) < 2 or any(set(of) != set(batches) for of in cells.values()):
        return 0.0, 0.0
    table = np.array([[of[batch].values[0] for batch in batches] for of in cells.values()])
    left = table - table.mean(axis=1, keepdims=True) - table.mean(axis=0) + table.mean()
    freedom = float((table.shape[0] - 1) * (table.shape[1] - 1))
    return float(np.square(left).sum()) / freedom, freedom


def level_of(name: str, batches: Batches, pooled: tuple[float, float] | None) -> ComparedLevel | None:
    """Return the mean of one level over its batches, None where nothing shows its scatter.

    Parameters:
        name: of the level.
        batches: its bars.
        pooled: variance and degrees of freedom of bars that a level of single bars takes; None where not its bars but
            its batches scatter.
    """
    cells = [cell.values for cell in batches.values()]
    everything = np.concatenate(cells)
    step = float(np.sqrt(np.mean(np.concatenate([cell.steps for cell in batches.values()]) ** 2)))
    mean = float(np.mean([cell.mean() for cell in cells]))
    if pooled is None:
        mean, scatter, freedom = _between_batches(cells, step)
    else:
        within, freedom = _within(cells) or pooled
        scatter = max(within, step**2) * float(np.mean([1.0 / len(cell) for cell in cells])) / len(cells)
    if not freedom:
        return None
    spread = float(everything.std(ddof=1)) if len(everything) > 1 else 0.0
    variance = scatter + shared_step_uncertainty(spread, step) ** 2
    known_mean = LevelMean(mean, variance, effective_freedom(variance, scatter, freedom))
    return ComparedLevel(name, len(everything), len(cells), known_mean)


def _between_batches(cells: list[FloatArray], step: float) -> tuple[float, float, float]:
    """Return the mean over the batches of one level, its variance and degrees of freedom."""
    index = np.repeat(np.arange(len(cells)), [len(cell) for cell in cells])
    values = np.concatenate(cells)
    one_load = np.zeros_like(index)
    instruments = Instruments(step, shared_step=0.0)
    found = summarise_effects(values, index, one_load, confidence=_AGREEMENT, instruments=instruments)
    if found.standard_uncertainty is None or found.degrees_of_freedom is None:
        return found.mean, 0.0, 0.0
    return found.mean, found.standard_uncertainty**2, found.degrees_of_freedom


def _within(cells: list[FloatArray]) -> tuple[float, float] | None:
    """Return variance and degrees of freedom of bars within their batches, None where none has two."""
    freedom = float(sum(len(cell) - 1 for cell in cells))
    if not freedom:
        return None
    return sum(float(np.square(cell - cell.mean()).sum()) for cell in cells) / freedom, freedom
