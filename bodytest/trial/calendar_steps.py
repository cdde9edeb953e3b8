"""What is done on which day, from wedging to the report."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bodytest.lab.soaking import soaking
from bodytest.trial.question import Question

if TYPE_CHECKING:
    from bodytest.trial.planned import PlannedLoad

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


def steps_of(question: Question, loads: "Sequence[PlannedLoad]") -> tuple[Step, ...]:
    """Return the days of a test; drying takes about a week, a load two days (common practice, no source)."""
    return tuple(_steps(question, loads))


def _steps(question: Question, loads: "Sequence[PlannedLoad]") -> Iterator[Step]:
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
