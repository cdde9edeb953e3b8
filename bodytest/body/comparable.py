"""Which bars can be compared, and what one level of a comparison is known to be."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from bodytest.lab.uncertainty import step_uncertainty
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Results
from bodytest.stats.batch_intervals import mean_variance
from bodytest.stats.comparison import LevelMean
from bodytest.stats.summary import effective_freedom, shared_step_uncertainty
from bodytest.stats.variance_components import batch_moments

_AGREEMENT = 0.95
"""Confidence at which the scatter of batches and that of bars are weighed against each other."""

FloatArray = npt.NDArray[np.float64]

HELD_EQUAL: dict[str, tuple[str, ...]] = {
    "batch": ("body", "firing", "direction", "absorption_method"),
    "body": ("firing", "direction", "absorption_method"),
    "firing": ("body", "direction", "absorption_method"),
    "direction": ("body", "firing", "absorption_method"),
    "position": ("body", "firing", "direction", "absorption_method"),
}
"""What bars are compared by, and what they must have in common for it."""

NESTED_NOTE = (
    "{names} was tested in one batch, so how batches of it differ is not in this comparison: it holds for the batches"
    " tested only."
)
CROSSED_NOTE = (
    "Compared within batches ({names}), so what batches have in common drops out; it holds for these batches."
)
CONFOUNDED_NOTE = "No batch was tested at every {by}, so a difference between batches may look like one between {by}s."
LONE_BAR_NOTE = "{names} has a single bar and is not compared."
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


@dataclass(frozen=True)
class ComparableBars:
    """Bars that have everything in common but what they are compared by."""

    by: str
    """What they are compared by."""
    common: dict[str, str | None]
    """What they have in common, by name of the column."""
    levels: tuple[ComparedLevel, ...]
    """What is compared, at least two."""
    notes: tuple[str, ...]
    """Sentences on what the comparison can and cannot say."""


def comparable_bars(results: Results, by: str, quantity: str) -> Iterator[ComparableBars]:
    """Yield each set of bars that can be compared.

    Parameters:
        results: of an analysis; bars that were left out are not used.
        by: key of `HELD_EQUAL`.
        quantity: key of a quantity.
    """
    bars = _measured(results, by, quantity)
    held = list(HELD_EQUAL[by])
    for key, chosen in bars.groupby(held, sort=False):
        common = {name: str(value) or None for name, value in zip(held, key, strict=True)}
        compared, notes = _levels(chosen, by)
        if len(compared) > 1:
            yield ComparableBars(by, common, compared, notes)


def _measured(results: Results, by: str, quantity: str) -> pd.DataFrame:
    """Return the bars that count and have the quantity, in the order of the groups, with the step of their values."""
    bars = results.bars
    methods = np.array([group.absorption_method or "" for group in results.groups], dtype=object)
    known = (bars["left_out"] == "") & (bars["group"] >= 0) & bars[quantity].notna() & (bars[by] != "")
    chosen = bars[known].sort_values("group", kind="stable")
    return chosen.assign(
        absorption_method=methods[chosen["group"].to_numpy(dtype=np.int64)] if len(chosen) else "",
        value=chosen[quantity],
        level=chosen[by],
        step=_steps(results, chosen, quantity),
    )


def _steps(results: Results, bars: pd.DataFrame, quantity: str) -> FloatArray:
    """Return the standard uncertainty of each value from the reading steps of its sheet."""
    labs = {source.name: source.lab for source in results.sheets}
    lengths = [labs[name].length_step_mm or 0.0 if name in labs else 0.0 for name in bars["sheet"]]
    masses = [labs[name].mass_step_g or 0.0 if name in labs else 0.0 for name in bars["sheet"]]
    columns = {need: _reading_column(need) for need in QUANTITY_BY_KEY[quantity].needs}
    if not len(bars) or any(column not in bars for column in columns.values()):
        return np.zeros(len(bars))
    return step_uncertainty(
        quantity,
        {need: bars[column].to_numpy(dtype=np.float64) for need, column in columns.items()},
        marks=np.maximum(bars["marks"].to_numpy(dtype=np.float64), 1.0) if "marks" in bars else 1.0,
        length_step_mm=np.array(lengths),
        mass_step_g=np.array(masses),
    )


def _reading_column(key: str) -> str:
    return f"{key}_{'mm' if key.endswith('length') else 'g'}"


def _levels(bars: pd.DataFrame, by: str) -> tuple[tuple[ComparedLevel, ...], tuple[str, ...]]:
    notes: list[str] = []
    sizes = bars.groupby("level", sort=False).size()
    lone = [str(name) for name in sizes.index[sizes < 2]]
    if lone:
        notes.append(LONE_BAR_NOTE.format(names=" and ".join(lone)))
        bars = bars[~bars["level"].isin(lone)]
    if bars["level"].nunique() < 2:
        return (), tuple(notes)
    bars, between_batches, note = _handling_of_batches(bars, by)
    notes.extend(note)
    pooled = None if between_batches else _pooled_scatter(bars)
    levels = (_level(str(name), chosen, pooled) for name, chosen in bars.groupby("level", sort=False))
    return tuple(level for level in levels if level is not None), tuple(notes)


def _pooled_scatter(bars: pd.DataFrame) -> tuple[float, float]:
    """Return variance and degrees of freedom of bars within batch and level, for levels that show none of their own.

    Where every batch has one bar at every level, what is left of level and batch taken together.
    """
    cells = bars.groupby(["level", "batch"], sort=False)["value"]
    freedom = float((cells.size() - 1).sum())
    if freedom:
        return float(np.square(bars["value"] - cells.transform("mean")).sum()) / freedom, freedom
    table = cells.mean().unstack()
    if table.isna().any(axis=None) or min(table.shape) < 2:
        return 0.0, 0.0
    left = table.sub(table.mean(axis=1), axis=0).sub(table.mean(axis=0), axis=1) + table.to_numpy().mean()
    freedom = float((table.shape[0] - 1) * (table.shape[1] - 1))
    return float(np.square(left.to_numpy()).sum()) / freedom, freedom


def _handling_of_batches(bars: pd.DataFrame, by: str) -> tuple[pd.DataFrame, bool, list[str]]:
    """Return the bars to use, whether batches are the units that scatter, and what to say about it."""
    batches = {str(name): set(chosen["batch"]) for name, chosen in bars.groupby("level", sort=False)}
    if by == "batch" or (len(set.union(*batches.values())) == 1 and by != "body"):
        return bars, False, []
    if by == "body":
        alone = [name for name, found in batches.items() if len(found) == 1]
        return bars, not alone, [NESTED_NOTE.format(names=" and ".join(alone))] if alone else []
    common = set.intersection(*batches.values())
    if not common:
        every = all(len(found) > 1 for found in batches.values())
        return bars, every, [] if every else [CONFOUNDED_NOTE.format(by=by)]
    kept = bars[bars["batch"].isin(common)]
    names = ", ".join(sorted(str(name) or "no name" for name in common))
    notes = [CROSSED_NOTE.format(names=names)] if len(common) > 1 else []
    if len(kept) < len(bars):
        notes.append(ONLY_COMMON_NOTE.format(by=by))
    return kept, False, notes


def _level(name: str, bars: pd.DataFrame, pooled: tuple[float, float] | None) -> ComparedLevel | None:
    """Return the mean of batch means of one level; its bars scatter, or its batches where ``pooled`` is None."""
    cells = [cell.to_numpy(dtype=np.float64) for _, cell in bars.groupby("batch", sort=False)["value"]]
    means = np.array([cell.mean() for cell in cells])
    step = float(np.sqrt(np.mean(np.square(bars["step"]))))
    if pooled is None:
        scatter, freedom = _between_batches(bars, step)
    else:
        within, freedom = _within(cells, pooled)
        scatter = max(within, step**2) * float(np.mean([1.0 / len(cell) for cell in cells])) / len(cells)
    if not freedom:
        return None
    shared = shared_step_uncertainty(float(bars["value"].std(ddof=1)), step) ** 2
    variance = scatter + shared
    known = LevelMean(float(means.mean()), variance, effective_freedom(variance, scatter, freedom))
    return ComparedLevel(name, len(bars), len(cells), known)


def _between_batches(bars: pd.DataFrame, step: float) -> tuple[float, float]:
    """Return variance and degrees of freedom of the mean over the batches of one level."""
    moments = batch_moments(bars["value"].to_numpy(dtype=np.float64), pd.factorize(bars["batch"])[0])
    variance, freedom = mean_variance(moments, _AGREEMENT, step)
    return float(variance), float(freedom)


def _within(cells: list[FloatArray], pooled: tuple[float, float]) -> tuple[float, float]:
    """Return variance and degrees of freedom of bars within the batches of one level."""
    freedom = float(sum(len(cell) - 1 for cell in cells))
    if not freedom:
        return pooled
    return sum(float(np.square(cell - cell.mean()).sum()) for cell in cells) / freedom, freedom


def standard_uncertainty(level: ComparedLevel) -> float:
    """Return the standard uncertainty of a level's mean."""
    return math.sqrt(level.mean.variance)
