"""Bars that stand apart from their batch and firing: flagged with the reading that is odd, never dropped."""

import numpy as np

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.values import Array, Readings
from bodytest.lab.record import Quantity
from bodytest.quantities import READING_BY_KEY
from bodytest.results import FlaggedBar
from bodytest.stats.outliers import generalised_esd

FALSE_FLAG_CHANCE = 0.01
"""Chance of a false flag in each batch and quantity; 1 % and not 5 %, since one report makes dozens of these tests."""
_MAD_TO_SD = 1.4826
"""Median absolute deviation × this estimates the SD of a normal distribution."""
_STANDS_OUT = 3.5
"""Robust z beyond which a single reading is named (Iglewicz and Hoaglin 1993, from memory)."""
_ENOUGH_OTHERS = 2
"""Of two readings that disagree nobody can tell which is odd; a third one tells."""


def flag_bars(bench: Bench, quantity: Quantity, rows: Rows) -> dict[int, FlaggedBar]:
    """Return the bars that generalised ESD flags within a cell, a batch in a load, by row of the bars table."""
    of_batch = bench.values.values[quantity.key][rows]
    step = float(np.sqrt(np.mean(np.square(bench.values.step[quantity.key][rows]))))
    found = generalised_esd(of_batch, significance=FALSE_FLAG_CHANCE, step_uncertainty=step)
    odd = [int(rows[position]) for position in found.flagged]
    return {row: _describe(bench, quantity, rows, row) for row in odd}


def _describe(bench: Bench, quantity: Quantity, rows: Rows, row: int) -> FlaggedBar:
    bar = bench.sheets.bars.iloc[row]
    return FlaggedBar(
        bar=str(bar["bar"]),
        sheet=bench.sheets.sheets[int(bar["sheet"])].name,
        row=int(bar["row"]),
        value=float(bench.values.values[quantity.key][row]),
        odd_reading=_odd_reading(bench.values.readings, quantity, rows, row),
    )


def _odd_reading(readings: Readings, quantity: Quantity, rows: Rows, row: int) -> str | None:
    """Return the heading of the reading that stands out, None where none does or the value is stated without any.

    Bars differ in size, so a reading is judged beside the bar's other readings; where there are fewer than two of
    these to tell which is odd, by itself.
    """
    had = [need for need in quantity.needs if np.isfinite(readings[need][row])]
    if not had:
        return None
    for distances in (
        {need: _beside_others(readings, need, rows, row) for need in had},
        {need: _robust_z(readings[need], rows, row) for need in had},
    ):
        furthest = max(distances, key=lambda need: distances[need])
        if distances[furthest] > _STANDS_OUT:
            return READING_BY_KEY[furthest].heading
    return None


def _beside_others(readings: Readings, need: str, rows: Rows, row: int) -> float:
    """Return how odd the ratios of a reading to the bar's other lengths or masses are: the lower median robust z.

    A sound reading is odd beside the odd one only, an odd one beside most.
    """
    others = [
        reading
        for key, reading in readings.items()
        if key != need
        and READING_BY_KEY[key].dimension is READING_BY_KEY[need].dimension
        and np.isfinite(reading[rows]).all()
    ]
    if len(others) < _ENOUGH_OTHERS:
        return 0.0
    return sorted(_robust_z(readings[need] / other, rows, row) for other in others)[(len(others) - 1) // 2]


def _robust_z(reading: Array, rows: Rows, row: int) -> float:
    centre = np.nanmedian(reading[rows])
    spread = _MAD_TO_SD * np.nanmedian(np.abs(reading[rows] - centre))
    distance = abs(float(reading[row] - centre))
    if spread > 0:
        return float(distance / spread)
    return np.inf if distance > 0 else 0.0
