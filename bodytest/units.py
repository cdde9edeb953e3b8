"""The table of dimensions with their closed lists of units, and the numbers people write with them.

A closed list, because a general unit package reads ``gr`` as grain without a word.
"""

import datetime
import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

LENGTH_IN_MM: dict[str, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}
LENGTH_DECIMALS: dict[str, int] = {"mm": 1, "cm": 2, "in": 2}
"""To which a size is told, by its unit: what a rule can show."""
PIECE = {"mm": 200.0, "in": 8.0}
"""Length of the piece on which a shrinkage is shown, by its unit."""
MASS_IN_G: dict[str, float] = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
FORCE_IN_N: dict[str, float] = {"N": 1.0, "kN": 1000.0, "kgf": 9.80665, "lbf": 4.4482216152605}
TEMPERATURE_UNITS: tuple[str, ...] = ("°C", "°F")
RATE_UNITS: tuple[str, ...] = ("°C/h", "°F/h")


@dataclass(frozen=True, eq=False)
class Instrument:
    """What one kind of number is read from; its step and calibration stand on the Lab table."""

    name: str
    """First word of its rows on the Lab table: ``length reading step (mm)``, ``length calibration ± (mm)``."""
    unit: str
    """Unit that its numbers are held in."""
    units: Mapping[str, float]
    """Accepted units, and what a number in each is multiplied by to be in ``unit``."""
    tool: str
    """What people call it."""
    usual_step: tuple[float, float] = (0.0, 0.0)
    """Reading steps that are usual, in ``unit``; a calibration is usual up to the coarser one."""
    aliases: tuple[str, ...] = ()
    """Other first words that its rows on the Lab table may have."""
    step_hint: str = ""
    """What to put in the row for the reading step; ``{example}`` stands for a step."""
    step_examples: Mapping[str, str] = field(default_factory=dict)
    """Example of a step for each unit that a blank workbook can be in."""

    @property
    def step_field(self) -> str:
        """Field of `bodytest.tables.Lab` with the reading step."""
        return f"{self.name}_step_{self.unit.lower()}"

    @property
    def inferred_field(self) -> str:
        """Field of `bodytest.tables.Lab` that says that the step was taken from the digits typed."""
        return f"{self.name}_step_inferred"

    @property
    def calibration_field(self) -> str:
        """Field of `bodytest.tables.Lab` with the calibration uncertainty."""
        return f"{self.name}_calibration_{self.unit.lower()}"


@dataclass(frozen=True, eq=False)
class Dimension:
    """One kind of measured number."""

    name: str
    """Name in code and the kind of the column."""
    instrument: Instrument
    """What it is read from."""
    per: Literal["mark", "bar"]
    """Is it measured for each mark, or once for a bar?"""
    words: tuple[str, ...]
    """What people call it beside a stage: wet length, dry weight."""
    bars_have: tuple[float, float]
    """Values that a test bar can have (soft, common practice, no source) [held unit]."""
    taken: tuple[float, float]
    """Values that the blank workbook takes without a question [held unit]."""
    smallest_share: float
    """Difference of a ratio of two of them from its neighbours below which nothing is asked."""

    @property
    def staged(self) -> bool:
        """Whether the same thing is measured at several stages, so that readings of a bar can be compared."""
        return bool(self.words)

    @property
    def unit(self) -> str:
        """Unit that it is held in."""
        return self.instrument.unit

    @property
    def units(self) -> Mapping[str, float]:
        """Accepted units, and what a number in each is multiplied by to be in ``unit``."""
        return self.instrument.units


