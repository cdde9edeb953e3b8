"""Plans of sizes, masses and capacities as text for a terminal."""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from bodytest.plan.amounts import CapacityPlan, MassPlan
from bodytest.plan.measures import VOLUME_IN_ML
from bodytest.plan.sizes import SizePlan, StageSize
from bodytest.plan.stages import STAGES
from bodytest.rounding import chance_text, counted, decimals_between, decimals_for, number_text
from bodytest.units import LENGTH_DECIMALS, LENGTH_IN_MM, MASS_IN_G

MOST_BLOCKS = 3
"""Up to so many sizes are shown stage by stage, more as one table."""
_DECIMALS = LENGTH_DECIMALS | {"g": 0, "kg": 2, "oz": 1, "lb": 2, "l": 2, "cl": 1, "in3": 1}
"""What a rule, a balance or a jug can show: never more, and fewer where the interval allows no more."""
_FACTORS = LENGTH_IN_MM | MASS_IN_G | VOLUME_IN_ML
"""Unit typed → how many mm, g or ml it is."""
_CUBIC = {"cm3": "cm³", "in3": "in³"}


def size_lines(plans: tuple[SizePlan, ...]) -> Iterator[str]:
    """Yield the lines for sizes: blocks for a few, a table for many."""
    if len(plans) > MOST_BLOCKS:
        yield from _table(plans)
        return
    for number, plan in enumerate(plans):
        if number:
            yield ""
        yield from _block(plan)


def mass_lines(plans: tuple[MassPlan, ...]) -> Iterator[str]:
    """Yield the lines for clay masses."""
    for plan in plans:
        decimals = _decimals([(plan.wet_low_g, plan.wet_high_g)], plan.unit)
        yield f"{plan.asked} finished: {plan.body}, {plan.firing}; {plan.speaks_of.words(plan.batch)}"
        if plan.wet_g is not None:
            wet = _in(plan.wet_g, plan.unit, decimals)
            yield f"  wet            {wet}{_range(plan.wet_low_g, plan.wet_high_g, plan.unit, decimals)}"
        yield f"  dry            {_in(plan.dry_g, plan.unit, decimals)}"
        yield from (f"  Note: {note}" for note in plan.notes)


def capacity_lines(plans: tuple[CapacityPlan, ...]) -> Iterator[str]:
    """Yield the lines for capacities."""
    for plan in plans:
        height, width = (direction or "(blank)" for direction in plan.directions)
        across = f"height as {height}, width as {width}" if height != width else height
        yield f"{plan.asked} finished: {plan.body}, {plan.firing}, {across}; {plan.speaks_of.words(plan.batch)}"
        decimals = _decimals([(plan.wet_low_ml, plan.wet_high_ml)], plan.unit)
        wet = _in(plan.wet_ml, plan.unit, decimals)
        yield f"  wet            {wet}{_range(plan.wet_low_ml, plan.wet_high_ml, plan.unit, decimals)}"
        yield from (f"  Note: {note}" for note in plan.notes)


def _block(plan: SizePlan) -> Iterator[str]:
    given = "finished" if plan.now == "fired" else f"{plan.now} now"
    name = f"{plan.name}: " if plan.name else ""
    yield f"{name}{plan.asked} {given}: {rests_on(plan)}"
    decimals = _stage_decimals([plan])
    yield from (f"  {stage.stage:<14} {_stage(stage, plan, decimals)}" for stage in plan.stages)
    yield from (f"  {sentence}" for sentence in outcome_sentences(plan))
    yield from (f"  Note: {note}" for note in plan.notes)


def rests_on(plan: SizePlan) -> str:
    """Return body, firing, direction, whom it speaks of, and how many bars or pieces stand behind it."""
    direction = f", {plan.direction}" if plan.direction else ""
    firing = plan.firing if plan.programme else f"firing {plan.firing or '(blank)'}"
    whom = plan.speaks_of.words(plan.batch)
    return f"{plan.body}, {firing}{direction}; {whom} ({counted(plan.bars, plan.rests_on[:-1])})"


def outcome_sentences(plan: SizePlan) -> Iterator[str]:
    """Yield where the finished piece will fall and the chance of the wanted closeness, or why neither is known."""
    percent = f"{100 * plan.confidence:g} %"
    if plan.next_low_mm is None or plan.next_high_mm is None:
        yield f"No range: {plan.why_no_range}"
        return
    reach = _span(plan.next_low_mm, plan.next_high_mm, plan.unit, _reach_decimals([plan]))
    made = plan.at(plan.made_at)
    start = _in(made.size_mm, plan.unit, _stage_decimals([plan])) if made else plan.made_at
    yield f"Made {start} {plan.made_at}, the finished piece will be {reach} ({percent} range of one piece)."
    if plan.chance_within is not None and plan.within_mm is not None:
        within = _in(plan.within_mm, plan.unit)
        wanted = _in(plan.fired_mm, plan.unit)
        yield f"Chance that it is within {within} of {wanted}: {chance_text(plan.chance_within)}."


