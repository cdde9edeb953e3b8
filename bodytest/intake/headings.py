"""The closed list of headings and of the trade spellings that stand for them.

The measured columns come from `bodytest.quantities.READINGS`; the matching disregards case, spacing, ``_`` and ``-``.
"""

import difflib
import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import Literal

from bodytest.quantities import QUANTITIES, READINGS
from bodytest.tables import LIVE_HEADINGS
from bodytest.units import LENGTH_IN_MM, MASS_IN_G, TEMPERATURE_UNITS, canonical_unit

Kind = Literal["text", "choice", "cone", "date", "length", "mass", "temperature", "minutes", "computed"]
TableName = Literal["bars", "firings", "pieces"]


@dataclass(frozen=True)
class Column:
    """One column that a table can have."""

    key: str
    """Name in the checked tables, without the unit."""
    heading: str
    """Heading as the blank workbook writes it."""
    kind: Kind
    """What stands in it."""
    spellings: tuple[str, ...] = ()
    """Other spellings of the trade."""


_WORDS: dict[str, tuple[str, ...]] = {
    "wet": ("wet", "plastic", "green", "as made"),
    "leather-hard": ("leather-hard", "leather hard", "leatherhard"),
    "dry": ("dry", "dried", "bone-dry", "air-dry", "oven-dry"),
    "bisque": ("bisque", "bisqued", "biscuit", "bisque fired"),
    "fired": ("fired", "glaze fired", "dry fired"),
    "cold-soaked": ("cold-soaked", "cold soak", "cold soaked", "24 h soaked"),
    "boiled": ("boiled", "saturated", "soaked after boiling", "boiled and soaked"),
    "suspended": ("suspended", "submerged", "immersed", "hung in water", "in water"),
}
_MEASURES: dict[str, tuple[str, ...]] = {
    "length": ("length", "mark distance", "gauge length"),
    "mass": ("mass", "weight", "wt"),
}


def _reading_columns() -> tuple[Column, ...]:
    columns = []
    for reading in READINGS:
        stages, measures = _WORDS[reading.stage], _MEASURES[reading.dimension]
        spellings = [f"{s} {m}" for s in stages for m in measures] + [f"{m} {s}" for s in stages for m in measures]
        columns.append(Column(reading.key, reading.heading, reading.dimension, tuple(spellings)))
    return tuple(columns)


def _computed_columns() -> tuple[Column, ...]:
    """Columns that a sheet computes for its reader's eye; bodytest computes them itself and never reads them."""
    quantities = [
        Column(f"computed_{q.key}", q.name, "computed", (q.key, q.key.replace("_", " "), q.name.replace("linear ", "")))
        for q in QUANTITIES
    ]
    return (*quantities, *(Column(f"live_{name}", name, "computed") for name in LIVE_HEADINGS))


_FIRING_EXTRAS = (
    Column("cone", "cone", "cone", ("pyrometric cone", "cone number", "witness cone")),
    Column(
        "peak_temperature",
        "peak temperature",
        "temperature",
        (
            "top temperature",
            "highest temperature",
            "maximum temperature",
            "max temperature",
            "temperature",
            "peak temp",
        ),
    ),
    Column("atmosphere", "atmosphere", "text", ("kiln atmosphere",)),
)
_NOTES = Column("notes", "notes", "text", ("note", "remarks", "remark", "comments", "comment"))
COLUMNS: dict[TableName, tuple[Column, ...]] = {
    "bars": (
        Column(
            "bar", "bar", "text", ("bar code", "bar number", "bar no", "test bar", "bar id", "specimen", "test piece")
        ),
        Column("body", "body", "text", ("clay", "clay body", "body name", "name of body")),
        Column("batch", "batch", "text", ("batch number", "batch no", "batch code", "lot", "delivery", "mixing")),
        Column("firing", "firing", "text", ("firing code", "firing number", "firing no", "kiln firing")),
        Column("direction", "direction", "text", ("direction of forming", "orientation", "forming direction")),
        Column("position", "position", "text", ("kiln position", "position in kiln", "place in kiln", "shelf")),
        Column("mark", "mark", "text", ("mark number", "mark no", "gauge mark", "gauge line", "pair of marks")),
        *_reading_columns(),
        Column(
            "left_out", "leave out", "text", ("left out", "exclude", "excluded", "omit", "omitted", "reason left out")
        ),
        _NOTES,
        *_FIRING_EXTRAS,
    ),
    "firings": (
        Column("firing", "firing", "text", ("firing code", "firing number", "firing no")),
        Column("date", "date", "date", ("date fired", "firing date", "date of firing")),
        Column("kiln", "kiln", "text", ("kiln name",)),
        Column("purpose", "purpose", "choice", ("kind of firing", "firing type")),
        _FIRING_EXTRAS[0],
        Column("set_temperature", "set temperature", "temperature", ("set point", "programmed temperature")),
        _FIRING_EXTRAS[1],
        Column("hold", "hold", "minutes", ("hold time", "soak time", "holding time")),
        _FIRING_EXTRAS[2],
        _NOTES,
    ),
    "pieces": (
        Column("piece", "piece", "text", ("piece code", "piece number", "ware")),
        Column("body", "body", "text", ("clay", "clay body")),
        Column("batch", "batch", "text", ("batch number", "batch no", "lot")),
        Column("firing", "firing", "text", ("firing code", "firing number", "firing no")),
        Column("dimension", "dimension", "text", ("measure", "what is measured")),
        Column("wet_size", "wet size", "length", ("size wet", "plastic size")),
        Column("leather_hard_size", "leather-hard size", "length", ("size leather-hard",)),
        Column("fired_size", "fired size", "length", ("size fired", "finished size")),
        _NOTES,
    ),
}
LAB_NAMES: dict[str, tuple[str, ...]] = {
    "workshop": ("workshop", "laboratory", "lab", "studio"),
    "measured_by": ("measured by", "by", "operator", "name"),
    "absorption_method": ("absorption method", "method of absorption", "saturation method"),
    "water_temperature": ("water temperature", "temperature of water"),
    "length_step": ("length reading step", "length step", "length resolution", "reading step length"),
    "length_calibration": ("length calibration ±", "length calibration", "length calibration +/-"),
    "mass_step": ("mass reading step", "mass step", "mass resolution", "weight reading step", "balance reading step"),
    "mass_calibration": ("mass calibration ±", "mass calibration", "weight calibration", "mass calibration +/-"),
    "absorption_limit": ("absorption limit", "limit of absorption", "highest absorption"),
    "shrinkage_tolerance": ("shrinkage tolerance", "tolerance of shrinkage"),
    "confidence": ("confidence", "confidence level"),
}
"""Names of the Lab table by key, the first one as the blank workbook writes it."""
DEFAULT_UNITS: dict[str, str] = {"length": "mm", "mass": "g", "temperature": "°C", "minutes": "min"}
_UNIT_AT_END = re.compile(r"^(.*?)[\s,]*[(\[{]([^()\[\]{}]*)[)\]}]\s*$", re.DOTALL)
_LAST_WORD = re.compile(r"^(.+)\s(\S+)$", re.DOTALL)


