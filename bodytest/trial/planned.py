"""All questions together → one plan: loads with their bars, each at a place drawn by lot, clay, and a calendar."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from bodytest.errors import UnusableRequest
from bodytest.lab.soaking import soaking
from bodytest.sheet.bar_codes import bar_letters
from bodytest.trial.bar_size import BarSize
from bodytest.trial.needs import needs_of
from bodytest.trial.promise import Need
from bodytest.trial.question import FIRED_SHARE, Heat, Kiln, Question

_DRYING_DAYS = 7


@dataclass(frozen=True)
class Step:
    """What is done on a day, or for some days."""

    first_day: int
    """Counted from the day of wedging, 1."""
    last_day: int
    """The same as the first where it is done in a day."""
    what: str
    """What is done."""


def _steps(question: Question, loads: "Sequence[PlannedLoad]") -> Iterator[Step]:
    """Yield the days of a test; drying takes about a week, a load two days (common practice, no source)."""
    readings = " and ".join([*(["measure"] if question.measures else ()), *(["weigh"] if question.weighs else ())])
    marked = ", set the marks" if question.measures else ""
    yield Step(1, 1, f"wedge, make and cut bars, scratch in their codes{marked}, {readings} at once (wet)")
    dry = 1 + _DRYING_DAYS
    yield Step(2, dry, "dry slowly in air, turn the bars")
    yield Step(dry, dry + 1, "oven below 90 °C, then 105–110 °C overnight until two weighings agree")
    yield Step(dry + 1, dry + 1, f"let cool, {readings} (dry)")
    day = dry + 2
    days = 2 * len(loads)
    codes = loads[0].code if len(loads) == 1 else f"{loads[0].code} to {loads[-1].code}, two days each"
    yield Step(day, day + days - 1, f"fire {codes}; let cool, {readings} (fired)")
    day += days
    if question.weighs:
        method = soaking(question.method)
        yield Step(day, day + method.days, f"{method.done or question.method}; blot, weigh at once (boiled)")
        day += method.days + 1
    yield Step(day, day, "check the sheet, make the report")


_GAP_MM = 10.0
"""Room beside each bar; common practice, no source."""
CONTROL_BARS = 3
"""Bars of the control body in each load; common practice, no source."""
_LIGHTEST_G = 50.0
"""Mass of a bar that ASTM C373 asks for."""
_MOST_ZONES = 8
"""Kiln positions that a report compares."""


@dataclass(frozen=True)
class PlannedBar:
    """One bar."""

    code: str
    """Scratched in."""
    body: str
    """Name of the body."""
    batch: str
    """Batch of clay."""
    load: str
    """Code of its load."""
    position: str
    """Part of the kiln, as it stands in the sheet."""
    place: str
    """Its very place, counted from the front left."""


@dataclass(frozen=True)
class PlannedLoad:
    """One load of the kiln."""

    code: str
    """As on the Firings table."""
    heat: Heat
    """What it is fired to."""
    purpose: str
    """final or test."""
    bars: tuple[tuple[str, str, int], ...]
    """Body, batch and number of its bars."""
    places: int
    """Bars that the kiln has room for."""

    @property
    def count(self) -> int:
        """Return how many bars stand in it."""
        return sum(count for _, _, count in self.bars)


@dataclass(frozen=True)
class Clay:
    """Clay to wedge of one body."""

    body: str
    """Name of the body."""
    bars: int
    """Bars to make, spare ones among them."""
    wet_kg: float
    """Wet clay for them, kg; trimmings come on top."""


@dataclass(frozen=True)
class Plan:
    """The whole answer."""

    question: Question
    """What was asked."""
    needs: tuple[Need, ...]
    """What each question takes, and what to expect."""
    loads: tuple[PlannedLoad, ...]
    """Loads in the order of firing."""
    bars: tuple[PlannedBar, ...]
    """Bars without the spare ones."""
    clay: tuple[Clay, ...]
    """Clay to wedge."""
    steps: tuple[Step, ...]
    """What is done on which day."""
    notes: tuple[str, ...]
    """What to bear in mind, in sentences."""


def plan(question: Question) -> Plan:
    """Return the plan that answers a question.

    Raises:
        UnusableRequest: no such test answers it, or its bars do not fit the kiln.
    """
    needs = needs_of(question)
    places = places_of(question.kiln, question.bar)
    loads = tuple(_loads(question, needs, len(places)))
    for load in loads:
        if load.count > len(places):
            raise UnusableRequest(
                "plan-no-room", value=load.count, bar=question.bar.words, places=len(places), load=load.code
            )
    bars = tuple(_bars(question, loads, places))
    bodies = list(dict.fromkeys(bar.body for bar in bars))
    clay = tuple(clay_for(body, sum(bar.body == body for bar in bars), question) for body in bodies)
    return Plan(question, needs, loads, bars, clay, tuple(_steps(question, loads)), tuple(_notes(question)))


def clay_for(body: str, bars: int, question: Question) -> Clay:
    """Return bars to make of a body, with the spare ones, and the clay for them.

    >>> clay = clay_for("Drift Buff", 60, Question("Drift Buff", (), Kiln(())))
    >>> clay.bars, f"{clay.wet_kg:.1f}"
    (66, '8.0')
    """
    made = bars + math.ceil(round(bars * question.spare, 9))
    return Clay(body, made, made * question.wet_g / 1000.0)


def places_of(kiln: Kiln, bar: BarSize) -> list[tuple[str, str]]:
    """Return part of the kiln and very place of each bar that there is room for, from the front left.

    >>> places = places_of(Kiln(()), BarSize())
    >>> len(places), places[0], places[-1]
    (24, ('shelf 1 front', 'row 1, place 1'), ('shelf 1 back', 'row 3, place 8'))
    """
    width, depth = kiln.shelf_mm
    across, along = bar.width + _GAP_MM, bar.length + _GAP_MM
    columns, rows = max(
        ((int(width // side), int(depth // other)) for side, other in ((across, along), (along, across))),
        key=lambda one: one[0] * one[1],
    )
    by_half = 2 * kiln.shelves <= _MOST_ZONES and rows > 1
    return [
        (
            f"shelf {shelf} {'front' if row <= rows // 2 else 'back'}" if by_half else f"shelf {shelf}",
            f"row {row}, place {column}",
        )
        for shelf in range(1, kiln.shelves + 1)
        for row in range(1, rows + 1)
        for column in range(1, columns + 1)
    ]


def _loads(question: Question, needs: Sequence[Need], places: int) -> Iterator[PlannedLoad]:
    """Yield the loads of the ware's firing, or those of a firing range, coolest first."""
    loads = max(need.loads for need in needs)
    heats = [heat for heat in needs[0].heats for _ in range(loads)]
    purpose = "test" if "range" in question.goals else "final"
    control = [(question.control_body, "control", CONTROL_BARS)] if question.control_body else []
    for at, heat in enumerate(heats):
        number = 0 if question.one_batch or purpose == "test" else at
        own = [(question.body, batch, count) for batch, count in _bars_of_load(needs, at % loads, number)]
        yield PlannedLoad(f"F{at + 1}", heat, purpose, (*own, *control), places)


