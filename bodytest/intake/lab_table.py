"""The Lab table: names and values of how the bars were measured."""

import difflib
import math
from dataclasses import dataclass
from typing import Any

from bodytest.grids.grid import CellError, Grid, Uncalculated
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import NO_READING, read_number, read_text
from bodytest.intake.headings import lab_key, plain, split_unit, unit_fits
from bodytest.intake.vocabulary import LAB_NAMES, Kind
from bodytest.quantities import ABSORPTION_METHODS
from bodytest.tables import Lab
from bodytest.units import canonical_unit

_NUMBERS: dict[str, tuple[str, Kind, str]] = {
    "water_temperature": ("water_temperature_c", "temperature", "°C"),
    "length_step": ("length_step_mm", "length", "mm"),
    "length_calibration": ("length_calibration_mm", "length", "mm"),
    "mass_step": ("mass_step_g", "mass", "g"),
    "mass_calibration": ("mass_calibration_g", "mass", "g"),
    "absorption_limit": ("absorption_limit_percent", "minutes", "%"),
    "shrinkage_tolerance": ("shrinkage_tolerance_points", "minutes", "%"),
    "confidence": ("confidence", "minutes", "%"),
}
_RANGES: dict[str, tuple[float, float, str]] = {
    "water_temperature": (0.0, 40.0, "°C"),
    "length_step": (0.0005, 2.0, "mm"),
    "length_calibration": (0.0, 2.0, "mm"),
    "mass_step": (0.00005, 5.0, "g"),
    "mass_calibration": (0.0, 5.0, "g"),
    "absorption_limit": (0.1, 30.0, "%"),
    "shrinkage_tolerance": (0.05, 5.0, "%"),
    "confidence": (50.0, 99.9, "%"),
}
"""What is usual; values outside are asked about, confidence and water temperature outside cannot be used."""


@dataclass(frozen=True)
class Entry:
    """One line of the Lab table that is understood."""

    value: Any
    """The cell beside the name."""
    unit: str | None
    """The unit written with the name."""
    place: dict[str, Any]
    """Where the value stands."""


def read_lab(grid: Grid | None, notes: Notebook) -> Lab:
    """Return what the Lab table says; blank where it says nothing."""
    if grid is None:
        return Lab()
    fields: dict[str, Any] = {}
    for key, entry in _entries(grid, notes).items():
        heading = LAB_NAMES[key][0]
        if isinstance(entry.value, CellError):
            notes.add("error-cell", **entry.place, value=entry.value.shown, heading=heading)
        elif isinstance(entry.value, Uncalculated):
            notes.add("formula-not-calculated", **entry.place, value=entry.value.formula, heading=heading)
        elif key == "absorption_method":
            fields[key] = _method(read_text(entry.value), entry.place, notes)
        elif key not in _NUMBERS:
            fields[key] = read_text(entry.value)
        elif (number := _number(key, entry, notes)) is not None:
            fields[_NUMBERS[key][0]] = number / 100 if key == "confidence" else number
    return Lab(**fields)


def _entries(grid: Grid, notes: Notebook) -> dict[str, Entry]:
    """Return the lines with a name that is known and a value; write down what is unknown or doubled."""
    entries: dict[str, Entry] = {}
    for index, row in enumerate(grid.rows):
        column = next((c for c, cell in enumerate(row) if read_text(cell)), len(row))
        if column + 1 >= len(row) or row[column + 1] == "" or plain(read_text(row[column])) in _HEADINGS:
            continue
        name, value = read_text(row[column]), row[column + 1]
        place: dict[str, Any] = {"table": grid.name, "row": grid.row_number(index)}
        key, unit = lab_key(name)
        if key is None:
            notes.add("lab-name-unknown", **place, column=column, value=name, nearest=_nearest(name))
        elif key in entries:
            notes.add("lab-name-twice", **place, column=column, value=name, heading=LAB_NAMES[key][0])
        else:
            entries[key] = Entry(value, unit, {**place, "column": column + 1})
    return entries


_HEADINGS = frozenset({"name", "lab", "what", "item"})


def _nearest(name: str) -> str:
    first = {plain(names[0]): names[0] for names in LAB_NAMES.values()}
    near = difflib.get_close_matches(plain(split_unit(name)[0]), list(first), n=1, cutoff=0.75)
    return f" The nearest known name is “{first[near[0]]}”." if near else ""


def _method(text: str, place: dict[str, Any], notes: Notebook) -> str | None:
    if text.lower() in NO_READING:
        return None
    for method in ABSORPTION_METHODS:
        if plain(method) == plain(text):
            return method
    notes.add("choice-unknown", **place, value=text, heading="absorption method", choices="; ".join(ABSORPTION_METHODS))
    return None


def _number(key: str, entry: Entry, notes: Notebook) -> float | None:
    """Return a number of the Lab table in mm, g, °C or per cent; None when it cannot be used."""
    _, kind, default = _NUMBERS[key]
    heading = LAB_NAMES[key][0]
    unit = canonical_unit(entry.unit) if entry.unit else default
    if entry.unit and unit is None:
        unit = default if entry.unit in (default, "points", "percentage points") else None
    if unit is None or (unit != default and not unit_fits(unit, kind)):
        notes.add("unit-unknown", **entry.place, value=entry.value, unit=entry.unit, heading=heading)
        return None
    cell = entry.value.replace("%", "").replace("±", "") if isinstance(entry.value, str) else entry.value
    if key.endswith("calibration") and cell in (0, "0"):
        return 0.0
    read = read_number(cell, unit, kind)
    if read.code is not None:
        notes.add(read.code, **entry.place, value=entry.value, heading=heading, **read.words)
    return None if math.isnan(read.value) else _judged(key, read.value, entry.place, notes)


def _judged(key: str, number: float, place: dict[str, Any], notes: Notebook) -> float | None:
    """Return the number if it is possible; odd and impossible ones are written down."""
    low, high, unit = _RANGES[key]
    if key == "confidence" and 0.5 <= number < 1:
        number *= 100
    if low <= number <= high:
        return number
    refused = key in ("confidence", "water_temperature") or number <= 0
    code = "lab-value-impossible" if refused else "lab-value-odd"
    words: dict[str, Any] = {"heading": LAB_NAMES[key][0], "low": f"{low:g}", "high": f"{high:g}", "unit": unit}
    notes.add(code, **place, value=number, **words)
    return None if refused else number
