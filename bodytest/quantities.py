"""The one table of readings and quantities; headings, checks, schema, report and docs are made from it.

A *reading* is what stands in a cell of the Bars table; a *quantity* is what is computed from readings.
"""

from dataclasses import dataclass
from typing import Literal

Dimension = Literal["length", "mass"]


@dataclass(frozen=True)
class Reading:
    """One measured column of the Bars table."""

    key: str
    """Name in code, e.g. ``wet_length``."""
    heading: str
    """Heading in the workbook without its unit, e.g. ``wet length``."""
    dimension: Dimension
    """``length`` (held in mm) or ``mass`` (held in g)."""
    stage: str
    """Stage of the bar when it is read: wet, leather-hard, dry, bisque, fired, cold-soaked, boiled, suspended."""

    @property
    def column(self) -> str:
        """Name of the column in the checked tables, with the unit it is held in."""
        return f"{self.key}_{'mm' if self.dimension == 'length' else 'g'}"


READINGS: tuple[Reading, ...] = (
    Reading("wet_length", "wet length", "length", "wet"),
    Reading("leather_hard_length", "leather-hard length", "length", "leather-hard"),
    Reading("dry_length", "dry length", "length", "dry"),
    Reading("bisque_length", "bisque length", "length", "bisque"),
    Reading("fired_length", "fired length", "length", "fired"),
    Reading("wet_mass", "wet mass", "mass", "wet"),
    Reading("dry_mass", "dry mass", "mass", "dry"),
    Reading("fired_mass", "fired mass", "mass", "fired"),
    Reading("cold_soaked_mass", "cold-soaked mass", "mass", "cold-soaked"),
    Reading("boiled_mass", "boiled mass", "mass", "boiled"),
    Reading("suspended_mass", "suspended mass", "mass", "suspended"),
)
LENGTHS: tuple[Reading, ...] = tuple(r for r in READINGS if r.dimension == "length")
MASSES: tuple[Reading, ...] = tuple(r for r in READINGS if r.dimension == "mass")
READING_BY_KEY: dict[str, Reading] = {r.key: r for r in READINGS}


@dataclass(frozen=True)
class Quantity:
    """One quantity of a bar, as computed, shown and exported."""

    key: str
    """Name in results documents and code."""
    name: str
    """Name for people."""
    symbol: str
    """Symbol used in formulas."""
    unit: str
    """``%``, ``g/cm³`` or ``""`` for a ratio."""
    formula: str
    """Formula in words, with the headings of the workbook."""
    basis: str
    """What the percentage is taken of."""
    source: str
    """Standard, clause, or ``common practice, no source``."""
    needs: tuple[str, ...]
    """Keys of the readings that it is computed from."""
    plausible: tuple[float, float]
    """Values outside only ask (soft limits)."""
    plausible_source: str
    """Where the soft limits come from."""
    digits: int
    """Decimals shown where no uncertainty says better."""


_CLASS_NOTES = "published class notes, low authority; limits widened, soft"
_PRACTICE = "common practice, no source"

