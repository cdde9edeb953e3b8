"""The Lab table: names and values of how the bars were measured."""

import datetime
import difflib
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from bodytest.grids.account import Reason
from bodytest.grids.grid import CellError, Grid, Uncalculated
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import NO_READING, converted_back, read_date, read_number, read_text
from bodytest.intake.layouts.headings import lab_key, plain, split_unit, unit_fits
from bodytest.intake.layouts.vocabulary import LAB_NAMES, Kind
from bodytest.lab.forming import FORMING
from bodytest.quantities import ABSORPTION_METHODS
from bodytest.tables import LENGTH_ERRORS, Lab
from bodytest.units import INSTRUMENTS, canonical_unit


class _Number(NamedTuple):
    """A number of the Lab table."""

    field: str
    """Its field of `Lab`."""
    kind: Kind
    """What it is."""
    unit: str
    """Its unit where none is written."""
    usual: tuple[float, float]
    """What is usual; values outside are asked about, those of `_REFUSED_OUTSIDE` cannot be used."""


_NUMBERS = {
    "water_temperature": _Number("water_temperature_c", "temperature", "°C", (0.0, 40.0)),
    **{f"{i.name}_step": _Number(i.step_field, i.name, i.unit, i.usual_step) for i in INSTRUMENTS.values()},
    **{
        f"{i.name}_calibration": _Number(i.calibration_field, i.name, i.unit, (0.0, i.usual_step[1]))
        for i in INSTRUMENTS.values()
    },
    "absorption_limit": _Number("absorption_limit_percent", "minutes", "%", (0.1, 30.0)),
    "shrinkage_tolerance": _Number("shrinkage_tolerance_points", "minutes", "%", (0.05, 5.0)),
    "temperature_expanded": _Number("temperature_expanded_c", "degrees", "°C", (0.5, 40.0)),
    "oven_temperature": _Number("oven_temperature_c", "temperature", "°C", (100.0, 155.0)),
    "batch_scatter": _Number("batch_scatter_points", "minutes", "%", (0.02, 2.0)),
    "batch_scatter_from": _Number("batch_scatter_from", "minutes", "", (2.0, 1000.0)),
    "load_scatter": _Number("load_scatter_points", "minutes", "%", (0.02, 2.0)),
    "load_scatter_from": _Number("load_scatter_from", "minutes", "", (2.0, 1000.0)),
    "confidence": _Number("confidence", "minutes", "%", (50.0, 99.9)),
}
_REFUSED_OUTSIDE = ("confidence", "water_temperature", "batch_scatter_from", "load_scatter_from")
_DATES = frozenset(key for key in LAB_NAMES if key.endswith(("_certified", "_on")))
_CHOICES = {"forming": FORMING.options, "absorption_method": ABSORPTION_METHODS, "length_errors": LENGTH_ERRORS}


@dataclass(frozen=True)
class Entry:
    """One line of the Lab table that is understood."""

    value: Any
    """The cell beside the name."""
    unit: str | None
    """The unit written with the name."""
    place: dict[str, Any]
    """Where the value stands."""


def read_lab(grids: Sequence[Grid], notes: Notebook) -> tuple[Lab, dict[str, dict[str, Any]]]:
    """Return what the Lab table says (several are read like one), and where each value stands."""
    fields: dict[str, Any] = {}
    entries = _entries(grids, notes)
    for key, entry in entries.items():
        value = _value(key, entry, notes)
        row, column = entry.place["row"], entry.place["column"]
        account = notes.accounts[entry.place["table"]]
        if value is not None:
            fields[_NUMBERS[key].field if key in _NUMBERS else key] = value
            account.use(column, row)
        elif read_text(entry.value).lower() in NO_READING:
            account.set_aside("dash for nothing", columns=[column], rows=row)
    for factor in ("batch", "load"):
        _settle_scatter(factor, fields, entries, notes)
    return Lab(**fields), {key: entry.place for key, entry in entries.items()}


def _settle_scatter(factor: str, fields: dict[str, Any], entries: dict[str, Entry], notes: Notebook) -> None:
    """Use a scatter known from elsewhere only where it is said from how many it is known."""
    scatter, rests_on = f"{factor}_scatter_points", f"{factor}_scatter_from"
    if rests_on in fields:
        fields[rests_on] = round(fields[rests_on])
    if scatter in fields and rests_on not in fields:
        entry = entries[f"{factor}_scatter"]
        names: dict[str, Any] = {"heading": LAB_NAMES[f"{factor}_scatter"][0], "needed": LAB_NAMES[rests_on][0]}
        notes.add("scatter-from-how-many", **entry.place, value=entry.value, **names)
        del fields[scatter]