_RULE = Instrument(
    "length", "mm", LENGTH_IN_MM, "rule", (0.0005, 2.0), (), "The smallest step you read, e.g. {example}.",
    {"mm": "0.5 for a rule, 0.1 or 0.02 for a caliper", "cm": "0.05 for a rule, 0.01 or 0.002 for a caliper",
     "in": "0.02 for a rule, 0.001 for a caliper"},
)  # fmt: skip
_BALANCE = Instrument(
    "mass", "g", MASS_IN_G, "balance", (0.00005, 5.0), ("weight", "balance"),
    "The last digit of the balance, e.g. {example}.", {"g": "0.01", "oz": "0.001"},
)  # fmt: skip
_LOAD_SCALE = Instrument(
    "force", "N", FORCE_IN_N, "load scale", (0.0005, 50.0), ("load",), "The smallest step of the load, e.g. {example}.",
    {"N": "1", "kgf": "0.1", "lbf": "0.2"},
)  # fmt: skip
DIMENSIONS: dict[str, Dimension] = {
    d.name: d
    for d in (
        Dimension(
            "length", _RULE, "mark", ("length", "mark distance", "gauge length"), (1.0, 3000.0), (10.0, 600.0), 0.006
        ),
        Dimension("mass", _BALANCE, "bar", ("mass", "weight", "wt"), (0.1, 50_000.0), (1.0, 5000.0), 0.02),
        Dimension("size", _RULE, "bar", (), (0.5, 1000.0), (1.0, 600.0), 0.1),
        Dimension("force", _LOAD_SCALE, "bar", (), (0.05, 100_000.0), (1.0, 20_000.0), 0.5),
    )
}
PERCENT = Dimension(
    "percent", Instrument("percent", "%", {"%": 1.0}, "sheet"), "bar", (), (-100.0, 400.0), (-100.0, 400.0), 0.1
)
"""A percentage that a sheet states; nobody here read it from an instrument."""
DAY = Dimension("date", Instrument("calendar", "day", {"day": 1.0}, "calendar"), "bar", (), (0.0, 0.0), (0.0, 0.0), 0.0)
"""A date, held as the number of its day: 1 January of the year 1 is 1."""
INSTRUMENTS: dict[str, Instrument] = {d.instrument.name: d.instrument for d in DIMENSIONS.values()}

_SPELLINGS: dict[str, str] = {
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "inch": "in", "inches": "in", '"': "in", "″": "in",
    "gram": "g", "grams": "g", "gramme": "g", "grammes": "g",
    "kilogram": "kg", "kilograms": "kg", "ounce": "oz", "ounces": "oz",
    "newton": "N", "newtons": "N", "kilonewton": "kN", "kilonewtons": "kN",
    "kp": "kgf", "kilogram-force": "kgf", "pound-force": "lbf", "pounds-force": "lbf",
    "pound": "lb", "pounds": "lb", "lbs": "lb",
    "c": "°C", "degc": "°C", "deg c": "°C", "celsius": "°C", "°c": "°C", "ºc": "°C", "℃": "°C",
    "f": "°F", "degf": "°F", "deg f": "°F", "fahrenheit": "°F", "°f": "°F", "ºf": "°F", "℉": "°F",
    "°c/h": "°C/h", "c/h": "°C/h", "°c per hour": "°C/h", "°c/hr": "°C/h", "k/h": "°C/h",
    "°f/h": "°F/h", "f/h": "°F/h", "°f per hour": "°F/h", "°f/hr": "°F/h",
}  # fmt: skip
_NUMBER_WITH_UNIT = re.compile(r"^\s*([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(\S.*?)?\s*$")
_FRACTION = re.compile(r"^\s*(?:(\d+)[\s-]+)?(\d+)/(\d+)\s*(in|inch|inches|\"|″|”)?\s*$", re.IGNORECASE)
_THOUSANDS_OR_DECIMALS = re.compile(r"^\s*[1-9]\d{0,2},\d{3}(?![\d.,])")


@dataclass(frozen=True)
class Measure:
    """A number as typed, with the unit typed beside it."""

    value: float
    """The number, in the typed unit."""
    unit: str | None
    """Canonical unit, or None when none was typed."""


