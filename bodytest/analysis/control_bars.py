"""Control bars: what they say of each load, and batches corrected for the loads that they stood in."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bodytest.over_time import ChartPoint
from bodytest.stats.control_bars import LoadHistory, corrected_for_loads, few_known, load_history

_FEWEST_LOADS = 2


@dataclass(frozen=True)
class KnownLoads:
    """What the control bars say of the loads that they stood in."""

    history: LoadHistory
    """Differences of loads."""
    places: dict[str, int]
    """Position of each load in it, by code of the firing."""


def known_loads(control: pd.DataFrame, key: str) -> KnownLoads | None:
    """Return what control bars that count, fired alike, say of loads by the quantity of that key.

    None with fewer than two loads, or without two bars in any of them.
    """
    by_load = control.groupby("firing", sort=False)[key]
    bar_sd = pooled_sd(control, ["firing"], key)
    if by_load.ngroups < _FEWEST_LOADS or bar_sd is None:
        return None
    means, sizes = by_load.mean(), by_load.size()
    history = load_history(means.tolist(), sizes.tolist(), bar_sd)
    return KnownLoads(history, {str(code): place for place, code in enumerate(means.index)})


def pooled_sd(bars: pd.DataFrame, within: list[str], key: str) -> float | None:
    """Return the standard deviation of bars within what they have in common; None where nothing shows it."""
    of_each = bars.groupby(within, sort=False)[key]
    freedom = len(bars) - of_each.ngroups
    if freedom < 1:
        return None
    return float(np.sqrt(np.square(bars[key] - of_each.transform("mean")).sum() / freedom))


def corrected_points(
    points: Sequence[ChartPoint], bars: pd.DataFrame, key: str, known: KnownLoads
) -> tuple[ChartPoint, ...]:
    """Return the batches with their means as corrected for the loads of their bars, and with both uncertainties.

    ``bars`` has the columns ``batch`` and ``firing``, and that of the quantity, ``key``.
    """
    bar_sd = pooled_sd(bars, ["batch", "firing"], key)
    if bar_sd is None:
        return tuple(points)
    freedom = len(bars) - bars.groupby(["batch", "firing"]).ngroups
    found = []
    for point in points:
        in_load = bars.loc[bars["batch"] == point.batch, "firing"].value_counts(sort=False)
        loads = [known.places.get(str(code)) for code in in_load.index]
        error = few_known(freedom) * bar_sd / float(np.sqrt(point.bars))
        mean = corrected_for_loads(point.mean, error, in_load.tolist(), known.history, loads)
        found.append(replace(point, **vars(mean)))
    return tuple(found)
