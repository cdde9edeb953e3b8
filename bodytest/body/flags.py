"""Bars that stand apart from their batch and firing: flagged with the reading that is odd, never dropped."""

import numpy as np
import numpy.typing as npt

from bodytest.body.values import BarValues
from bodytest.quantities import READING_BY_KEY, Quantity
from bodytest.results import FlaggedBar
from bodytest.stats.outliers import generalised_esd
from bodytest.tables import CheckedSheets

FALSE_FLAG_CHANCE = 0.01
"""Chance of a false flag in each batch and quantity; 1 % and not 5 %, since one report makes dozens of these tests."""
_MAD_TO_SD = 1.4826
"""Median absolute deviation × this estimates the SD of a normal distribution."""
_STANDS_OUT = 3.5
"""Robust z beyond which a single reading is named (Iglewicz and Hoaglin 1993, from memory)."""


def flag_bars(
    sheets: CheckedSheets, values: BarValues, quantity: Quantity, batches: dict[str, npt.NDArray[np.int64]]
) -> dict[int, FlaggedBar]:
    """Return the bars of a group that generalised ESD flags within their batch, by row of the bars table."""
    flagged: dict[int, FlaggedBar] = {}
    for rows in batches.values():
        of_batch = values.values[quantity.key][rows]
        step = float(np.sqrt(np.mean(np.square(values.step[quantity.key][rows]))))
        found = generalised_esd(of_batch, significance=FALSE_FLAG_CHANCE, step_uncertainty=step)
        for position in found.flagged:
            row = int(rows[position])
            flagged[row] = _describe(sheets, values, quantity, rows, row)
    return flagged


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
    """Return the heading of the reading furthest from its batch's median, where one clearly stands out."""
    distances = {need: _robust_z(values.readings[need], rows, row) for need in quantity.needs}
    furthest = max(distances, key=lambda need: distances[need])
    return READING_BY_KEY[furthest].heading if distances[furthest] > _STANDS_OUT else None


def _robust_z(reading: npt.NDArray[np.float64], rows: npt.NDArray[np.int64], row: int) -> float:
    centre = np.nanmedian(reading[rows])
    spread = _MAD_TO_SD * np.nanmedian(np.abs(reading[rows] - centre))
    distance = abs(float(reading[row] - centre))
    if spread > 0:
        return float(distance / spread)
    return np.inf if distance > 0 else 0.0
