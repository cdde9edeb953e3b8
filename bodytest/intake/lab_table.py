"""The Lab table: names and values of how the bars were measured."""

import dataclasses
import difflib
from typing import Any

from bodytest.intake.cells import NO_READING, converted, read_number, read_text
from bodytest.intake.grid import CellError, Grid, Uncalculated
from bodytest.intake.headings import LAB_NAMES, Kind, lab_key, plain
from bodytest.intake.notebook import Notebook
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


def read_lab(grid: Grid | None, notes: Notebook) -> Lab:
    """Return what the Lab table says; blank where it says nothing."""
    lab = Lab()
    if grid is None:
        return lab
    seen: set[str] = set()
    for index, row in enumerate(grid.rows):
        named = next(((c, read_text(v)) for c, v in enumerate(row) if read_text(v)), None)
        if named is None or plain(named[1]) in ("name", "lab", "what"):
            continue
        column, name = named
        value_at = column + 1
        value = row[value_at] if value_at < len(row) else ""
        place = {"table": grid.name, "row": grid.row_number(index), "column": value_at}
        lab = _with_entry(lab, name, value, (place, {**place, "column": column}), seen, notes)
    return lab


def _with_entry(
    lab: Lab, name: str, value: Any, places: tuple[dict[str, Any], dict[str, Any]], seen: set[str], notes: Notebook
) -> Lab:
    key, unit = lab_key(name)
    if key is None:
        if value != "":
            near = difflib.get_close_matches(plain(name), [plain(n[0]) for n in LAB_NAMES.values()], n=1, cutoff=0.75)
            hint = next(
                (f" The nearest known name is “{n[0]}”." for n in LAB_NAMES.values() if plain(n[0]) in near), ""
            )
            notes.add("lab-name-unknown", **places[1], value=name, nearest=hint)
        return lab
    if key in seen and value != "":
        notes.add("lab-name-twice", **places[1], value=name, heading=LAB_NAMES[key][0])
        return lab
    if value == "":
        return lab
    seen.add(key)
    if isinstance(value, (CellError, Uncalculated)):
        error = isinstance(value, CellError)
        shown = value.shown if isinstance(value, CellError) else value.formula
        code = "error-cell" if error else "formula-not-calculated"
        notes.add(code, **places[0], value=shown, heading=LAB_NAMES[key][0])
        return lab
    if key == "absorption_method":
        return dataclasses.replace(lab, absorption_method=_method(read_text(value), places[0], notes))
    if key in _NUMBERS:
        return _with_number(lab, key, unit, value, places[0], notes)
    return dataclasses.replace(lab, **{key: read_text(value)})


def _method(text: str, place: dict[str, Any], notes: Notebook) -> str | None:
    if text.lower() in NO_READING:
        return None
    for method in ABSORPTION_METHODS:
        if plain(method) == plain(text):
            return method
    notes.add("choice-unknown", **place, value=text, heading="absorption method", choices="; ".join(ABSORPTION_METHODS))
    return None


def _with_number(lab: Lab, key: str, unit: str | None, value: Any, place: dict[str, Any], notes: Notebook) -> Lab:
    field, kind, default = _NUMBERS[key]
    canonical = canonical_unit(unit) if unit else None
    used = canonical or default
    if unit and canonical is None and unit not in (default, "points", "percentage points"):
        notes.add("unit-unknown", **place, value=value, unit=unit, heading=LAB_NAMES[key][0], kind=kind)
        return lab
    cell = value.replace("%", "").replace("±", "") if isinstance(value, str) else value
    if kind != "temperature" and isinstance(cell, float) and cell == 0 and key.endswith("calibration"):
        return dataclasses.replace(lab, **{field: 0.0})
    read = read_number(cell, used, kind)
    if read.code is not None:
        notes.add(read.code, **place, value=value, heading=LAB_NAMES[key][0], **read.words)
    if read.value != read.value:
        return lab
    number = read.value if used != default or kind != "minutes" else converted(read.value, used)
    return _judged(lab, key, number, place, notes)


def _judged(lab: Lab, key: str, number: float, place: dict[str, Any], notes: Notebook) -> Lab:
    low, high, unit = _RANGES[key]
    if key == "confidence" and 0.5 <= number < 1:
        number *= 100
    words = {"heading": LAB_NAMES[key][0], "low": f"{low:g}", "high": f"{high:g}", "unit": unit}
    if not low <= number <= high:
        refused = key in ("confidence", "water_temperature") or number <= 0
        notes.add("lab-value-impossible" if refused else "lab-value-odd", **place, value=number, **words)
        if refused:
            return lab
    field = _NUMBERS[key][0]
    return dataclasses.replace(lab, **{field: number / 100 if key == "confidence" else number})