def plain(text: str) -> str:
    """Reduce a heading to what is compared: lower case, no spacing, ``_``, ``-``, ``.`` or ``:``.

    >>> plain("Wet_Length "), plain("leather-hard length")
    ('wetlength', 'leatherhardlength')
    """
    folded = unicodedata.normalize("NFKC", text).casefold()
    return re.sub(r"[\s_\-‐‑–.:*#]+", "", folded)


def split_unit(text: str) -> tuple[str, str | None]:
    """Split a heading into its name and the unit in brackets (or at its end).

    >>> split_unit("wet length (mm)"), split_unit("dry_mass_g"), split_unit("bar")
    (('wet length', 'mm'), ('dry mass', 'g'), ('bar', None))
    """
    bracketed = _UNIT_AT_END.match(text.strip())
    if bracketed and bracketed.group(1).strip():
        return bracketed.group(1).strip(), bracketed.group(2).strip()
    spaced = re.sub(r"[\s_]+", " ", text).strip()
    last = _LAST_WORD.match(spaced)
    if last and canonical_unit(last.group(2).strip(",")) is not None:
        return last.group(1).strip(" ,"), last.group(2).strip(",")
    return text.strip(), None


@cache
def spellings(table: TableName) -> dict[str, Column]:
    """Return every accepted plain spelling of a table's headings."""
    accepted: dict[str, Column] = {}
    for column in COLUMNS[table]:
        for spelling in (column.heading, column.key, *column.spellings):
            for variant in (spelling, spelling.replace("mass", "weight")):
                accepted.setdefault(plain(variant), column)
    if table == "bars":
        for column in _computed_columns():
            for spelling in (column.heading, column.key, *column.spellings):
                accepted.setdefault(plain(spelling), column)
    return accepted


def match_heading(text: str, table: TableName) -> tuple[Column | None, str | None]:
    """Return the column that a heading means and the unit written in it.

    >>> match_heading("Weight wet [g]", "bars")[0].key
    'wet_mass'
    """
    name, unit = split_unit(text)
    found = spellings(table).get(plain(name))
    if found is None and unit is not None:
        found, unit = spellings(table).get(plain(text)), None
    return found, unit


def nearest_heading(text: str, table: TableName) -> str | None:
    """Return the known heading that is spelled most like ``text``, None when nothing is near.

    >>> nearest_heading("wet lenght (mm)", "bars")
    'wet length'
    """
    name, _ = split_unit(text)
    near = difflib.get_close_matches(plain(name), list(spellings(table)), n=1, cutoff=0.75)
    return spellings(table)[near[0]].heading if near else None


def unit_fits(unit: str, kind: Kind) -> bool:
    """Tell whether a canonical unit measures what the column holds.

    >>> unit_fits("mm", "length"), unit_fits("mm", "mass")
    (True, False)
    """
    families: dict[str, Collection[str]] = {
        "length": LENGTH_IN_MM,
        "mass": MASS_IN_G,
        "temperature": TEMPERATURE_UNITS,
        "minutes": ("min",),
    }
    return unit in families.get(kind, ())


def lab_key(text: str) -> tuple[str | None, str | None]:
    """Return the key of a name on the Lab table and the unit written with it.

    >>> lab_key("Water temperature (°C)")
    ('water_temperature', '°C')
    """
    name, unit = split_unit(text)
    for key, names in LAB_NAMES.items():
        if plain(name) in {plain(n) for n in names} or plain(name) == plain(key):
            return key, unit
    return None, unit
