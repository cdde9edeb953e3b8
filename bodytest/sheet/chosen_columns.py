"""The columns of the Bars table of a workbook of ours, chosen by the kinds of test."""

from collections.abc import Iterator
from dataclasses import dataclass

from bodytest.lab.record import STAGES, Quantity, Reading
from bodytest.quantities import DATES, QUANTITIES, QUANTITY_BY_KEY, READINGS
from bodytest.sheet.live_formulas import can_be_live
from bodytest.units import INSTRUMENTS, Instrument


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
    quantities: tuple[str, ...] = ()
    """Keys of further quantities; the workbook has columns for all that they need."""
    dates: bool = False
    """The day on which each stage was measured."""


NEEDED = {"leather_hard": "lengths", "bisque": "lengths", "cold_soak": "masses", "suspended": "masses"}
"""Kind of test → the kind that it is computed with."""


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
    quantity: Quantity | None = None
    """What is shown there at once, None elsewhere."""
    options: tuple[str, ...] = ()
    """What may be chosen there; empty where anything may stand."""
    is_date: bool = False
    """Does the day of measuring stand there?"""


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
_LOOK_AGAIN = Column("look again", "look again", "live", 36)
_DAY_OF_STAGE = {"suspended": "boiled"}


def bar_columns(kinds: KindsOfTest, units: Units) -> tuple[Column, ...]:
    """Return the columns from left to right: which bar, day after day of work, remarks, live results."""
    wanted = wanted_readings(kinds)
    headings = {reading.heading for reading in wanted}
    live = [_live_column(q) for q in QUANTITIES if q.live and any(can_be_live(way, headings) for way in q.ways)]
    choices = dict.fromkeys(q.when[0] for key in kinds.quantities if (q := QUANTITY_BY_KEY[key]).when)
    chosen = [Column(c.heading, c.heading, "broken", 9.5, options=c.options) for c in choices]
    return (*_NAMES, *_of_stages(wanted, kinds, units), *chosen, *_REMARKS, _LOOK_AGAIN, *live)


def _of_stages(wanted: list[Reading], kinds: KindsOfTest, units: Units) -> Iterator[Column]:
    """Yield the columns of the readings, before those of each stage the one of its date where that is wanted."""
    dates = {date.stage: date for date in DATES} if kinds.dates else {}
    for reading in wanted:
        if date := dates.pop(reading.stage, None):
            yield Column(date.heading, date.heading, date.stage, 11.5, is_date=True)
        yield _reading_column(reading, units)


def wanted_readings(kinds: KindsOfTest) -> list[Reading]:
    """Return the readings that the workbook has columns for, in the order of work."""
    return [r for stage in STAGES for r in READINGS if r.stage == stage and _is_wanted(r, kinds)]


def instruments_used(kinds: KindsOfTest) -> list[Instrument]:
    """Return the rule and the balance, and every other instrument that a column needs."""
    needed = {reading.dimension.instrument for reading in READINGS if _is_wanted(reading, kinds)}
    return [one for one in INSTRUMENTS.values() if one.name in ("length", "mass") or one in needed]


def entry_limits(reading: Reading, units: Units) -> tuple[float, float]:
    """Return the smallest and largest reading that is taken without a question, in the unit of the heading."""
    in_unit = reading.dimension.units[unit_of(reading, units)]
    low, high = (round(limit / in_unit, 3) for limit in reading.dimension.taken)
    return low, high


def unit_of(reading: Reading, units: Units) -> str:
    """Return the unit in which the reading is written."""
    unit: str = getattr(units, reading.dimension.instrument.name, reading.dimension.unit)
    return unit


def _reading_column(reading: Reading, units: Units) -> Column:
    heading = f"{reading.heading} ({unit_of(reading, units)})"
    width = 11.5 if len(reading.heading) > 14 else 9.5
    return Column(reading.heading, heading, _DAY_OF_STAGE.get(reading.stage, reading.stage), width, reading)


def _live_column(quantity: Quantity) -> Column:
    heading = quantity.live_heading
    width = max(10, max(map(len, heading.split())) + 0.5)
    return Column(heading, f"{heading} ({quantity.unit})" if quantity.unit else heading, "live", width, None, quantity)


def _is_wanted(reading: Reading, kinds: KindsOfTest) -> bool:
    optional = {
        "leather_hard_length": kinds.leather_hard,
        "bisque_length": kinds.bisque,
        "cold_soaked_mass": kinds.cold_soak,
        "suspended_mass": kinds.suspended,
    }
    whole_kind = {"length": kinds.lengths, "mass": kinds.masses}.get(reading.dimension.name, False)
    asked_for = any(reading.key in QUANTITY_BY_KEY[key].needs for key in kinds.quantities)
    return asked_for or (whole_kind and optional.get(reading.key, True))
