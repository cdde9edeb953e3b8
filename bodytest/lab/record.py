"""The record that stands beside each lab function, and from which everything that is told of the quantity is made."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from bodytest.lab.expression import SYMBOLS, WORDS, Expression, Slopes, Symbol
from bodytest.lab.ratio import FloatArray
from bodytest.lab.soaking import soaking
from bodytest.units import PERCENT, Dimension

PRACTICE = "common practice, no source"
STAGES = ("wet", "leather-hard", "dry", "bisque", "fired", "cold-soaked", "boiled", "suspended", "broken")
"""Stages at which a bar is read, in the order of work."""
BEFORE_FIRING = frozenset(STAGES[:3])
"""Stages that no firing can change."""
SOAKED = frozenset(STAGES[5:8])
"""Stages that depend on how the bar was filled with water."""


@dataclass(frozen=True, eq=False)
class Reading:
    """One measured column of the Bars table."""

    key: str
    """Name in code, e.g. ``wet_length``."""
    heading: str
    """Heading in the workbook without its unit, e.g. ``wet length``."""
    dimension: Dimension
    """What kind of number it is."""
    stage: str
    """Stage of the bar when it is read, one of `STAGES`."""
    symbol: str
    """Symbol used in formulas."""
    spellings: tuple[str, ...] = ()
    """Other headings of the trade, beside those made of the stage and the dimension's words."""
    hint: str = ""
    """What the blank workbook says beside the cell; ``{unit}`` stands for the unit of the heading."""
    set_alike: bool = False
    """Whether a template, a mould or the apparatus sets it, so that it may be the same for every bar."""

    @property
    def column(self) -> str:
        """Name of the column in the checked tables, with the unit it is held in."""
        return f"{self.key}_{self.dimension.unit.lower()}".replace("%", "percent")

    @property
    def words(self) -> str:
        """How it is written in a formula in words."""
        return self.heading

    @property
    def of_mark(self) -> bool:
        """Whether it is measured for each mark; else once for the bar."""
        return self.dimension.per == "mark"


@dataclass(frozen=True)
class Condition:
    """A number of the Lab table that enters a formula and is taken as exact."""

    key: str
    """Key under which its values are given."""
    symbol: str
    """Symbol used in formulas."""
    words: str
    """How it is written in a formula in words."""
    usual: float
    """Value where none is given."""


@dataclass(frozen=True, eq=False)
class Choice:
    """A text column of the Bars table that says how a bar was tested."""

    key: str
    """Name in code and in the checked tables."""
    heading: str
    """Heading in the workbook."""
    options: tuple[str, ...]
    """What may stand there."""
    ends: Mapping[str, frozenset[str]]
    """Option → stages at which a bar that was tested so is never read."""
    spellings: tuple[str, ...] = ()
    """Other headings of the trade."""


@dataclass(frozen=True)
class Order:
    """One reading that is never above another one of the same bar."""

    larger: Reading
    """The reading that is the larger one."""
    smaller: Reading
    """The reading that is never above it."""
    phrase: str = ""
    """What the blank workbook says at once when it is broken; nothing when empty."""
    code: str = ""
    """Finding when it is broken; only the blank workbook speaks of it when empty."""
    strict: bool = False
    """Is equality impossible too, and no reading uncertainty allowed for?"""
    not_when: str | None = None
    """Forming of bars that it does not hold for."""
    slack: float = 0.0
    """Share by which the blank workbook, which does not know the reading step, lets it be broken."""

    @property
    def at(self) -> Reading:
        """The one that is read later, whose cell is named first."""
        return max(self.larger, self.smaller, key=lambda reading: STAGES.index(reading.stage))


