"""Readings of another magnitude: kilograms typed as grams, centimetres typed as millimetres."""

import numpy as np

from bodytest.grids.notebook import Notebook
from bodytest.quantities import READING_BY_KEY
from bodytest.rules.neighbours import Readings, measured

HEAVIEST = 0.02
"""g/mm³ of mass over cubed length; a solid cube of dense ware has 0.003 (soft, common practice, no source)."""
LIGHTEST = 1e-6
"""g/mm³ of mass over cubed length; a bar of 300 mm weighing 50 g has 0.000002."""
FACTOR = 30.0
"""How much larger or smaller than the other columns one column has to be on the whole."""


def ask_about_magnitudes(tables: list[Readings], notes: Notebook) -> frozenset[str]:
    """Ask about columns that cannot be in the unit of their heading, and return the keys of those."""
    staged = {t.readings[0].dimension.name: t for t in tables if t.readings[0].dimension.staged}
    odd = frozenset(key for readings in staged.values() for key in _odd_columns(readings, notes))
    if not odd:
        _ask_about_size(staged["length"], staged["mass"], notes)
    return odd


def _medians(readings: Readings) -> dict[str, float]:
    return {
        key: float(np.nanmedian(values))
        for key, values in readings.values.items()
        if key in readings.sheet.places and np.isfinite(values).any()
    }


def _odd_columns(readings: Readings, notes: Notebook) -> list[str]:
    """Ask about columns that are many times larger or smaller than the others of their kind."""
    medians, odd = _medians(readings), []
    for key, middle in medians.items():
        others = [m for k, m in medians.items() if k != key]
        if len(others) < 2 and not (len(others) == 1 and key == list(medians)[-1]):
            continue
        usual = float(np.median(others))
        if not 1 / FACTOR < middle / usual < FACTOR:
            odd.append(key)
            position = int(np.flatnonzero(np.isfinite(readings.values[key]))[0])
            notes.add(
                "column-of-another-magnitude",
                **readings.cell(key, position),
                value=measured(key, middle),
                heading=READING_BY_KEY[key].heading,
                usual=measured(key, usual),
            )
    return odd


def _ask_about_size(lengths: Readings, masses: Readings, notes: Notebook) -> None:
    """Ask when lengths and masses cannot belong to the same bars."""
    length, mass = _medians(lengths), _medians(masses)
    if not length or not mass:
        return
    length_key, mass_key = next(iter(length)), next(iter(mass))
    ratio = mass[mass_key] / length[length_key] ** 3
    if LIGHTEST < ratio < HEAVIEST:
        return
    position = int(np.flatnonzero(np.isfinite(masses.values[mass_key]))[0])
    notes.add(
        "size-and-mass-do-not-match",
        **masses.cell(mass_key, position),
        value=measured(mass_key, mass[mass_key]),
        length=measured(length_key, length[length_key]),
        slip="the masses are in kg" if ratio <= LIGHTEST else "the lengths are in cm",
    )


def ask_about_no_bars_size(readings: Readings, notes: Notebook) -> None:
    """Ask about readings that no test bar has and that nothing was said about; about a whole column once."""
    for reading in readings.readings:
        low, high = reading.dimension.bars_have
        values = readings.values[reading.key]
        outside = np.flatnonzero((values < low) | (values > high)).tolist()
        whole = len(outside) > np.isfinite(values).sum() / 2
        for position in outside[: 1 if whole else None]:
            if notes.knows(**readings.cell(reading.key, position)):
                continue
            notes.add(
                "not-the-size-of-a-bar",
                **readings.cell(reading.key, position),
                value=measured(reading.key, float(values[position])),
                heading=reading.heading,
                low=measured(reading.key, low),
                high=measured(reading.key, high),
            )