def canonical_unit(text: str) -> str | None:
    """Return the canonical spelling of a unit, or None when it is not on the closed list.

    >>> canonical_unit("Inches"), canonical_unit("in."), canonical_unit("degC"), canonical_unit("gr")
    ('in', 'in', '°C', None)
    """
    exact = text.strip()
    for unit in (exact, exact.lower(), exact.lower().removesuffix(".")):
        if any(unit in instrument.units for instrument in INSTRUMENTS.values()):
            return unit
    return _SPELLINGS.get(exact.lower().removesuffix("."))


def dimension_of(unit: str | None) -> Dimension | None:
    """Return the dimension that a canonical unit is of, the first one of the table where it serves several.

    >>> found = dimension_of("kg")
    >>> found.name if found else None
    'mass'
    """
    return next((d for d in DIMENSIONS.values() if unit in d.units), None)


def celsius(value: float, unit: str) -> float:
    """Convert a temperature to degrees Celsius.

    >>> celsius(2232, "°F")
    1222.2222222222222
    """
    return value if unit == "°C" else (value - 32.0) * 5.0 / 9.0


def degrees(celsius: float, unit: str) -> float:
    """Convert a temperature in degrees Celsius to ``°C`` or ``°F``.

    >>> degrees(1000, "°F")
    1832.0
    """
    return celsius if unit == "°C" else celsius * 1.8 + 32.0


def on_piece(points: float, unit: str) -> float:
    """Return what percentage points of shrinkage are on the piece on which a shrinkage is shown, in its unit.

    >>> on_piece(0.5, "mm"), on_piece(0.5, "in")
    (1.0, 0.04)
    """
    return points * (PIECE[unit] / 100.0)


def iso_day(number: float) -> str:
    """Return the ISO date of a day by its number, ``""`` where there is none.

    >>> iso_day(739739.0), iso_day(math.nan)
    ('2026-05-03', '')
    """
    return "" if math.isnan(number) else datetime.date.fromordinal(int(number)).isoformat()


def parse_fraction(text: str) -> Measure | None:
    """Read inches as a rule has them, ``7 1/2``, ``8½"`` or ``3/4 in``; None for anything else.

    >>> parse_fraction('4 11/16"'), parse_fraction("8½in").value, parse_fraction("7.5in")
    (Measure(value=4.6875, unit='in'), 8.5, None)
    """
    apart = re.sub("[½¼¾⅛⅜⅝⅞]", lambda sign: " " + unicodedata.normalize("NFKC", sign[0]), text)
    found = _FRACTION.match(apart.replace("\N{FRACTION SLASH}", "/"))
    if found is None or not int(found.group(3)):
        return None
    whole, over, under, unit = found.groups()
    return Measure(int(whole or 0) + int(over) / int(under), "in" if unit else None)


def typed_number(text: str) -> float:
    """Read a number typed with a point or a comma; one whose comma may stand between thousands is in doubt.

    Raises:
        ValueError: it is no number, or two.

    >>> typed_number("0,2"), typed_number("0,125"), in_doubt("1,000"), in_doubt("1,000.5")
    (0.2, 0.125, True, False)
    """
    if in_doubt(text):
        raise ValueError(text)
    return float(text.replace(",", "."))


def in_doubt(text: str) -> bool:
    """Say whether a comma stands before three digits: a thousand in some countries, a decimal in others."""
    return _THOUSANDS_OR_DECIMALS.match(text) is not None


def parse_measure(text: str) -> Measure | None:
    """Read ``12,5 mm`` or ``7.5in``; None when it is no number or the unit is not on the closed list.

    >>> parse_measure("12,5 mm")
    Measure(value=12.5, unit='mm')
    >>> parse_measure("about 12") is None
    True
    """
    found = _NUMBER_WITH_UNIT.match(text)
    if found is None:
        return None
    number, unit = found.groups()
    canonical = canonical_unit(unit) if unit else None
    if unit and canonical is None:
        return None
    return Measure(float(number.replace(",", ".")), canonical)
