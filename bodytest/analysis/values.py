"""Checked tables → one row of values for each bar: mean lengths, every quantity, and its instrument uncertainty."""

from collections.abc import Callable
from dataclasses import dataclass, field
from operator import methodcaller

import numpy as np
import numpy.typing as npt

from bodytest.intake.merging import mean_by
from bodytest.intake.same_bars import decimals_of
from bodytest.lab import uncertainty, water
from bodytest.lab.record import Quantity
from bodytest.quantities import BAR_READINGS, MARK_READINGS, QUANTITIES, STATED
from bodytest.tables import LENGTH_ERRORS, CheckedSheets, Lab
from bodytest.units import INSTRUMENTS

Array = npt.NDArray[np.float64]
Readings = dict[str, Array]
"""Reading key → one value for each bar in the unit held, NaN where not measured."""

ALIKE = LENGTH_ERRORS[0]
"""What the Lab table says where the error of a length cancels in a ratio. Masses are read on one balance within days,
near one another in size, so theirs are taken to be alike."""


@dataclass(frozen=True)
class BarValues:
    """What was measured and computed for each bar, row for row with the bars table."""

    readings: Readings
    """Means over marks of lengths, and what is read once for a bar."""
    values: dict[str, Array]
    """Quantity key → value for each bar, NaN where a reading is missing."""
    step: dict[str, Array]
    """Quantity key → standard uncertainty of each bar's value from the reading steps."""
    calibration: dict[str, Array]
    """Quantity key → standard uncertainty from calibration, the same error in all bars."""
    mark_values: dict[str, tuple[Array, npt.NDArray[np.int64]]]
    """Shrinkage key → values of single marks and the bar row of each; empty where no bar carries several."""
    marks: npt.NDArray[np.int64]
    """Number of marks of each bar."""
    stated: dict[str, npt.NDArray[np.bool_]] = field(default_factory=dict)
    """Quantity key → bars whose value the sheet states and no reading gives; none where no bar is such."""

    def stated_of(self, key: str, rows: npt.NDArray[np.int64]) -> bool:
        """Tell whether a sheet states the value of any of some bars."""
        return key in self.stated and bool(self.stated[key][rows].any())


def bar_values(sheets: CheckedSheets) -> BarValues:
    """Compute every quantity for each bar that has the readings for it."""
    bars, marks = sheets.bars, sheets.marks
    bar_row = marks["bar_row"].to_numpy(dtype=np.int64)
    counts = np.bincount(bar_row, minlength=len(bars)).astype(np.int64)
    of_marks = _Marks({r.key: marks[r.column].to_numpy(float) for r in MARK_READINGS}, bar_row, len(bars))
    readings = {key: of_marks.mean(lengths, ~np.isnan(lengths)) for key, lengths in of_marks.readings.items()}
    readings |= {r.key: bars[r.column].to_numpy(float) for r in BAR_READINGS}
    rho = _by_bar(sheets, _water_density)
    steps = {name: _by_bar(sheets, methodcaller("step", name)) for name in INSTRUMENTS}
    calibrations = {name: _by_bar(sheets, methodcaller("calibration", name)) for name in INSTRUMENTS}
    apart = {"length": _by_bar(sheets, lambda lab: float(lab.length_errors != ALIKE))}
    found = BarValues(readings, {}, {}, {}, {}, counts)
    for quantity in QUANTITIES:
        used, marked = of_marks.paired(quantity)
        used = {**readings, "water_density": rho, **used}
        asked_for = _asked_for(sheets, quantity)
        found.values[quantity.key] = _where(asked_for, quantity.value(used))
        step = uncertainty.step_uncertainty(quantity, used, steps=steps, marks=np.maximum(marked, 1.0))
        found.step[quantity.key] = _where(asked_for, step)
        calibration = uncertainty.calibration_uncertainty(quantity, used, calibrations=calibrations, apart=apart)
        found.calibration[quantity.key] = _where(asked_for, calibration)
        if (counts > 1).any() and all(r.of_mark for r in quantity.readings):
            found.mark_values[quantity.key] = of_marks.values(quantity)
        if quantity.key in STATED and STATED[quantity.key].column in bars:
            _take_stated(found, quantity.key, bars[STATED[quantity.key].column].to_numpy(float))
    return found


