"""The columns of the Bars table of a workbook of ours, chosen by the kinds of test."""

from dataclasses import dataclass

from bodytest.quantities import READINGS, Reading
from bodytest.units import LENGTH_IN_MM, MASS_IN_G


@dataclass(frozen=True)
class Units:
    """The units in the headings."""

    length: str = "mm"
    """``mm``, ``cm`` or ``in``."""
    mass: str = "g"
    """``g`` or ``oz``."""
    temperature: str = "°C"
    """``°C`` or ``°F``."""


@dataclass(frozen=True)
class KindsOfTest:
    """Which stages and kinds of test the workbook has columns for."""

    lengths: bool = True
    """Wet, dry and fired length."""
    masses: bool = True
    """Wet, dry, fired and boiled mass."""
    leather_hard: bool = False
    """Leather-hard length."""
    bisque: bool = False
    """Bisque length."""
    cold_soak: bool = False
    """Mass after 24 h in cold water."""
    suspended: bool = False
    """Mass while hanging in water, for porosity and density."""


@dataclass(frozen=True)
class Column:
    """One column of the Bars table."""

    name: str
    """Heading without its unit; also the key of a planned row."""
    heading: str
    """Heading as written."""
    day: str
    """Key of `bodytest.sheet.style.DAYS`."""
    width: float
    """Width in characters."""
    reading: Reading | None = None
    """What is measured there, None for texts and live columns."""


_NAMES = (
    Column("bar", "bar", "which", 8),
    Column("body", "body", "which", 13),
    Column("batch", "batch", "which", 9),
    Column("firing", "firing", "which", 8),
    Column("direction", "direction", "which", 9.5),
    Column("position", "position", "which", 9),
    Column("mark", "mark", "which", 6),
)
_REMARKS = (
    Column("leave out", "leave out", "remarks", 18),
    Column("notes", "notes", "remarks", 26),
)
_LIVE = (
    Column("look again", "look again", "live", 36),
    Column("drying shrinkage", "drying shrinkage (%)", "live", 10),
    Column("firing shrinkage", "firing shrinkage (%)", "live", 10),
    Column("total shrinkage", "total shrinkage (%)", "live", 10),
    Column("absorption", "absorption (%)", "live", 10.5),
)
_DAY_OF_STAGE = {"suspended": "boiled"}
_STAGES = ("wet", "leather-hard", "dry", "bisque", "fired", "cold-soaked", "boiled", "suspended")


def bar_columns(kinds: KindsOfTest, units: Units) -> tuple[Column, ...]:
    """Return the columns from left to right: which bar, day after day of work, remarks, live results."""
    wanted = [r for stage in _STAGES for r in READINGS if r.stage == stage and _is_wanted(r, kinds)]
    live = [c for c in _LIVE if _can_be_live(c.name, kinds)]
    return (*_NAMES, *(_reading_column(r, units) for r in wanted), *_REMARKS, *live)


def entry_limits(reading: Reading, units: Units) -> tuple[float, float]:
    """Return the smallest and largest reading that is taken without a question, in the unit of the heading."""
    if reading.dimension == "length":
        return tuple(round(limit / LENGTH_IN_MM[units.length], 3) for limit in (10.0, 600.0))  # type: ignore[return-value]
    return tuple(round(limit / MASS_IN_G[units.mass], 3) for limit in (1.0, 5000.0))  # type: ignore[return-value]


def unit_of(reading: Reading, units: Units) -> str:
    """Return the unit in which the reading is written."""
    return units.length if reading.dimension == "length" else units.mass


def _reading_column(reading: Reading, units: Units) -> Column:
    heading = f"{reading.heading} ({unit_of(reading, units)})"
    width = 11.5 if len(reading.heading) > 14 else 9.5
    return Column(reading.heading, heading, _DAY_OF_STAGE.get(reading.stage, reading.stage), width, reading)


def _is_wanted(reading: Reading, kinds: KindsOfTest) -> bool:
    optional = {
        "leather_hard_length": kinds.leather_hard,
        "bisque_length": kinds.bisque,
        "cold_soaked_mass": kinds.cold_soak,
        "suspended_mass": kinds.suspended,
    }
    whole_dimension = kinds.lengths if reading.dimension == "length" else kinds.masses
    return whole_dimension and optional.get(reading.key, True)


def _can_be_live(name: str, kinds: KindsOfTest) -> bool:
    if name == "look again":
        return True
    return kinds.masses if name == "absorption" else kinds.lengths