def _value(key: str, entry: Entry, notes: Notebook) -> Any:
    """Return one value of the Lab table, None when it cannot be used."""
    heading = LAB_NAMES[key][0]
    if isinstance(entry.value, CellError):
        notes.add(entry.value.code, **entry.place, value=entry.value.shown, heading=heading, **entry.value.words)
        return None
    if isinstance(entry.value, Uncalculated):
        notes.add("formula-not-calculated", **entry.place, value=entry.value.formula, heading=heading)
        return None
    if key in _CHOICES:
        return _choice(key, read_text(entry.value), entry.place, notes)
    if key in _DATES:
        return _dates(entry, notes)
    if key not in _NUMBERS:
        return read_text(entry.value)
    number = _number(key, entry, notes)
    return number / 100 if key == "confidence" and number is not None else number


def _entries(grids: Sequence[Grid], notes: Notebook) -> dict[str, Entry]:
    """Return the lines with a name that is known and a value; write down what is unknown or doubled."""
    entries: dict[str, Entry] = {}
    for grid in grids:
        for number, row in grid.below_headings(0):
            blanks = {column for column, cell in enumerate(row) if isinstance(cell, str) and read_text(cell) == ""}
            notes.accounts[grid.name].set_aside("only blanks", columns=blanks, rows=number)
            if line := {column: cell for column, cell in enumerate(row) if column not in blanks}:
                _read_line(line, {"table": grid.name, "row": number}, entries, notes)
    return entries


def _read_line(line: dict[int, Any], place: dict[str, Any], entries: dict[str, Entry], notes: Notebook) -> None:
    """Read one line of the Lab table: a name, the value right of it, and texts that explain."""
    account, row = notes.accounts[place["table"]], place["row"]
    left = min(line)
    name, value = read_text(line[left]), line.get(left + 1, "")
    key, unit = lab_key(name)
    reason: Reason = "line left blank" if key else "title"
    if value != "" and plain(name) not in _HEADINGS:
        reason = "explanation"
        if key is None:
            notes.add("lab-name-unknown", **place, column=left, value=name, nearest=_nearest(name))
            account.set_aside("row not read", columns=[left + 1], rows=row)
        elif key in entries:
            notes.add("lab-name-twice", **place, column=left, value=name, heading=LAB_NAMES[key][0])
            account.set_aside("row not read", columns=[left + 1], rows=row)
        else:
            entries[key] = Entry(value, unit, {**place, "column": left + 1})
            account.use(left, row)
        del line[left], line[left + 1]
    for column, cell in line.items():
        if isinstance(cell, str):
            account.set_aside(reason, columns=[column], rows=row)
        else:
            notes.add("cell-not-read", **place, column=column, value=read_text(cell), count=1)


_HEADINGS = frozenset({"name", "lab", "what", "item"})


def _nearest(name: str) -> str:
    first = {plain(names[0]): names[0] for names in LAB_NAMES.values()}
    near = difflib.get_close_matches(plain(split_unit(name)[0]), list(first), n=1, cutoff=0.75)
    return f" The nearest known name is “{first[near[0]]}”." if near else ""


def _dates(entry: Entry, notes: Notebook) -> str | None:
    """Return one date, or several with commas between them, as ISO texts; None where one of them cannot be told."""
    texts = re.split(r"\s*(?:;|\n|\band\b|, (?=\d))\s*", read_text(entry.value))
    dates = [read_date(entry.value)] if not isinstance(entry.value, str) else [read_date(text) for text in texts]
    if None in dates:
        notes.add("lab-date-unclear", **entry.place, value=read_text(entry.value))
        return None
    told = ", ".join(filter(None, dates))
    if told and max(filter(None, dates)) > datetime.date.today().isoformat():
        notes.add("lab-date-after-today", **entry.place, value=read_text(entry.value))
    return told or None


def _choice(key: str, text: str, place: dict[str, Any], notes: Notebook) -> str | None:
    if text.lower() in NO_READING:
        return None
    for choice in _CHOICES[key]:
        if plain(choice) == plain(text):
            return choice
    notes.add("choice-unknown", **place, value=text, heading=LAB_NAMES[key][0], choices="; ".join(_CHOICES[key]))
    return None


def _number(key: str, entry: Entry, notes: Notebook) -> float | None:
    """Return a number of the Lab table in mm, g, °C or per cent; None when it cannot be used."""
    _, kind, default, _ = _NUMBERS[key]
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
    return None if math.isnan(read.value) else _judged(key, read.value, unit, entry.place, notes)


def _judged(key: str, number: float, unit: str, place: dict[str, Any], notes: Notebook) -> float | None:
    """Return the number if it is possible; odd and impossible ones are written down."""
    low, high = _NUMBERS[key].usual
    if key == "confidence" and 0.5 <= number < 1:
        number *= 100
    if low <= number <= high:
        return number
    refused = key in _REFUSED_OUTSIDE or number <= 0
    code = "lab-value-impossible" if refused else "lab-value-odd"
    shown = [converted_back(limit, unit, _NUMBERS[key].kind) for limit in (number, low, high)]
    limits: dict[str, Any] = {"low": f"{shown[1]:.3g}", "high": f"{shown[2]:.4g}", "unit": unit}
    notes.add(code, **place, value=shown[0], heading=LAB_NAMES[key][0], **limits)
    return None if refused else number
