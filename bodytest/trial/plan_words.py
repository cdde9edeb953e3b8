"""A plan → lines of text, the answer first."""

from collections.abc import Iterator
from itertools import groupby

from bodytest.rounding import counted, number_text
from bodytest.trial.planned import CONTROL_BARS, Clay, Plan, PlannedLoad
from bodytest.trial.question import Question
from bodytest.units import LENGTH_IN_MM


def plan_lines(plan: Plan) -> list[str]:
    """Return the answer for people to read."""
    question = plan.question
    return [
        _head(plan),
        *(need.sentence for need in plan.needs),
        "",
        *(_loads_line([*alike]) for _, alike in groupby(plan.loads, key=_counts)),
        "",
        *_bench(question),
        "",
        *(f"Day {step.first_day}{_until(step.first_day, step.last_day)}: {step.what}" for step in plan.steps),
        "",
        *plan.notes,
        _rests_on(question),
    ]


def _head(plan: Plan) -> str:
    heats = list(dict.fromkeys(load.heat.called for load in plan.loads))
    batches = {bar.batch for bar in plan.bars if bar.body == plan.question.body}
    own = sum(bar.body == plan.question.body for bar in plan.bars)
    clay = ", and ".join(map(_clay, plan.clay))
    return (
        f"{plan.question.body}: {own} bars of {counted(len(batches), 'batch')} in"
        f" {counted(len(plan.loads), 'load')}, {' · '.join(heats)}. Make {clay}."
    )


def _clay(clay: Clay) -> str:
    return f"{clay.bars} of {clay.body} with the spare ones, {number_text(clay.wet_kg, 1)} kg of wet clay"


def _counts(load: PlannedLoad) -> tuple[object, ...]:
    return load.heat, load.purpose, [(body, count) for body, _, count in load.bars]


def _loads_line(loads: list[PlannedLoad]) -> str:
    """Return a line for loads that follow each other and differ in batches only."""
    first, last = loads[0], loads[-1]
    code = first.code if len(loads) == 1 else f"{first.code} to {last.code}"
    bars = []
    for place, (body, batch, count) in enumerate(first.bars):
        other = last.bars[place][1]
        bars.append(f"{count} of {body}, {batch if batch == other else f'{batch} to {other}, one in each load'}")
    return (
        f"{code}  {first.heat.called} ({first.purpose}): {'; '.join(bars)}. Takes {first.count} of"
        f" {first.places} places."
    )


def _bench(question: Question) -> Iterator[str]:
    yield f"Bars: cut {question.bar.words}, a code scratched into each, measured {question.direction}."
    if question.measures:
        step = question.reading_step_mm / LENGTH_IN_MM[question.length_unit]
        marks = "one pair of marks" if question.marks == 1 else f"{question.marks} pairs of marks"
        yield (
            f"Marks: {marks} on each bar, {question.bar.told(question.bar.gauge)} apart as soon as it can be handled;"
            f" read to {step:.2g} {question.length_unit}, with a calliper or rule that reaches beyond them."
        )
    if question.weighs:
        yield f"Absorption: {question.method}, bars unglazed, weighed to 0.01 g."
    if question.control_body:
        yield f"Control: {CONTROL_BARS} bars of {question.control_body} in every load, to tell kiln from clay."


def _rests_on(question: Question) -> str:
    scatter = question.scatter
    parts = []
    if question.measures:
        parts.append(f"shrinkage of bars {scatter.bar:.2f}, of batches {scatter.batch:.2f} percentage points")
    if question.weighs:
        bar, batch = question.absorption_sds
        parts.append(
            f"absorption of bars {bar:.2f}, of batches {batch:.2f} percentage"
            f" points, falling by {number_text(100.0 * scatter.absorption_fall, 1)} % of itself for each °C"
        )
    return (
        f"Rests on {scatter.source} (standard deviations): {'; '.join(parts)}; loads off by"
        f" ± {2.0 * question.kiln.off_c:.3g} °C{'' if question.kiln.temperature_pm_c is not None else ', as usual'}."
    )


def _until(first: int, last: int) -> str:
    return "" if first == last else f"–{last}"
