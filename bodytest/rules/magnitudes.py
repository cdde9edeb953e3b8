"""Readings of another magnitude: kilograms typed as grams, centimetres typed as millimetres."""

from typing import Any

import numpy as np
import pandas as pd

from bodytest.intake.cells import converted_back, in_its_unit
from bodytest.rules.neighbours import Readings

HEAVIEST = 0.02
"""g/mm³ of mass over cubed length; a solid cube of dense ware has 0.003 (soft, common practice, no source)."""
LIGHTEST = 1e-6
"""g/mm³ of mass over cubed length; a bar of 300 mm weighing 50 g has 0.000002."""
FACTOR = 30.0
"""How much larger or smaller than the other columns one column has to be on the whole."""


def ask_about_magnitudes(tables: list[Readings]) -> dict[str, np.ndarray]:
    """Ask about columns that cannot be in the unit of their heading; return in which tables, by key of the reading."""
    staged = {t.readings[0].dimension.name: t for t in tables if t.readings[0].dimension.staged}
    medians = {name: _medians(readings) for name, readings in staged.items()}
    odd = {key: np.zeros(len(tables[0].every.tables), dtype=bool) for t in staged.values() for key in t.values}
    for number in range(len(tables[0].every.tables)):
        for name, readings in staged.items():
            for key in _ask_about_odd(readings, number, medians[name].get(number, {})):
                odd[key][number] = True
        if not any(columns[number] for columns in odd.values()):
            _ask_about_size(staged["mass"], number, *(medians[name].get(number, {}) for name in ("length", "mass")))
    return odd


def _medians(readings: Readings) -> dict[int, dict[str, float]]:
    """Return the median of each column that has readings, by table and key."""
    middles = pd.DataFrame(readings.values).groupby(readings.tables()).median()
    rows: dict[Any, dict[Any, float]] = middles.to_dict("index")
    return {
        number: {key: middle for key, middle in row.items() if not np.isnan(middle)} for number, row in rows.items()
    }


def _first(readings: Readings, number: int, key: str) -> int:
    return int(np.flatnonzero((readings.tables() == number) & np.isfinite(readings.values[key]))[0])


def _ask_about_odd(readings: Readings, number: int, medians: dict[str, float]) -> list[str]:
    """Ask about columns of a table that are many times larger or smaller than the others of their kind."""
    odd = []
    for key, middle in medians.items():
        others = [m for k, m in medians.items() if k != key]
        if len(others) < 2 and not (len(others) == 1 and key == list(medians)[-1]):
            continue
        usual = float(np.median(others))
        if not 1 / FACTOR < middle / usual < FACTOR:
            odd.append(key)
            first = _first(readings, number, key)
            shown = {"value": readings.shown(key, first, middle), "usual": readings.shown(key, first, usual)}
            readings.tell("column-of-another-magnitude", key, first, **shown)
    return odd


def _ask_about_size(masses: Readings, number: int, length: dict[str, float], mass: dict[str, float]) -> None:
    """Ask when lengths and masses of a table cannot belong to the same bars."""
    if not length or not mass:
        return
    length_key, mass_key = next(iter(length)), next(iter(mass))
    ratio = mass[mass_key] / length[length_key] ** 3
    if LIGHTEST < ratio < HEAVIEST:
        return
    table, first = masses.every.tables[number], _first(masses, number, mass_key)
    shown = masses.shown(mass_key, first, mass[mass_key])
    words = {"slip": "the masses are in kg" if ratio <= LIGHTEST else "the lengths are in cm"}
    words["length"] = in_its_unit(length[length_key], table.unit(length_key))
    masses.tell("size-and-mass-do-not-match", mass_key, first, value=shown, **words)


def ask_about_no_bars_size(readings: Readings) -> None:
    """Ask about readings that no test bar has and that nothing was said about; about a whole column once."""
    tables = readings.tables()
    for reading in readings.readings:
        low, high = reading.dimension.bars_have
        values = readings.values[reading.key]
        outside = (values < low) | (values > high)
        for number in np.unique(tables[outside]).tolist():
            found = np.flatnonzero(outside & (tables == number)).tolist()
            whole = len(found) > np.isfinite(values[tables == number]).sum() / 2
            for position in found[: 1 if whole else None]:
                if not readings.is_told(reading.key, position):
                    unit = readings.unit(reading.key, position)
                    words = {"value": readings.shown(reading.key, position, float(values[position]))}
                    words["low"] = f"{converted_back(low, unit):.3g} {unit}"
                    words["high"] = f"{converted_back(high, unit):.6g} {unit}"
                    readings.tell("not-the-size-of-a-bar", reading.key, position, **words)
