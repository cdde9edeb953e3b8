"""Loads of one body → the mean of a quantity at each temperature, with the uncertainty of mean and temperature."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from bodytest.analysis.loads import holds
from bodytest.results import Group, Programme, QuantityResult
from bodytest.stats.combined_freedom import combined_freedom
from bodytest.stats.design import FloatArray, IntArray
from bodytest.stats.firing_response import LevelMeans
from bodytest.stats.load_temperatures import temperature_scatter

LEVEL_C = 5.0
"""Programmes whose temperatures differ by less than this are one level, °C: no kiln thermometer tells them apart."""


@dataclass(frozen=True)
class Level:
    """What stands at one temperature: the loads of a programme, or of programmes that are as hot."""

    loads: tuple[Group, ...]
    """Load by load."""
    programmes: tuple[Group | Programme, ...]
    """The same bars programme by programme; a load that belongs to none stands for itself."""

    @property
    def celsius(self) -> float:
        """Mean temperature of its loads, °C, each as often as it has bars."""
        bars = sum(load.bars for load in self.loads)
        return sum(load.bars * (celsius_of(load) or 0.0) for load in self.loads) / bars


def celsius_of(group: Group | Programme) -> float | None:
    """Return the temperature at which a group stands, the nominal one of its cone where none was read."""
    return group.peak_temperature_c if group.peak_temperature_c is not None else group.nominal_temperature_c


def heat_of(group: Group | Programme) -> float:
    """Return the temperature to sort by, coolest first; one that is not known comes last."""
    found = celsius_of(group)
    return math.inf if found is None else found


def levels_of(loads: Iterable[Group], programmes: Sequence[Programme]) -> list[Level]:
    """Return the loads that have a temperature by programme, those as hot as each other together, coolest first."""
    of_programme: dict[str, tuple[Group | Programme, list[Group]]] = {}
    for load in loads:
        if celsius_of(load) is not None:
            one = next((one for one in programmes if holds(one, load)), None)
            of_programme.setdefault(one.id if one else load.firing, (one or load, []))[1].append(load)
    levels: list[Level] = []
    start = -math.inf
    for level in sorted(
        (Level(tuple(some), (one,)) for one, some in of_programme.values()), key=lambda one: one.celsius
    ):
        if level.celsius - start >= LEVEL_C:
            levels.append(level)
            start = level.celsius
        else:
            last = levels[-1]
            levels[-1] = Level((*last.loads, *level.loads), (*last.programmes, *level.programmes))
    return levels


def pooled_scatter(found: Iterable[QuantityResult]) -> tuple[float, float]:
    """Return the standard deviation of one bar over all temperatures, for those with one bar alone."""
    known = [(one.n - 1, one.sd) for one in found if one.sd is not None and one.n > 1]
    freedom = sum(part for part, _ in known)
    return (math.sqrt(sum(part * sd**2 for part, sd in known) / freedom), freedom) if freedom else (0.0, 0)


def level_means(levels: Sequence[Level], key: str) -> LevelMeans:
    """Return the mean of a quantity at each level, temperatures taken to be exact."""
    scatter = pooled_scatter(one.quantities[key] for level in levels for one in level.programmes)
    rows = [_put_together(level, key, *scatter) for level in levels]
    celsius, means, uncertainties, freedoms, bars = (
        np.array(column, dtype=np.float64) for column in zip(*rows, strict=True)
    )
    return LevelMeans(celsius, means, uncertainties, freedoms, bars, _covariances(levels, key))


def _put_together(
    level: Level, key: str, pooled_sd: float, pooled_freedom: float
) -> tuple[float, float, float, float, float]:
    """Return temperature, mean, standard uncertainty, degrees of freedom and number of bars of one level."""
    found = [one.quantities[key] for one in level.programmes]
    bars = sum(one.n for one in found)
    variances, freedoms = [], []
    for one in found:
        uncertainty, freedom = one.standard_uncertainty, one.degrees_of_freedom
        if uncertainty is None or freedom is None:
            uncertainty, freedom = pooled_sd / math.sqrt(one.n), max(pooled_freedom, 1.0)
        variances.append((one.n / bars * uncertainty) ** 2)
        freedoms.append(freedom)
    mean = sum(one.n * (one.mean or 0.0) for one in found) / bars
    return level.celsius, mean, math.sqrt(sum(variances)), float(combined_freedom(variances, freedoms)), float(bars)


def _covariances(levels: Sequence[Level], key: str) -> FloatArray | None:
    """Return how the means of two temperatures vary together over the batches fired at both, None with one batch."""
    if all(one.quantities[key].batch_sd is None for level in levels for one in level.programmes):
        return None
    found = np.full((len(levels), len(levels)), np.nan)
    by_batch = [_batch_means(level, key) for level in levels]
    for first, second in combinations(range(len(levels)), 2):
        one, other = by_batch[first], by_batch[second]
        if one and one.keys() == other.keys():
            pairs = np.array([[one[batch], other[batch]] for batch in one])
            found[first, second] = found[second, first] = np.cov(pairs.T)[0, 1] / len(pairs)
    return found


def _batch_means(level: Level, key: str) -> dict[str, float]:
    """Return the mean of each batch at one temperature, nothing where several programmes or one batch stand there."""
    if len(level.programmes) != 1 or len(level.programmes[0].by_batch) < 2:
        return {}
    by_batch = level.programmes[0].by_batch
    measured = {batch.batch: batch.quantities[key].mean for batch in by_batch if key in batch.quantities}
    return {batch: mean for batch, mean in measured.items() if mean is not None}


def with_wrong_temperatures(
    levels: Sequence[Level], by_key: dict[str, LevelMeans]
) -> tuple[dict[str, LevelMeans], bool]:
    """Let the uncertainty of temperatures enter; the second value says whether some are still taken to be exact.

    A load's stated ± counts, or the scatter of loads that were fired alike, whichever is larger. Where a programme was
    fired more than once, its mean knows that scatter already and only a larger stated ± is added.
    """
    loads = [load for level in levels for load in level.loads]
    stated = np.array([(group.temperature_expanded_c or math.nan) / 2.0 for group in loads])
    spread, freedom = _scatter(levels, by_key) or (math.nan, _STATED_FREEDOM)
    larger = np.fmax(stated, spread)
    if np.isnan(larger).all():
        return by_key, True
    level_of_load = _level_of_load(levels)
    first = next(iter(by_key))
    has_scatter_of_loads = [
        all(one.quantities[first].load_sd is not None for one in level.programmes) for level in levels
    ]
    known = np.array(has_scatter_of_loads)[level_of_load]
    added = np.where(known & ~(stated > spread), 0.0, np.nan_to_num(larger))
    bars = np.array([group.quantities[first].n for group in loads], dtype=np.float64)
    share = bars / np.bincount(level_of_load, weights=bars)[level_of_load]
    own = np.sqrt(np.bincount(level_of_load, weights=np.square(share * added)))
    if not (larger == spread).any():
        freedom = _STATED_FREEDOM
    told = {
        key: replace(one, temperature_uncertainties_c=own, temperature_freedom=freedom) for key, one in by_key.items()
    }
    return told, bool(np.isnan(larger).any())


_STATED_FREEDOM = LevelMeans.temperature_freedom


def _level_of_load(levels: Sequence[Level]) -> IntArray:
    return np.repeat(np.arange(len(levels)), [len(level.loads) for level in levels])


def _scatter(levels: Sequence[Level], by_key: dict[str, LevelMeans]) -> tuple[float, float] | None:
    loads = [load for level in levels for load in level.loads]
    level_of_load = _level_of_load(levels)
    celsius = np.array([celsius_of(group) for group in loads], dtype=np.float64)
    count = np.bincount(level_of_load)
    deviations, slopes, variances = [], [], []
    for key, one in by_key.items():
        slope = np.gradient(one.means, one.temperatures_c)[level_of_load]
        means = np.array([group.quantities[key].mean for group in loads], dtype=np.float64) - slope * celsius
        deviations.append(means - (np.bincount(level_of_load, weights=means) / count)[level_of_load])
        slopes.append(slope)
        variances.append(float(np.square(one.standard_uncertainties).mean()))
    return temperature_scatter(np.array(deviations), np.array(slopes), np.array(variances), level_of_load)