# fmt: off
QUANTITIES: tuple[Quantity, ...] = (
    Quantity(
        "leather_hard_shrinkage", "Shrinkage to leather-hard", "S_l", "%",
        "100 × (wet length − leather-hard length) / wet length",
        "wet length", _PRACTICE,
        ("wet_length", "leather_hard_length"), (-0.5, 12.0), _PRACTICE, 1,
    ),
    Quantity(
        "drying_shrinkage", "Drying shrinkage", "S_d", "%",
        "100 × (wet length − dry length) / wet length",
        "wet length", "ASTM C326",
        ("wet_length", "dry_length"), (0.0, 15.0), _CLASS_NOTES, 1,
    ),
    Quantity(
        "bisque_shrinkage", "Shrinkage from dry to bisque", "S_b", "%",
        "100 × (dry length − bisque length) / dry length",
        "dry length", _PRACTICE,
        ("dry_length", "bisque_length"), (-2.0, 10.0), _PRACTICE, 1,
    ),
    Quantity(
        "firing_shrinkage", "Firing shrinkage", "S_f", "%",
        "100 × (dry length − fired length) / dry length",
        "dry length", "ASTM C326",
        ("dry_length", "fired_length"), (-2.0, 18.0), _CLASS_NOTES, 1,
    ),
    Quantity(
        "total_shrinkage", "Total linear shrinkage", "S_t", "%",
        "100 × (wet length − fired length) / wet length",
        "wet length", "ASTM C326",
        ("wet_length", "fired_length"), (0.0, 25.0), _CLASS_NOTES, 1,
    ),
    Quantity(
        "total_volume_shrinkage", "Total volume shrinkage", "V_t", "%",
        "100 × (1 − (1 − total linear shrinkage / 100)³), the same in every direction",
        "wet volume", "geometry; isotropic shrinkage assumed",
        ("wet_length", "fired_length"), (0.0, 58.0), _CLASS_NOTES, 1,
    ),
    Quantity(
        "water_of_plasticity", "Water of plasticity", "W", "%",
        "100 × (wet mass − dry mass) / dry mass",
        "dry mass", "Bell, Florida State Geological Survey 15th Annual Report (1923), p. 100",
        ("wet_mass", "dry_mass"), (8.0, 60.0), _PRACTICE, 1,
    ),
    Quantity(
        "loss_on_ignition", "Loss on ignition", "LOI", "%",
        "100 × (dry mass − fired mass) / dry mass",
        "dry mass", _PRACTICE,
        ("dry_mass", "fired_mass"), (0.0, 20.0), "prepared bodies 4–9 %, calcareous 10–18 % (from memory)", 1,
    ),
    Quantity(
        "absorption", "Water absorption", "A", "%",
        "100 × (boiled mass − fired mass) / fired mass",
        "dry fired mass", "ASTM C373; ISO 10545-3",
        ("fired_mass", "boiled_mass"), (-0.1, 30.0), _PRACTICE, 1,
    ),
    Quantity(
        "cold_absorption", "Cold-soak absorption", "A_c", "%",
        "100 × (cold-soaked mass − fired mass) / fired mass",
        "dry fired mass", "ASTM C67",
        ("fired_mass", "cold_soaked_mass"), (-0.1, 30.0), _PRACTICE, 1,
    ),
    Quantity(
        "saturation_coefficient", "Saturation coefficient", "C/B", "",
        "cold-soak absorption / absorption",
        "24 h cold soak over 5 h boil", "ASTM C67",
        ("fired_mass", "cold_soaked_mass", "boiled_mass"), (0.0, 1.1), _PRACTICE, 2,
    ),
    Quantity(
        "apparent_porosity", "Apparent porosity", "P", "%",
        "100 × (boiled mass − fired mass) / (boiled mass − suspended mass)",
        "exterior volume", "ASTM C373",
        ("fired_mass", "boiled_mass", "suspended_mass"), (-0.3, 55.0), _PRACTICE, 1,
    ),
    Quantity(
        "bulk_density", "Bulk density", "B", "g/cm³",
        "water density × fired mass / (boiled mass − suspended mass)",
        "exterior volume", "ASTM C373; water density: Tanaka et al. 2001, Metrologia 38, 301",
        ("fired_mass", "boiled_mass", "suspended_mass"), (1.0, 3.2), _PRACTICE, 2,
    ),
    Quantity(
        "apparent_specific_gravity", "Apparent specific gravity", "T", "",
        "fired mass / (fired mass − suspended mass)",
        "solid and closed pores", "ASTM C373",
        ("fired_mass", "suspended_mass"), (1.5, 3.6), _PRACTICE, 2,
    ),
)
# fmt: on
QUANTITY_BY_KEY: dict[str, Quantity] = {q.key: q for q in QUANTITIES}

ABSORPTION_METHODS: tuple[str, ...] = (
    "boil 5 h and soak 24 h",
    "boil 2 h and soak 4 h",
    "vacuum",
    "cold soak 24 h",
    "other",
)
