"""Sizes, capacities and masses as users type them: a number with its unit, perhaps a name in front."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from bodytest.errors import UnusableRequest
from bodytest.units import LENGTH_IN_MM, MASS_IN_G, in_doubt, parse_fraction, parse_measure

Kind = Literal["length", "capacity", "mass"]
VOLUME_IN_ML = {"ml": 1.0, "cl": 10.0, "l": 1000.0, "cm3": 1.0, "cm³": 1.0, "cc": 1.0, "in3": 16.387064}
"""Capacities; a fluid ounce is not among them because there are two of different size."""
_UNITS: dict[Kind, dict[str, float]] = {"length": LENGTH_IN_MM, "capacity": VOLUME_IN_ML, "mass": MASS_IN_G}
_EXAMPLES: dict[Kind, str] = {"length": "200mm, 20cm or 7.5in", "capacity": "350ml or 1.2l", "mass": "800g or 2lb"}
_OPTION_OF: dict[Kind, str] = {"length": "as a size", "capacity": "with --capacity", "mass": "with --mass"}
_BASE_UNITS: dict[Kind, str] = {"length": "mm", "capacity": "ml", "mass": "g"}
_LEAST, _MOST = 0.001, 1e6
"""Between these every measure lies, in its base unit: nobody makes more than a kilometre, a cubic metre or a tonne."""


@dataclass(frozen=True)
class Asked:
    """One measure as typed."""

    value: float
    """In mm, ml or g."""
    unit: str
    """Unit typed, as on the closed lists."""
    text: str
    """As typed, without the name."""
    name: str | None = None
    """Name typed in front: ``height=200mm``."""


def parse_size(text: str) -> Asked:
    """Return a size in mm: ``200mm``, ``7,5 in``, ``8 1/2in``, ``height=20 cm``."""
    return parse_as("length", text)


def parse_sizes(texts: Iterable[str]) -> tuple[Asked, ...]:
    """Return sizes typed in a row; behind a unit a comma begins the next one.

    >>> [one.value for one in parse_sizes(["92mm,7,5 in", "20cm"])]
    [92.0, 190.5, 200.0]
    """
    return tuple(parse_size(part) for text in texts for part in _BEHIND_A_UNIT.split(text) if part.strip())


_BEHIND_A_UNIT = re.compile(r"(?<=[^\W\d_])\s*[,;]\s*|\s*;\s*")


def parse_as(kind: Kind, text: str) -> Asked:
    """Return a size in mm, a capacity in ml or a mass in g.

    >>> parse_as("length", "height=7.5in"), parse_as("capacity", "1.5 l").value
    (Asked(value=190.5, unit='in', text='7.5in', name='height'), 1500.0)

    Raises:
        UnusableRequest: no number, no or another unit, not above zero, or beyond clay.
    """
    name, _, measure = text.rpartition("=")
    number, unit = _split(measure)
    words = {"value": text, "kind": _KIND_WORDS[kind], "example": _EXAMPLES[kind]}
    if number is None:
        raise UnusableRequest("measure-no-number", **words)
    if unit in {"", None}:
        raise UnusableRequest("measure-no-unit", **words)
    for other, units in _UNITS.items():
        if unit in units and other != kind:
            raise UnusableRequest("measure-of-another-kind", **words, other=other, option=_OPTION_OF[other])
    if unit not in _UNITS[kind]:
        raise UnusableRequest("measure-unknown-unit", **words, unit=unit, units=", ".join(_UNITS[kind]))
    if in_doubt(measure):
        large = number * 1000.0
        raise UnusableRequest("measure-in-doubt", **words, small=f"{number:g}", large=f"{large:.0f}", unit=unit)
    converted = number * _UNITS[kind][unit]
    if not converted > 0.0:
        raise UnusableRequest("measure-not-positive", **words)
    if not _LEAST <= converted <= _MOST:
        raise UnusableRequest("measure-beyond-clay", **words, low=_LEAST, high=f"{_MOST:.0f}", unit=_BASE_UNITS[kind])
    return Asked(converted, unit, measure.strip(), name.strip() or None)


_KIND_WORDS: dict[Kind, str] = {"length": "size", "capacity": "capacity", "mass": "mass"}


def _split(measure: str) -> tuple[float | None, str | None]:
    """Return number and unit; the unit as typed where it is on no list."""
    known = parse_fraction(measure) or parse_measure(measure)
    if known is not None:
        return known.value, known.unit
    found = _NUMBER_AND_WORD.match(measure)
    bare = parse_measure(found.group(1)) if found else None
    if found is None or bare is None:
        return None, None
    spelled = _VOLUME_SPELLINGS.get(found.group(2).lower(), found.group(2).lower())
    return bare.value, spelled if spelled in VOLUME_IN_ML else found.group(2)


_NUMBER_AND_WORD = re.compile(r"^\s*([+-]?[\d.,]*\d[.,]?(?:[eE][+-]?\d+)?)\s*([^\d\s.,].*?)\s*$")
_VOLUME_SPELLINGS = {
    "litre": "l", "litres": "l", "liter": "l", "liters": "l", "millilitre": "ml", "millilitres": "ml",
    "milliliter": "ml", "milliliters": "ml", "cu in": "in3", "in³": "in3",
}  # fmt: skip


def parse_percentage(text: str) -> float:
    """Return per cent, typed with or without its sign, as a fraction.

    Raises:
        UnusableRequest: it is no number.

    >>> parse_percentage("97.5 %"), parse_percentage("90")
    (0.975, 0.9)
    """
    try:
        return float(text.strip().removesuffix("%").replace(",", ".")) / 100.0
    except ValueError:
        raise UnusableRequest("no-percentage", value=text) from None
