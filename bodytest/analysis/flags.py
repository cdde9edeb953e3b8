"""Bars that stand apart from their batch and firing: flagged with the reading that is odd, never dropped."""

import numpy as np
import numpy.typing as npt

from bodytest.analysis.values import BarValues
from bodytest.lab.record import Quantity
from bodytest.quantities import READING_BY_KEY
from bodytest.results import FlaggedBar
from bodytest.stats.outliers import generalised_esd
from bodytest.tables import CheckedSheets

FALSE_FLAG_CHANCE = 0.01
"""Chance of a false flag in each batch and quantity; 1 % and not 5 %, since one report makes dozens of these tests."""
_MAD_TO_SD = 1.4826
"""Median absolute deviation × this estimates the SD of a normal distribution."""
_STANDS_OUT = 3.5
"""Robust z beyond which a single reading is named (Iglewicz and Hoaglin 1993, from memory)."""
_ENOUGH_OTHERS = 2
"""Of two readings that disagree nobody can tell which is odd; a third one tells."""


def flag_bars(
    sheets: CheckedSheets, values: BarValues, quantity: Quantity, rows: npt.NDArray[np.int64]
) -> dict[int, FlaggedBar]:
    """Return the bars that generalised ESD flags within a cell, a batch in a load, by row of the bars table."""
    of_batch = values.values[quantity.key][rows]
    step = float(np.sqrt(np.mean(np.square(values.step[quantity.key][rows]))))
    found = generalised_esd(of_batch, significance=FALSE_FLAG_CHANCE, step_uncertainty=step)
    odd = [int(rows[position]) for position in found.flagged]
    return {row: _describe(sheets, values, quantity, rows, row) for row in odd}


def _describe(
    sheets: CheckedSheets, values: BarValues, quantity: Quantity, rows: npt.NDArray[np.int64], row: int
) -> FlaggedBar:
    bars = sheets.bars
    return FlaggedBar(
        bar=str(bars["bar"].to_numpy()[row]),
        sheet=sheets.sheets[int(bars["sheet"].to_numpy()[row])].name,
        row=int(bars["row"].to_numpy()[row]),
        value=float(values.values[quantity.key][row]),
        odd_reading=_odd_reading(values, quantity, rows, row),
    )


def _odd_reading(values: BarValues, quantity: Quantity, rows: npt.NDArray[np.int64], row: int) -> str | None:
    """Return the heading of the reading that stands out, None where none does.

    Bars differ in size, so a reading is judged beside the bar's other readings; where there are fewer than two of
    these to tell which is odd, by itself.
    """
    for oddness in (_beside_others, _by_itself):
        had = (need for need in quantity.needs if np.isfinite(values.readings[need][row]))
        distances = {need: oddness(values, need, rows, row) for need in had}
        furthest = max(distances, key=lambda need: distances[need])
        if distances[furthest] > _STANDS_OUT:
            return READING_BY_KEY[furthest].heading
    return None


def _beside_others(values: BarValues, need: str, rows: npt.NDArray[np.int64], row: int) -> float:
    """Return how odd the ratios of a reading to the bar's other lengths or masses are: the lower median robust z.

    A sound reading is odd beside the odd one only, an odd one beside most.
    """
    own = values.readings[need]
    others = [
        reading
        for key, reading in values.readings.items()
        if key != need
        and READING_BY_KEY[key].dimension is READING_BY_KEY[need].dimension
        and np.isfinite(reading[rows]).all()
    ]
    if len(others) < _ENOUGH_OTHERS:
        return 0.0
    return sorted(_robust_z(own / other, rows, row) for other in others)[(len(others) - 1) // 2]


def _by_itself(values: BarValues, need: str, rows: npt.NDArray[np.int64], row: int) -> float:
    return _robust_z(values.readings[need], rows, row)


def _robust_z(reading: npt.NDArray[np.float64], rows: npt.NDArray[np.int64], row: int) -> float:
    centre = np.nanmedian(reading[rows])
    spread = _MAD_TO_SD * np.nanmedian(np.abs(reading[rows] - centre))
    distance = abs(float(reading[row] - centre))
    if spread > 0:
        return float(distance / spread)
    return np.inf if distance > 0 else 0.0