@dataclass(frozen=True, eq=False)
class Way:
    """A function and what it is computed from."""

    function: Callable[..., Any]
    """Function of `bodytest.lab`."""
    inputs: "tuple[Reading | Condition | Quantity, ...]"
    """Its arguments in their order."""

    @cached_property
    def shown(self) -> Expression:
        """The formula as people write it: other quantities by their name."""
        traced: Expression = self.function(*(_symbol(part) for part in self.inputs))
        return traced

    @cached_property
    def expression(self) -> Expression:
        """The formula down to the readings."""
        traced: Expression = self.function(
            *(p.ways[0].expression if isinstance(p, Quantity) else _symbol(p) for p in self.inputs)
        )
        return traced

    @cached_property
    def needs(self) -> tuple[str, ...]:
        """Keys of the readings."""
        return tuple(dict.fromkeys(r.key for part in self.inputs for r in _readings(part)))

    def value(self, readings: Mapping[str, npt.ArrayLike]) -> FloatArray:
        """Return the value [unit of the quantity]."""
        return np.asarray(self.function(*(_value(part, readings) for part in self.inputs)), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Quantity:
    """One quantity of a bar, as computed, checked, shown and exported."""

    key: str
    """Name in results documents and code."""
    name: str
    """Name for people."""
    symbol: str
    """Symbol used in formulas."""
    unit: str
    """``%``, ``g/cm³``, ``MPa`` or ``""`` for a ratio."""
    ways: tuple[Way, ...]
    """How it is computed; the first way whose readings are all there."""
    basis: str
    """What the percentage is taken of."""
    source: str
    """Standard, clause, or ``common practice, no source``; ``{method}`` stands for that of the absorption method."""
    plausible: tuple[float, float]
    """Values outside only ask (soft limits)."""
    plausible_source: str
    """Where the soft limits come from."""
    possible: tuple[float, float]
    """Values outside cannot be true and are not used (hard limits)."""
    possible_source: str
    """Where the hard limits come from."""
    orders: tuple[Order, ...] = ()
    """Which of its readings is never above which."""
    plausible_by: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Forming → its own soft limits (common practice, no source)."""
    checks: "tuple[Quantity, ...]" = ()
    """Values that are not reported, whose limits tell whether it was measured soundly."""
    when: tuple[Choice, str] | None = None
    """Column of the bar, and what has to stand there."""
    methods: tuple[str, ...] = ()
    """Absorption methods that it needs one of, ``""`` for none stated; empty where any will do."""
    digits: int = 1
    """Decimals shown where no uncertainty says better."""
    live: bool = False
    """Does the blank workbook show it at once?"""
    told_as_length: bool = False
    """Is it a change of length, so that percentage points are millimetres on a piece?"""
    remark: str = ""
    """What follows the formula in words."""

    @cached_property
    def needs(self) -> tuple[str, ...]:
        """Keys of the readings that it is computed from, by whichever way."""
        return tuple(r.key for r in self.readings)

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """The readings that it is computed from."""
        return tuple(dict.fromkeys(r for way in self.ways for part in way.inputs for r in _readings(part)))

    @cached_property
    def words(self) -> str:
        """How it is written in the formula of another quantity."""
        return self.name[0].lower() + self.name[1:]

    @cached_property
    def formula(self) -> str:
        """Formula in words, with the headings of the workbook."""
        return "; or ".join(way.shown.text(WORDS) for way in self.ways) + self.remark

    @cached_property
    def symbols(self) -> str:
        """Formula in symbols."""
        return f"{self.symbol} = " + " or ".join(way.shown.text(SYMBOLS) for way in self.ways)

    @cached_property
    def base(self) -> str:
        """Key of the reading that it is a percentage of, or of the first one that it needs."""
        divisors = self.ways[0].expression.denominators()
        return next((d.key for d in divisors if isinstance(d, Symbol)), self.needs[0])

    @cached_property
    def stated(self) -> Reading:
        """The column in which a sheet states it of a bar without the readings for it.

        >>> from bodytest.lab.shrinkage import TOTAL_SHRINKAGE
        >>> TOTAL_SHRINKAGE.stated.column, TOTAL_SHRINKAGE.stated.stage
        ('stated_total_shrinkage_percent', 'fired')
        """
        stage = max((reading.stage for reading in self.readings), key=STAGES.index)
        return Reading(f"stated_{self.key}", f"stated {self.live_heading}", PERCENT, stage, self.symbol)

    @property
    def live_heading(self) -> str:
        """Heading without a unit in the blank workbook, where it is shown at once."""
        return self.key.replace("_", " ")

    @property
    def needs_firing(self) -> bool:
        """Whether only fired bars have it."""
        if self.when is not None:
            choice, option = self.when
            return "fired" not in choice.ends.get(option, ())
        return any(r.stage not in BEFORE_FIRING for r in self.readings)

    @property
    def by_direction(self) -> bool:
        """Whether it depends on the direction in which the marks lie."""
        return any(r.of_mark for r in self.readings)

    @property
    def by_soaking(self) -> bool:
        """Whether it depends on how the bars were filled with water."""
        return any(r.stage in SOAKED for r in self.readings)

    def plausible_of(self, forming: str) -> tuple[float, float]:
        """Return the soft limits of bars formed in one way."""
        return self.plausible_by.get(forming, self.plausible)

    def source_by(self, method: str | None) -> str:
        """Return the source for bars filled with water by the absorption method of that name."""
        return self.source.format(method=soaking(method).source)

    def value(self, readings: Mapping[str, npt.ArrayLike]) -> FloatArray:
        """Return the value of each bar [unit], NaN where a reading is missing."""
        first, *others = (way.value(readings) for way in self.ways)
        for other in others:
            first = np.where(np.isnan(first), other, first)
        return first

    def slopes(self, readings: Mapping[str, npt.ArrayLike]) -> Slopes:
        """Return the derivative by each reading [unit per unit of the reading], by the way that is taken."""
        if len(self.ways) == 1:
            return self.ways[0].expression.with_slopes(readings)[1]
        total: Slopes = {}
        open_: npt.NDArray[np.bool_] = np.ones((), dtype=bool)
        for way in self.ways:
            value, slopes = way.expression.with_slopes(readings)
            taken = open_ & ~np.isnan(value)
            open_ = open_ & ~taken
            for key, slope in slopes.items():
                total[key] = total.get(key, np.zeros(())) + np.where(taken, slope, 0.0)
        return {key: np.where(open_, np.nan, slope) for key, slope in total.items()}


def _symbol(part: Reading | Condition | Quantity) -> Symbol:
    return Symbol(part.key, part.symbol, part.words, part.usual if isinstance(part, Condition) else None)


def _readings(part: Reading | Condition | Quantity) -> tuple[Reading, ...]:
    if isinstance(part, Quantity):
        return part.readings
    return (part,) if isinstance(part, Reading) else ()


def _value(part: Reading | Condition | Quantity, readings: Mapping[str, npt.ArrayLike]) -> npt.ArrayLike:
    if isinstance(part, Quantity):
        return part.value(readings)
    return readings.get(part.key, part.usual) if isinstance(part, Condition) else readings[part.key]
