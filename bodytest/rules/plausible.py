"""Readings far from those of the bars around them are asked about."""

from collections import Counter

import numpy as np
import pandas as pd

from bodytest.intake.cells import factor
from bodytest.intake.merging import mean_by
from bodytest.quantities import QUANTITIES, READING_BY_KEY
from bodytest.rules.neighbours import FEWEST, Readings, least_fitting
from bodytest.rules.slips import EXPLAINED, mend, refuse_slip

FAR = 6.0
"""Robust standard deviations from the neighbours above which a ratio is asked about, raised by 4/n in groups of n."""
ALONE = 2.5
"""How many times larger or smaller than the same reading of its neighbours a reading has to be to be asked about."""
SMALLEST_GROUP = 5
"""Bars that must stand in a group before one of them can be far from the others."""
SMALLEST_WITHOUT = 8
"""Bars of a group from which on the scatter of the others counts, where it is less than the robust one."""
SMALLEST_POOLED = 3
"""Bars of a smaller group that can be judged by the scatter of all firings of the batch."""
APART = 0.25
"""Share by which mass over length must differ from that of the neighbours to be asked about."""
MASS_OVER_LENGTH = tuple((f"{stage}_length", f"{stage}_mass") for stage in ("wet", "dry", "fired"))
"""Length and mass of one stage."""
PAIRS: dict[tuple[str, str], None] = dict.fromkeys(
    (q.base, next(key for key in q.needs if key != q.base))
    for q in QUANTITIES
    if len(q.readings) == 2 and q.readings[0].dimension is q.readings[1].dimension
)
"""Two readings of a bar whose ratio is compared with that of its neighbours: every pair that makes a quantity."""


def ask_about_far(readings: Readings, asked: set[tuple[str, int]]) -> None:
    """Ask about readings far from their neighbours; those in ``asked`` were asked about already."""
    far: dict[int, Counter[str]] = {}
    given = readings.given().keys()
    for pair in PAIRS:
        if given >= set(pair):
            for position in np.flatnonzero(_strayed(readings, pair)).tolist():
                far.setdefault(position, Counter()).update(pair)
    for key, stray in _strayed_alone(readings):
        far.setdefault(stray, Counter()).update([key])
    cells: set[tuple[str, int, int]] = set()
    for position, keys in sorted(far.items())[:EXPLAINED]:
        if not any((key, position) in asked for key in keys):
            asked |= _ask_far(readings, position, keys, cells)


def _strayed(readings: Readings, pair: tuple[str, str]) -> np.ndarray:
    """Tell which ratios stand far from the others of their group, and of the load where it holds other batches too.

    In a small group the scatter of all firings of the batch around their middles counts, where it is more. The
    rounding of both readings, δ/√6 of the first one, is scatter too.
    """
    start, end = (readings.values[key] for key in pair)
    dimension = READING_BY_KEY[pair[0]].dimension
    rounding = readings.steps(dimension.instrument.name) / start / np.sqrt(6)
    ratio, batch = end / start, readings.batch.ids
    ids = readings.around(*pair).ids
    off, counts, spread = _in_group(ratio, ids)
    judged, small = counts >= SMALLEST_GROUP, counts < SMALLEST_WITHOUT
    if ids is not batch and small.any():
        pooled = np.where(counts >= SMALLEST_POOLED, off, np.nan)
        of_batch = _middle(pooled, batch) * 1.4826
        spread = np.where(small, np.fmax(np.where(judged, spread, 0.0), of_batch), spread)
        judged |= (counts >= SMALLEST_POOLED) & (_counts(pooled, batch) >= SMALLEST_GROUP)
    alone = _counts(ratio, readings.load.ids) <= counts
    if ids is not batch and not alone.all():
        of_load, _, load_spread = _in_group(ratio, readings.load.ids)
        judged &= alone | (of_load > FAR * np.hypot(load_spread, rounding))
    far = off > FAR * (1 + 4 / np.maximum(counts, 1)) * np.hypot(spread, rounding)
    return np.asarray(judged & far & (off > dimension.smallest_share))