def _take_stated(found: BarValues, key: str, stated: Array) -> None:
    """Take stated values where no reading gives one; they are rounded to the digits that all of them have."""
    taken = np.isnan(found.values[key]) & ~np.isnan(stated)
    if not taken.any():
        return
    found.stated[key] = taken
    last_digit = 10.0 ** -decimals_of(stated[taken])
    for values, new in ((found.values, stated), (found.step, last_digit / np.sqrt(12.0)), (found.calibration, 0.0)):
        values[key] = np.where(taken, new, values[key])


@dataclass(frozen=True)
class _Marks:
    """The readings of all marks and the bar of each."""

    readings: Readings
    """Reading key → one value for each mark."""
    bar_row: npt.NDArray[np.int64]
    """Position of the bar of each mark."""
    bars: int
    """How many bars there are."""

    def mean(self, lengths: Array, measured: npt.NDArray[np.bool_]) -> Array:
        """Return the mean over the marks of each bar that are ``measured``, NaN where there is none."""
        return mean_by(self.bar_row[measured], lengths[measured], self.bars)

    def complete(self, quantity: Quantity) -> npt.NDArray[np.bool_]:
        """Tell which marks have every reading of a mark that the quantity needs."""
        complete = np.ones(len(self.bar_row), dtype=bool)
        for key in self._keys(quantity):
            complete &= ~np.isnan(self.readings[key])
        return complete

    def paired(self, quantity: Quantity) -> tuple[Readings, Array]:
        """Return means over the marks measured at every stage of the quantity, and how many those are."""
        complete, keys = self.complete(quantity), self._keys(quantity)
        count = np.bincount(self.bar_row[complete], minlength=self.bars).astype(float)
        return {key: self.mean(self.readings[key], complete) for key in keys}, count

    def values(self, quantity: Quantity) -> tuple[Array, npt.NDArray[np.int64]]:
        """Return the value of each mark, and the bar of each."""
        complete = self.complete(quantity)
        used = {key: self.readings[key][complete] for key in self._keys(quantity)}
        return quantity.value(used), self.bar_row[complete]

    @staticmethod
    def _keys(quantity: Quantity) -> list[str]:
        return [r.key for r in quantity.readings if r.of_mark]


def _water_density(lab: Lab) -> float:
    celsius = 20.0 if lab.water_temperature_c is None else lab.water_temperature_c
    return float(water.water_density(celsius)) / 1000.0


def _by_bar(sheets: CheckedSheets, value: Callable[[Lab], float | None]) -> Array:
    """Return a value of each bar's Lab table, 0 where it says nothing."""
    by_sheet = np.array([value(source.lab) or 0.0 for source in sheets.sheets] or [np.nan], dtype=float)
    return np.asarray(by_sheet[sheets.bars["sheet"].to_numpy(dtype=np.int64)], dtype=float)


def _asked_for(sheets: CheckedSheets, quantity: Quantity) -> npt.NDArray[np.bool_] | None:
    """Tell which bars were tested as the quantity asks; None where it asks for nothing."""
    if quantity.methods:
        return _by_bar(sheets, lambda lab: float((lab.absorption_method or "") in quantity.methods)) > 0.0
    if quantity.when is None:
        return None
    choice, option = quantity.when
    return np.asarray(sheets.bars[choice.key].to_numpy(dtype=object) == option, dtype=bool)


def _where(asked_for: npt.NDArray[np.bool_] | None, values: Array) -> Array:
    return values if asked_for is None else np.where(asked_for, values, np.nan)
