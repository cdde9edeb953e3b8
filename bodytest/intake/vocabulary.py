"""The closed list of headings and of the trade spellings that stand for them.

The measured columns come from `bodytest.quantities.READINGS`.
"""

from dataclasses import dataclass
from typing import Literal

from bodytest.quantities import CHOICES, QUANTITIES, READINGS
from bodytest.tables import LIVE_HEADINGS
from bodytest.units import INSTRUMENTS

Kind = str
"""What stands in a column: a name in `bodytest.units.DIMENSIONS`, or ``text``, ``choice``, ``cone``, ``date``,
``temperature``, ``degrees``, ``minutes``, ``computed``."""
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


STAGE_WORDS: dict[str, tuple[str, ...]] = {
    "wet": ("wet", "plastic", "green", "as made"),
    "leather-hard": ("leather-hard", "leather hard", "leatherhard"),
    "dry": ("dry", "dried", "bone-dry", "air-dry", "oven-dry"),
    "bisque": ("bisque", "bisqued", "biscuit", "bisque fired"),
    "fired": ("fired", "glaze fired", "dry fired"),
    "cold-soaked": ("cold-soaked", "cold soak", "cold soaked", "24 h soaked"),
    "boiled": ("boiled", "saturated", "soaked after boiling", "boiled and soaked"),
    "suspended": ("suspended", "submerged", "immersed", "hung in water", "in water"),
}


def _reading_columns() -> tuple[Column, ...]:
    columns = []
    for reading in READINGS:
        stages, measures = STAGE_WORDS.get(reading.stage, ()), reading.dimension.words
        spellings = [f"{s} {m}" for s in stages for m in measures] + [f"{m} {s}" for s in stages for m in measures]
        spellings += reading.spellings
        columns.append(Column(reading.key, reading.heading, reading.dimension.name, tuple(spellings)))
    return tuple(columns)


def computed_columns() -> tuple[Column, ...]:
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
        *(Column(choice.key, choice.heading, "text", choice.spellings) for choice in CHOICES),
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
        Column("programme", "programme", "text", ("program", "firing programme", "firing program", "schedule")),
        Column("purpose", "purpose", "choice", ("kind of firing", "firing type")),
        _FIRING_EXTRAS[0],
        Column("set_temperature", "set temperature", "temperature", ("set point", "programmed temperature")),
        _FIRING_EXTRAS[1],
        Column("temperature_expanded", "temperature ±", "degrees", ("peak temperature ±", "temperature +/-")),
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


LAB_NAMES: dict[str, tuple[str, ...]] = {
    "workshop": ("workshop", "laboratory", "lab", "studio"),
    "measured_by": ("measured by", "by", "operator", "name"),
    "control_body": ("control body", "control clay", "body of the control bars"),
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
}
"""Names of the Lab table by key, the first one as the blank workbook writes it."""
