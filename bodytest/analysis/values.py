"""Checked tables → one row of values for each bar: mean lengths, every quantity, and its instrument uncertainty."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.lab import absorption, density, moisture, shrinkage, uncertainty, water
from bodytest.quantities import LENGTHS, MASSES, QUANTITIES, QUANTITY_BY_KEY, READING_BY_KEY
from bodytest.tables import CheckedSheets, Lab

Array = npt.NDArray[np.float64]
Readings = dict[str, Array]
"""Reading key → one value for each bar, mm or g, NaN where not measured."""


@dataclass(frozen=True)
class BarValues:
    """What was measured and computed for each bar, row for row with the bars table."""

    readings: Readings
    """Mean over marks of each length, and each mass."""
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


def bar_values(sheets: CheckedSheets) -> BarValues:
    """Compute every quantity for each bar that has the readings for it."""
    bars, marks = sheets.bars, sheets.marks
    bar_row = marks["bar_row"].to_numpy(dtype=np.int64)
    readings = {r.key: _mean_by_bar(marks[r.column].to_numpy(float), bar_row, len(bars)) for r in LENGTHS}
    readings |= {r.key: bars[r.column].to_numpy(float) for r in MASSES}
    rho = _by_bar(sheets, lambda lab: float(water.water_density(_or(lab.water_temperature_c, 20.0))) / 1000.0)
    paired = {key: _paired_lengths(sheets, bar_row, key) for key in _LENGTH_QUANTITIES}
    values = _values(readings, paired, rho)
    step, calibration = _instrument_uncertainty(sheets, readings, paired, rho)
    counts = np.bincount(bar_row, minlength=len(bars)).astype(np.int64)
    with_marks = _LENGTH_QUANTITIES if (counts > 1).any() else ()
    mark_values = {key: _mark_values(sheets, bar_row, key) for key in with_marks}
    return BarValues(readings, values, step, calibration, mark_values, counts)


_LENGTH_QUANTITIES = tuple(
    q.key for q in QUANTITIES if all(READING_BY_KEY[need].dimension == "length" for need in q.needs)
)


@dataclass(frozen=True)
class _PairedLengths:
    """Mean lengths at both stages of a ratio, over the marks measured at both."""

    initial: Array
    final: Array
    marks: Array


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def _by_bar(sheets: CheckedSheets, value: Callable[[Lab], float]) -> Array:
    """Return a value of each bar's Lab table."""
    by_sheet = np.array([value(source.lab) for source in sheets.sheets] or [np.nan], dtype=float)
    return np.asarray(by_sheet[sheets.bars["sheet"].to_numpy(dtype=np.int64)], dtype=float)


def _mean_by_bar(lengths: Array, bar_row: npt.NDArray[np.int64], bar_count: int) -> Array:
    measured = ~np.isnan(lengths)
    count = np.bincount(bar_row[measured], minlength=bar_count)
    total = np.bincount(bar_row[measured], weights=lengths[measured], minlength=bar_count)
    means: Array = np.full(bar_count, np.nan)
    np.divide(total, count, out=means, where=count > 0)
    return means


def _stage_lengths(sheets: CheckedSheets, key: str) -> tuple[Array, Array]:
    initial, final = (READING_BY_KEY[need].column for need in QUANTITY_BY_KEY[key].needs)
    return sheets.marks[initial].to_numpy(float), sheets.marks[final].to_numpy(float)


def _paired_lengths(sheets: CheckedSheets, bar_row: npt.NDArray[np.int64], key: str) -> _PairedLengths:
    initial, final = _stage_lengths(sheets, key)
    both = ~(np.isnan(initial) | np.isnan(final))
    bar_count = len(sheets.bars)
    return _PairedLengths(
        _mean_by_bar(initial[both], bar_row[both], bar_count),
        _mean_by_bar(final[both], bar_row[both], bar_count),
        np.bincount(bar_row[both], minlength=bar_count).astype(float),
    )


def _mark_values(
    sheets: CheckedSheets, bar_row: npt.NDArray[np.int64], key: str
) -> tuple[Array, npt.NDArray[np.int64]]:
    initial, final = _stage_lengths(sheets, key)
    both = ~(np.isnan(initial) | np.isnan(final))
    linear = shrinkage.linear_shrinkage(initial[both], final[both])
    value = shrinkage.volume_shrinkage(linear) if key == "total_volume_shrinkage" else linear
    return np.asarray(value, dtype=float), bar_row[both]


def _values(readings: Readings, paired: dict[str, _PairedLengths], rho: Array) -> dict[str, Array]:
    values = {key: shrinkage.linear_shrinkage(pair.initial, pair.final) for key, pair in paired.items()}
    values["total_volume_shrinkage"] = shrinkage.volume_shrinkage(values["total_shrinkage"])
    dry, fired = readings["dry_mass"], readings["fired_mass"]
    boiled, suspended = readings["boiled_mass"], readings["suspended_mass"]
    values["water_of_plasticity"] = moisture.water_of_plasticity(readings["wet_mass"], dry)
    values["loss_on_ignition"] = moisture.loss_on_ignition(dry, fired)
    values["absorption"] = absorption.absorption(fired, boiled)
    values["cold_absorption"] = absorption.absorption(fired, readings["cold_soaked_mass"])
    values["saturation_coefficient"] = absorption.saturation_coefficient(
        values["cold_absorption"], values["absorption"]
    )
    values["apparent_porosity"] = density.apparent_porosity(fired, boiled, suspended)
    values["bulk_density"] = density.bulk_density(fired, boiled, suspended, rho)
    values["apparent_specific_gravity"] = density.apparent_specific_gravity(fired, suspended)
    return {key: np.asarray(values[key], dtype=float) for key in QUANTITY_BY_KEY}


def _instrument_uncertainty(
    sheets: CheckedSheets, readings: Readings, paired: dict[str, _PairedLengths], rho: Array
) -> tuple[dict[str, Array], dict[str, Array]]:
    length_step, mass_step = (
        _by_bar(sheets, lambda lab: _or(lab.length_step_mm, 0.0)),
        _by_bar(sheets, lambda lab: _or(lab.mass_step_g, 0.0)),
    )
    length_calibration = _by_bar(sheets, lambda lab: _or(lab.length_calibration_mm, 0.0))
    mass_calibration = _by_bar(sheets, lambda lab: _or(lab.mass_calibration_g, 0.0))
    step: dict[str, Array] = {}
    calibration: dict[str, Array] = {}
    for quantity in QUANTITIES:
        used, marks = dict(readings), np.ones(len(sheets.bars))
        if quantity.key in paired:
            pair = paired[quantity.key]
            used[quantity.needs[0]], used[quantity.needs[1]], marks = pair.initial, pair.final, pair.marks
        step[quantity.key] = uncertainty.step_uncertainty(
            quantity.key,
            used,
            marks=np.maximum(marks, 1.0),
            length_step_mm=length_step,
            mass_step_g=mass_step,
            water_density_g_cm3=rho,
        )
        calibration[quantity.key] = uncertainty.calibration_uncertainty(
            quantity.key,
            used,
            length_calibration_mm=length_calibration,
            mass_calibration_g=mass_calibration,
            water_density_g_cm3=rho,
        )
    return step, calibration
