"""The columns that our tables have, and the words of the trade that stand for them, from `vocabulary.toml`."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from bodytest.quantities import CHOICES, DATES, QUANTITIES, READINGS, STATED
from bodytest.tables import LIVE_HEADINGS
from bodytest.units import INSTRUMENTS

Kind = str
"""What stands in a column: a name in `bodytest.units.DIMENSIONS`, or ``text``, ``choice``, ``cone``, ``date``,
``temperature``, ``degrees``, ``minutes``, ``rate``, ``percent``, ``computed``."""
TableName = Literal["bars", "firings", "pieces", "specs"]


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
    """Other whole headings, where words do not tell."""


def computed_columns() -> tuple[Column, ...]:
    """Columns that a sheet computes for its reader's eye; bodytest computes them itself and never reads them."""
    quantities = [
        Column(f"computed_{q.key}", q.name, "computed", (q.key, q.key.replace("_", " "), q.name.replace("linear ", "")))
        for q in QUANTITIES
    ]
    return (*quantities, *(Column(f"live_{name}", name, "computed") for name in LIVE_HEADINGS))


_CONE, _PEAK = Column("cone", "cone", "cone"), Column("peak_temperature", "peak temperature", "temperature")
_ATMOSPHERE, _NOTES = Column("atmosphere", "atmosphere", "text"), Column("notes", "notes", "text")
_BODY, _BATCH, _FIRING = (Column(key, key, "text") for key in ("body", "batch", "firing"))
COLUMNS: dict[TableName, tuple[Column, ...]] = {
    "bars": (
        Column("bar", "bar", "text"),
        _BODY,
        _BATCH,
        _FIRING,
        Column("direction", "direction", "text"),
        Column("position", "position", "text"),
        Column("mark", "mark", "text"),
        *(Column(reading.key, reading.heading, reading.dimension.name, reading.spellings) for reading in READINGS),
        *(Column(one.key, one.heading, "percent") for one in STATED.values()),
        *(Column(one.key, one.heading, one.dimension.name) for one in DATES),
        *(Column(choice.key, choice.heading, "text", choice.spellings) for choice in CHOICES),
        Column("left_out", "leave out", "text"),
        _NOTES,
        _CONE,
        _PEAK,
        _ATMOSPHERE,
    ),
    "firings": (
        _FIRING,
        Column("date", "date", "date"),
        Column("kiln", "kiln", "text"),
        Column("programme", "programme", "text"),
        Column("purpose", "purpose", "choice"),
        _CONE,
        Column("set_temperature", "set temperature", "temperature"),
        _PEAK,
        Column("temperature_expanded", "temperature ±", "degrees", ("peak temperature ±", "temperature +/-")),
        Column("hold", "hold", "minutes"),
        Column("heating_rate", "heating rate", "rate", ("rate", "ramp")),
        _ATMOSPHERE,
        _NOTES,
    ),
    "pieces": (
        Column("piece", "piece", "text"),
        _BODY,
        _BATCH,
        _FIRING,
        Column("dimension", "dimension", "text", ("measure", "what is measured")),
        Column("wet_size", "wet size", "length", ("size wet", "plastic size")),
        Column("leather_hard_size", "leather-hard size", "length", ("size leather-hard",)),
        Column("fired_size", "fired size", "length", ("size fired", "finished size")),
        _NOTES,
    ),
    "specs": (
        _BODY,
        Column("purpose", "purpose", "choice"),
        Column("quantity", "quantity", "text", ("property", "what is limited")),
        Column("lowest", "lowest", "choice", ("at least", "lower limit", "minimum")),
        Column("highest", "highest", "choice", ("at most", "upper limit", "maximum")),
        Column("applies_to", "applies to", "choice", ("for",)),
        Column("share", "share", "choice", ("share of bars",)),
        Column("source", "source", "text", ("set by", "reason")),
        _NOTES,
    ),
}


def _instrument_names() -> dict[str, tuple[str, ...]]:
    """Return the names of the rows for the reading step and the calibration of each instrument."""
    names = {}
    for one in INSTRUMENTS.values():
        words = (one.name, *one.aliases)
        names[f"{one.name}_step"] = tuple(
            f"{w} {what}" for what in ("reading step", "step", "resolution") for w in words
        ) + tuple(f"reading step {w}" for w in words)
        names[f"{one.name}_calibration"] = tuple(f"{w} calibration{sign}" for sign in (" ±", "", " +/-") for w in words)
    return names


def _certified_names() -> dict[str, tuple[str, ...]]:
    """Return the names of the rows for each instrument, its certificate and the date of that."""
    names: dict[str, tuple[str, ...]] = {}
    length, balance = ("length instrument", "caliper", "rule"), ("balance", "scales")
    for key, words in (("length_instrument", length), ("balance", balance), ("thermometer", ("thermometer",))):
        names[key] = words
        names[f"{key}_certificate"] = tuple(f"{word} certificate" for word in words)
        names[f"{key}_certified"] = tuple(f"{word} certificate date" for word in words)
    return names


LAB_NAMES: dict[str, tuple[str, ...]] = {
    "workshop": ("workshop", "laboratory", "lab", "studio"),
    "address": ("address", "address of the workshop", "laboratory address"),
    "measured_by": ("measured by", "by", "operator", "name"),
    "control_body": ("control body", "control clay", "body of the control bars"),
    "forming": ("forming", "formed", "way of forming"),
    "absorption_method": ("absorption method", "method of absorption", "saturation method"),
    "water_temperature": ("water temperature", "temperature of water"),
    **_instrument_names(),
    "absorption_limit": ("absorption limit", "limit of absorption", "highest absorption"),
    "shrinkage_tolerance": ("shrinkage tolerance", "tolerance of shrinkage"),
    "length_errors": ("length errors", "errors of length"),
    "temperature_expanded": ("temperature ±", "kiln temperature ±", "temperature +/-"),
    "batch_scatter": ("scatter between batches", "batch scatter"),
    "batch_scatter_from": ("scatter between batches, from how many", "from how many batches"),
    "load_scatter": ("scatter between loads", "load scatter", "scatter between firings"),
    "load_scatter_from": ("scatter between loads, from how many", "from how many loads", "from how many firings"),
    "confidence": ("confidence", "confidence level"),
    "oven_temperature": ("oven temperature", "drying oven", "temperature of the oven"),
    "boiled_on": ("boiled on", "boiling dates", "boiling date", "dates of boiling"),
    "measured_stages": ("who measured which stage", "measured by stage"),
    **_certified_names(),
    "received_on": ("received on", "date of receipt"),
    "sampling": ("sampling", "how bars were taken"),
    "place_of_work": ("place of work", "location"),
    "customer": ("customer", "client"),
    "outside_providers": ("outside providers", "subcontractors"),
    "authorised_by": ("authorised by", "authorized by"),
}
"""Names of the Lab table by key, the first one as the blank workbook writes it."""


@cache
def languages() -> dict[str, dict[str, Any]]:
    """Return the tables of `vocabulary.toml`, by language."""
    text = files("bodytest.intake.layouts").joinpath("vocabulary.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def word_list(table: str, name: str = "words") -> frozenset[str]:
    """Return a list of words of all languages together."""
    return frozenset(word for language in languages().values() for word in language.get(table, {}).get(name, ()))


def meanings(table: str) -> dict[str, tuple[str, ...]]:
    """Return word → meanings of one table, all languages together."""
    found: dict[str, tuple[str, ...]] = {}
    for language in languages().values():
        for word, said in language.get(table, {}).items():
            found[word] = (said,) if isinstance(said, str) else tuple(said)
    return found