def _stage(stage: StageSize, plan: SizePlan, decimals: int) -> str:
    if stage.stage == plan.now:
        return _in(stage.size_mm, plan.unit)
    size = _in(stage.size_mm, plan.unit, decimals)
    span = _range(stage.low_mm, stage.high_mm, plan.unit, decimals)
    return f"{size}{span}{_fraction(stage.size_mm, plan.unit)}"


def _range(low: float | None, high: float | None, unit: str, decimals: int) -> str:
    if low is None or high is None:
        return ""
    return f"   ({_span(low, high, unit, decimals)})"


def _span(low: float, high: float, unit: str, decimals: int) -> str:
    """Return ``low to high unit``, to more digits where both would look the same."""
    decimals = decimals_between(low / _FACTORS[unit], high / _FACTORS[unit], decimals)
    return f"{_in(low, unit, decimals).removesuffix(_in_unit(unit))} to {_in(high, unit, decimals)}"


def _stage_decimals(plans: Sequence[SizePlan]) -> int:
    """Return the decimals of the sizes to make of plans in one unit."""
    return _decimals([(s.low_mm, s.high_mm) for plan in plans for s in plan.stages], plans[0].unit)


def _reach_decimals(plans: Sequence[SizePlan]) -> int:
    """Return the decimals of where the finished pieces of plans in one unit will fall."""
    return _decimals([(plan.next_low_mm, plan.next_high_mm) for plan in plans], plans[0].unit)


def _decimals(intervals: Iterable[tuple[float | None, float | None]], unit: str) -> int:
    """Return the decimals that the narrowest interval allows, those of the instrument where there is none."""
    known = [(low, high) for low, high in intervals if low is not None and high is not None and low < high]
    allowed = max((0, *(decimals_for((high - low) / 2 / _FACTORS[unit]) for low, high in known)))
    usual = _DECIMALS.get(unit, 0)
    return min(usual, allowed) if known else usual


def _in_unit(unit: str) -> str:
    return f" {_CUBIC.get(unit, unit)}"


def _fraction(size_mm: float, unit: str) -> str:
    """Return the nearest thirty-second of an inch, for rulers that show nothing else."""
    if unit != "in":
        return ""
    nearest = Fraction(round(size_mm / 25.4 * 32), 32)
    whole, part = divmod(nearest, 1)
    text = " ".join(str(piece) for piece in (whole, part) if piece) or "0"
    return f"   about {text} in"


def _in(value: float, unit: str, decimals: int | None = None) -> str:
    """Return a value held in mm, g or ml in the unit typed."""
    shown = number_text(value / _FACTORS[unit], _DECIMALS.get(unit, 0) if decimals is None else decimals)
    return f"{shown}{_in_unit(unit)}"


def _table(plans: tuple[SizePlan, ...]) -> Iterator[str]:
    shown = [name for name in STAGES if any(plan.at(name) for plan in plans)]
    with_chance = any(plan.chance_within is not None for plan in plans)
    heading = ["size", *shown, "range of one finished piece", *(["chance"] if with_chance else []), "rests on"]
    rows = [
        _row(plan, shown, tuple(other for other in plans if other.unit == plan.unit), with_chance) for plan in plans
    ]
    widths = [max(len(row[column]) for row in (heading, *rows)) for column in range(len(heading))]
    for row in (heading, *rows):
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
    yield from (f"Note: {note}" for note in dict.fromkeys(note for plan in plans for note in plan.notes))


def _row(plan: SizePlan, shown: list[str], same_unit: tuple[SizePlan, ...], with_chance: bool) -> list[str]:
    label = f"{plan.name}: {plan.asked}" if plan.name else plan.asked
    stages, decimals = [plan.at(name) for name in shown], _stage_decimals(same_unit)
    sizes = ["–" if stage is None else _in(stage.size_mm, plan.unit, decimals) for stage in stages]
    reach = "no range: one bar" if plan.bars == 1 else "no range"
    if plan.next_low_mm is not None and plan.next_high_mm is not None:
        reach = _span(plan.next_low_mm, plan.next_high_mm, plan.unit, _reach_decimals(same_unit))
    chance = ["–" if plan.chance_within is None else chance_text(plan.chance_within)] if with_chance else []
    return [label, *sizes, reach, *chance, rests_on(plan)]
