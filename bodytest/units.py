"""The closed list of units and the numbers people write with them.

A closed list, because a general unit package reads ``gr`` as grain without a word.
"""

import re
from dataclasses import dataclass

LENGTH_IN_MM: dict[str, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}
MASS_IN_G: dict[str, float] = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
TEMPERATURE_UNITS: tuple[str, ...] = ("°C", "°F")

_SPELLINGS: dict[str, str] = {
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "inch": "in", "inches": "in", '"': "in", "″": "in",
    "gram": "g", "grams": "g", "gramme": "g", "grammes": "g",
    "kilogram": "kg", "kilograms": "kg", "ounce": "oz", "ounces": "oz",
    "pound": "lb", "pounds": "lb", "lbs": "lb",
    "c": "°C", "degc": "°C", "deg c": "°C", "celsius": "°C", "°c": "°C", "ºc": "°C", "℃": "°C",
    "f": "°F", "degf": "°F", "deg f": "°F", "fahrenheit": "°F", "°f": "°F", "ºf": "°F", "℉": "°F",
}  # fmt: skip
_NUMBER_WITH_UNIT = re.compile(r"^\s*([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(\S.*?)?\s*$")


@dataclass(frozen=True)
class Measure:
    """A number as typed, with the unit typed beside it."""

    value: float
    """The number, in the typed unit."""
    unit: str | None
    """Canonical unit, or None when none was typed."""


def canonical_unit(text: str) -> str | None:
    """Return the canonical spelling of a unit, or None when it is not on the closed list.

    >>> canonical_unit("Inches"), canonical_unit("degC"), canonical_unit("gr")
    ('in', '°C', None)
    """
    plain = text.strip().lower()
    if plain in LENGTH_IN_MM or plain in MASS_IN_G:
        return plain
    return _SPELLINGS.get(plain)


def millimetres(value: float, unit: str) -> float:
    """Convert a length to millimetres.

    >>> millimetres(7.5, "in")
    190.5
    """
    return value * LENGTH_IN_MM[unit]


def grams(value: float, unit: str) -> float:
    """Convert a mass to grams (international avoirdupois pound 0.45359237 kg).

    >>> round(grams(3, "lb"), 2)
    1360.78
    """
    return value * MASS_IN_G[unit]


def celsius(value: float, unit: str) -> float:
    """Convert a temperature to degrees Celsius.

    >>> celsius(2232, "°F")
    1222.2222222222222
    """
    return value if unit == "°C" else (value - 32.0) * 5.0 / 9.0


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
