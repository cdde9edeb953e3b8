"""Soft limits: what clay hardly ever does, and readings far from those of the bars around them, are asked about."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from bodytest.grids.notebook import Notebook
from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY
from bodytest.rules.neighbours import FEWEST, Readings, measured
from bodytest.rules.slips import mend_words

EXPLAINED = 400
"""How many odd readings of a workbook get an explanation; the others are told without one."""
FAR = 8.0
"""Robust standard deviations from the neighbours above which a ratio is asked about, raised by 4/n in groups of n."""
SMALLEST_SHARE = {"length": 0.01, "mass": 0.02}
"""Difference of a ratio from its neighbours below which nothing is asked."""
ALONE = 2.5
"""How many times larger or smaller than the same reading of its neighbours a reading has to be to be asked about."""
SMALLEST_GROUP = 5
"""Bars that must stand in a group before one of them can be far from the others."""


@dataclass(frozen=True)
class Change:
    """One ratio of two readings with a soft range."""

    quantity: str
    """Key in `bodytest.quantities.QUANTITIES` whose plausible range holds."""
    start: str
    """Reading that the percentage is taken of."""
    end: str
    """The other reading."""
    kind: Literal["loss", "gain", "none"] = "loss"
    """Is the quantity a loss or a gain of the start? ``none``: compared with neighbours only."""


CHANGES: tuple[Change, ...] = (
    Change("leather_hard_shrinkage", "wet_length", "leather_hard_length"),
    Change("drying_shrinkage", "wet_length", "dry_length"),
    Change("bisque_shrinkage", "dry_length", "bisque_length"),
    Change("firing_shrinkage", "dry_length", "fired_length"),
    Change("total_shrinkage", "wet_length", "fired_length"),
    Change("loss_on_ignition", "dry_mass", "fired_mass"),
    Change("cold_absorption", "fired_mass", "cold_soaked_mass", "gain"),
    Change("absorption", "fired_mass", "boiled_mass", "gain"),
    Change("apparent_specific_gravity", "fired_mass", "suspended_mass", "none"),
    Change("water_of_plasticity", "dry_mass", "wet_mass", "gain"),
)


def ask_about_odd(
    readings: Readings, asked: set[tuple[str, int]], odd_columns: frozenset[str], notes: Notebook
) -> None:
    """Ask about ratios outside the soft range of their quantity, and about readings far from their neighbours.

    Readings in ``asked`` and columns in ``odd_columns`` were asked about already.
    """
    far: dict[int, set[str]] = {}
    for change in CHANGES:
        if change.start not in readings.values or odd_columns & {change.start, change.end}:
            continue
        ratio = readings.values[change.end] / readings.values[change.start]
        for position in np.flatnonzero(_outside(change, ratio)).tolist():
            _ask_outside(readings, change, position, asked, notes)
        strayed = _strayed(readings, change, ratio)
        for position in np.flatnonzero(strayed).tolist():
            far.setdefault(position, set()).update((change.start, change.end))
    for key, stray in _strayed_alone(readings):
        far.setdefault(stray, set()).add(key)
    for number, (position, keys) in enumerate(sorted(far.items())):
        if number < EXPLAINED:
            _ask_far(readings, position, keys, asked, notes)


def _percent(change: Change, ratio: np.ndarray) -> np.ndarray:
    return 100 * (ratio - 1) if change.kind == "gain" else 100 * (1 - ratio)


def _outside(change: Change, ratio: np.ndarray) -> np.ndarray:
    if change.kind == "none":
        return np.zeros(len(ratio), dtype=bool)
    low, high = QUANTITY_BY_KEY[change.quantity].plausible
    percent = _percent(change, ratio)
    return (percent < low - 1e-9) | (percent > high + 1e-9)


def _ask_outside(
    readings: Readings, change: Change, position: int, asked: set[tuple[str, int]], notes: Notebook
) -> None:
    if (change.end, position) in asked or (change.start, position) in asked:
        return
    few = len(asked) < EXPLAINED
    key = _least_fitting(readings, position, [change.start, change.end]) if few else change.end
    asked.add((key, position))
    quantity = QUANTITY_BY_KEY[change.quantity]
    start, end = (float(readings.values[k][position]) for k in (change.start, change.end))
    low, high = quantity.plausible
    notes.add(
        "beyond-clay",
        **readings.cell(key, position),
        value=start if key == change.start else end,
        quantity=quantity.name[0].lower() + quantity.name[1:],
        percent=f"{float(_percent(change, np.array(end / start))):.1f}".replace("-", "−"),
        start=f"{READING_BY_KEY[change.start].heading} {measured(change.start, start)}",
        end=f"{READING_BY_KEY[change.end].heading} {measured(change.end, end)}",
        low=f"{low:g}".replace("-", "−"),
        high=f"{high:g}",
        mend=mend_words(readings, key, position, frozenset({change.start, change.end})) if few else "",
    )


def _strayed(readings: Readings, change: Change, ratio: np.ndarray) -> np.ndarray:
    """Tell which ratios stand far from the others of their group."""
    import pandas as pd

    groups = pd.Series(ratio).groupby(readings.group)
    middle = groups.transform("median").to_numpy()
    off = np.abs(ratio - middle)
    spread = pd.Series(off).groupby(readings.group).transform("median").to_numpy() * 1.4826
    counts = groups.transform("count").to_numpy()
    smallest = SMALLEST_SHARE[READING_BY_KEY[change.start].dimension]
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


def _ask_far(readings: Readings, position: int, keys: set[str], asked: set[tuple[str, int]], notes: Notebook) -> None:
    """Ask about the reading that most likely makes a bar stand far from its neighbours."""
    if any((key, position) in asked for key in keys):
        return
    chosen = _least_fitting(readings, position, [r.key for r in readings.readings if r.key in keys])
    asked.add((chosen, position))
    notes.add(
        "far-from-neighbours",
        **readings.cell(chosen, position),
        value=float(readings.values[chosen][position]),
        heading=READING_BY_KEY[chosen].heading,
        bar=readings.sheet.bars["bar"].iloc[readings.bar_rows[position]],
        neighbours=max(len(readings.members(position)), FEWEST),
        mend=mend_words(readings, chosen, position),
    )


def _least_fitting(readings: Readings, position: int, keys: list[str]) -> str:
    """Return the reading that does not fit what the others say it should be, the last one where that is open."""
    misfits = []
    for key in keys:
        expected = readings.expected(key, position, frozenset(keys))
        if expected is not None and not expected.fits(float(readings.values[key][position])):
            misfits.append(key)
    return misfits[-1] if misfits else keys[-1]
