"""Readings far from those of the bars around them are asked about."""

import numpy as np

from bodytest.quantities import QUANTITIES, READING_BY_KEY
from bodytest.rules.neighbours import FEWEST, Readings, least_fitting
from bodytest.rules.slips import mend_words

EXPLAINED = 400
"""How many odd readings of a workbook get an explanation; the others are told without one."""
FAR = 8.0
"""Robust standard deviations from the neighbours above which a ratio is asked about, raised by 4/n in groups of n."""
ALONE = 2.5
"""How many times larger or smaller than the same reading of its neighbours a reading has to be to be asked about."""
SMALLEST_GROUP = 5
"""Bars that must stand in a group before one of them can be far from the others."""
PAIRS: dict[tuple[str, str], None] = dict.fromkeys(
    (q.base, next(key for key in q.needs if key != q.base))
    for q in QUANTITIES
    if len(q.readings) == 2 and q.readings[0].dimension is q.readings[1].dimension
)
"""Two readings of a bar whose ratio is compared with that of its neighbours: every pair that makes a quantity."""


def ask_about_far(readings: Readings, asked: set[tuple[str, int]]) -> None:
    """Ask about readings far from their neighbours; those in ``asked`` were asked about already."""
    far: dict[int, set[str]] = {}
    for pair in PAIRS:
        start, end = pair
        if start not in readings.values:
            continue
        strayed = _strayed(readings, pair, readings.values[end] / readings.values[start])
        for position in np.flatnonzero(strayed).tolist():
            far.setdefault(position, set()).update(pair)
    for key, stray in _strayed_alone(readings):
        far.setdefault(stray, set()).add(key)
    for number, (position, keys) in enumerate(sorted(far.items())):
        if number < EXPLAINED:
            _ask_far(readings, position, keys, asked)


def _strayed(readings: Readings, pair: tuple[str, str], ratio: np.ndarray) -> np.ndarray:
    """Tell which ratios stand far from the others of their group."""
    import pandas as pd

    groups = pd.Series(ratio).groupby(readings.group)
    middle = groups.transform("median").to_numpy()
    off = np.abs(ratio - middle)
    spread = pd.Series(off).groupby(readings.group).transform("median").to_numpy() * 1.4826
    counts = groups.transform("count").to_numpy()
    smallest = READING_BY_KEY[pair[0]].dimension.smallest_share
    return np.asarray(
        (counts >= SMALLEST_GROUP) & (off > FAR * (1 + 4 / np.maximum(counts, 1)) * spread) & (off > smallest)
    )


def _strayed_alone(readings: Readings) -> list[tuple[str, int]]:
    """Return readings that are many times larger or smaller than the same reading of their group."""
    import pandas as pd

    found = []
    for key, values in readings.values.items():
        groups = pd.Series(values).groupby(readings.group)
        times = values / groups.transform("median").to_numpy()
        counts = groups.transform("count").to_numpy()
        odd = (counts >= SMALLEST_GROUP) & ((times > ALONE) | (times < 1 / ALONE))
        found += [(key, int(position)) for position in np.flatnonzero(odd)]
    return found


def _ask_far(readings: Readings, position: int, keys: set[str], asked: set[tuple[str, int]]) -> None:
    """Ask about the reading that most likely makes a bar stand far from its neighbours."""
    if any((key, position) in asked for key in keys):
        return
    chosen = least_fitting(readings, position, [r.key for r in readings.readings if r.key in keys])
    asked.add((chosen, position))
    readings.tell(
        "far-from-neighbours",
        chosen,
        position,
        value=float(readings.values[chosen][position]),
        heading=READING_BY_KEY[chosen].heading,
        bar=readings.bar(position),
        neighbours=max(len(readings.members(position)), FEWEST),
        mend=mend_words(readings, chosen, position),
    )