def _in_group(values: np.ndarray, ids: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return how far each value is from the median of its group, how many the group has, and how it scatters.

    The scatter is robust against a few that stray or, where that is less and the group large, that of the others.
    """
    off, counts = np.abs(values - _middle(values, ids)), _counts(values, ids)
    robust = _middle(off, ids) * 1.4826
    of_others = np.minimum(robust, _scatter_of_others(values, ids, counts))
    return off, counts, np.where(counts >= SMALLEST_WITHOUT, of_others, robust)


def _scatter_of_others(values: np.ndarray, ids: np.ndarray, counts: np.ndarray) -> np.ndarray:
    """Return, for each value, the standard deviation of its group without it."""
    squares = (values - mean_by(ids, values, int(ids.max()) + 1)[ids]) ** 2
    of_group = np.bincount(ids, weights=np.nan_to_num(squares))[ids]
    without = of_group - counts / np.maximum(counts - 1, 1) * squares
    return np.asarray(np.sqrt(np.maximum(without, 0.0) / np.maximum(counts - 2, 1)))


def _middle(values: np.ndarray, ids: np.ndarray) -> np.ndarray:
    """Return the median of each value's group, NaN where it has none."""
    return pd.Series(values).groupby(ids).transform("median").to_numpy()


def _counts(values: np.ndarray, ids: np.ndarray) -> np.ndarray:
    """Return the number of values in each value's group."""
    return np.asarray(np.bincount(ids, weights=~np.isnan(values))[ids])


def _strayed_alone(readings: Readings) -> list[tuple[str, int]]:
    """Return readings that are many times larger or smaller than the same reading of their group."""
    found = []
    for key, values in readings.given().items():
        ids = readings.around(key).ids
        times = values / _middle(values, ids)
        odd = (_counts(values, ids) >= SMALLEST_GROUP) & ((times > ALONE) | (times < 1 / ALONE))
        found += [(key, int(position)) for position in np.flatnonzero(odd)]
    return found


def _ask_far(
    readings: Readings, position: int, keys: Counter[str], cells: set[tuple[str, int, int]]
) -> set[tuple[str, int]]:
    """Ask about, or refuse, the reading that most likely makes a bar stand far from its neighbours; once a cell."""
    often = max(keys.values())
    chosen = least_fitting(readings, position, [r.key for r in readings.readings if keys[r.key] == often])
    entry = readings.entry(chosen, position)
    cell = (chosen, int(readings.every.table_of[chosen][entry]), int(readings.every.rows[chosen][entry]))
    if cell in cells:
        return set()
    cells.add(cell)
    found = mend(readings, chosen, position)
    if found.slipped:
        return refuse_slip(readings, chosen, position, found)
    neighbours = max(len(readings.around(chosen).members(position)), FEWEST)
    readings.tell("far-from-neighbours", chosen, position, neighbours=neighbours, mend=found.words)
    return {(chosen, position)}


def ask_about_mass_and_length(whole: Readings, asked: set[tuple[str, int]]) -> None:
    """Ask about bars whose mass over their length is far from that of the bars around them."""
    for length, mass in MASS_OVER_LENGTH:
        ratio = whole.values[mass] / whole.values[length]
        ids = whole.around(length, mass).ids
        middle, counts = _middle(ratio, ids), _counts(ratio, ids)
        off = np.abs(ratio - middle)
        spread = _middle(off, ids) * 1.4826
        far = (off > FAR * (1 + 4 / np.maximum(counts, 1)) * spread) & (off > APART * middle)
        for position in np.flatnonzero(far & (counts >= SMALLEST_GROUP)).tolist()[:EXPLAINED]:
            if any(whole.is_told(key, position) for key in (length, mass)) or position in {p for _, p in asked}:
                continue
            asked.add((mass, position))
            units = [whole.unit(key, position) for key in (length, mass)]
            per = factor(units[0]) / factor(units[1])
            words = {
                "mass": whole.shown(mass, position, float(whole.values[mass][position])),
                "length": whole.shown(length, position, float(whole.values[length][position])),
                "cell_of_length": whole.cell(length, position, beside=mass),
                "ratio": f"{ratio[position] * per:.3g}",
                "usual": f"{middle[position] * per:.3g}",
                "per": f"{units[1]} for each {units[0]}",
            }
            whole.tell("mass-and-length-apart", mass, position, **words)
