"""Which bars can be compared: those that have everything in common but one thing."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from bodytest.analysis.compared_levels import Cells, ComparedLevel, Reading, compared_levels
from bodytest.analysis.paired_bars import PairedBars, paired_bars
from bodytest.lab.uncertainty import step_uncertainty
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Results
from bodytest.units import INSTRUMENTS

FloatArray = npt.NDArray[np.float64]

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
    paired: dict[tuple[int, int], PairedBars]
    """Bars that two of the levels share, by their positions."""
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
    held = HELD_EQUAL[by]
    sets: dict[tuple[str, ...], Cells] = {}
    columns = (bars[name].tolist() for name in (*held, by, "batch", "value", "step", "sheet", "bar"))
    for *common, level, batch, value, step, sheet, bar in zip(*columns, strict=True):
        cell = sets.setdefault(tuple(common), {}).setdefault(level, {}).setdefault(batch, [])
        cell.append(Reading(value, step, (sheet, bar)))
    for key, cells in sets.items():
        compared, notes = compared_levels(cells, by)
        if len(compared) > 1:
            held_equal = {name: value or None for name, value in zip(held, key, strict=True)}
            paired, more = paired_bars(cells, tuple(level.name for level in compared), by)
            yield ComparableBars(by, held_equal, compared, paired, (*notes, *more))


def _measured(results: Results, by: str, quantity: str) -> pd.DataFrame:
    """Return the bars that count and have the quantity, in the order of the groups, with the step of their values."""
    bars = results.bars
    methods = np.array([group.absorption_method or "" for group in results.groups], dtype=object)
    known = (bars["left_out"] == "") & (bars["group"] >= 0) & bars[quantity].notna()
    chosen = bars[known].sort_values("group", kind="stable")
    return chosen.assign(
        absorption_method=methods[chosen["group"].to_numpy(dtype=np.int64)] if len(chosen) else "",
        value=chosen[quantity],
        step=step_uncertainties(results, chosen, quantity),
    )


def step_uncertainties(results: Results, bars: pd.DataFrame, quantity: str) -> FloatArray:
    """Return the standard uncertainty of each value from the reading steps of its sheet."""
    labs = {source.name: source.lab for source in results.sheets}
    readings = QUANTITY_BY_KEY[quantity].readings
    if not len(bars) or any(reading.column not in bars for reading in readings):
        return np.zeros(len(bars))
    stated = {name: [(labs[s].step(name) or 0.0) if s in labs else 0.0 for s in bars["sheet"]] for name in INSTRUMENTS}
    return step_uncertainty(
        QUANTITY_BY_KEY[quantity],
        {reading.key: bars[reading.column].to_numpy(dtype=np.float64) for reading in readings},
        steps={name: np.array(steps) for name, steps in stated.items()},
        marks=np.maximum(bars["marks"].to_numpy(dtype=np.float64), 1.0) if "marks" in bars else 1.0,
    )