def _bars_of_load(needs: Sequence[Need], at: int, number: int) -> list[tuple[str, int]]:
    """Return batches and their bars in one of the loads; ``number`` is that of its batch."""
    last = [("last delivery", need.bars) for need in needs if need.goal == "same" and at == 0]
    compared = any(need.goal == "same" for need in needs) and number == 0
    batch = "new delivery" if compared else f"batch {number + 1}"
    return [(batch, max(need.bars for need in needs if need.loads > at)), *last]


def _bars(question: Question, loads: Sequence[PlannedLoad], places: Sequence[tuple[str, str]]) -> Iterator[PlannedBar]:
    draw = np.random.default_rng(question.seed)
    letters: dict[str, str] = {}
    made: dict[str, int] = {}
    for load in loads:
        drawn = iter(draw.permutation(len(places))[: load.count].tolist())
        for body, batch, count in load.bars:
            letters.setdefault(body, bar_letters(body, set(letters.values())))
            for _ in range(count):
                made[body] = made.get(body, 0) + 1
                yield PlannedBar(f"{letters[body]}{made[body]}", body, batch, load.code, *places[next(drawn)])


def _notes(question: Question) -> Iterator[str]:
    fired_g = question.wet_g * FIRED_SHARE
    if question.weighs and fired_g < _LIGHTEST_G:
        yield (
            f"Bars of {question.bar.words} fire to about {fired_g:.0f} g; ASTM C373 asks for {_LIGHTEST_G:.0f} g at"
            " least: make them wider or thicker."
        )
    if "range" in question.goals:
        yield "Lay bars of the hottest firings on a tile of scrap clay: a body that goes too far ruins shelves."
        if question.kiln.temperature_pm_c is None:
            yield "Say with --temperature-pm how far your kiln may be off; else the report takes temperatures as exact."
