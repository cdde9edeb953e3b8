"""Plans of sizes, masses and capacities as text for a terminal."""

from collections.abc import Iterator
from fractions import Fraction

from bodytest.plan.amounts import CapacityPlan, MassPlan
from bodytest.plan.measures import VOLUME_IN_ML
from bodytest.plan.sizes import SizePlan, StageSize
from bodytest.rounding import number_text
from bodytest.units import LENGTH_IN_MM, MASS_IN_G

MOST_BLOCKS = 3
"""Up to so many sizes are shown stage by stage, more as one table."""
_DECIMALS = {"mm": 1, "cm": 2, "in": 2, "g": 0, "kg": 2, "oz": 1, "lb": 2, "l": 2, "cl": 1, "in3": 1}
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
        dry = _in(plan.dry_g, plan.unit, MASS_IN_G)
        yield f"{plan.asked} finished: {plan.body}, {plan.firing}; {plan.speaks_of.words(plan.batch)}"
        if plan.wet_g is not None:
            wet = _in(plan.wet_g, plan.unit, MASS_IN_G)
            yield f"  wet            {wet}{_range(plan.wet_low_g, plan.wet_high_g, plan.unit, MASS_IN_G)}"
        yield f"  dry            {dry}"
        yield from (f"  Note: {note}" for note in plan.notes)


def capacity_lines(plans: tuple[CapacityPlan, ...]) -> Iterator[str]:
    """Yield the lines for capacities."""
    for plan in plans:
        height, width = (direction or "(blank)" for direction in plan.directions)
        across = f"height as {height}, width as {width}" if height != width else height
        yield f"{plan.asked} finished: {plan.body}, {plan.firing}, {across}; {plan.speaks_of.words(plan.batch)}"
        wet = _in(plan.wet_ml, plan.unit, VOLUME_IN_ML)
        yield f"  wet            {wet}{_range(plan.wet_low_ml, plan.wet_high_ml, plan.unit, VOLUME_IN_ML)}"
        yield from (f"  Note: {note}" for note in plan.notes)


def _block(plan: SizePlan) -> Iterator[str]:
    given = "finished" if plan.now == "fired" else f"{plan.now} now"
    name = f"{plan.name}: " if plan.name else ""
    yield f"{name}{plan.asked} {given}: {rests_on(plan)}"
    yield from (f"  {stage.stage:<14} {_stage(stage, plan)}" for stage in plan.stages)
    yield from (f"  {sentence}" for sentence in outcome_sentences(plan))
    yield from (f"  Note: {note}" for note in plan.notes)


def rests_on(plan: SizePlan) -> str:
    """Return body, firing, direction, whom it speaks of, and how many bars or pieces stand behind it."""
    direction = f", {plan.direction}" if plan.direction else ""
    noun = plan.rests_on[:-1] if plan.bars == 1 else plan.rests_on
    firing = plan.firing if plan.programme else f"firing {plan.firing or '(blank)'}"
    whom = plan.speaks_of.words(plan.batch)
    return f"{plan.body}, {firing}{direction}; {whom} ({plan.bars} {noun})"


def outcome_sentences(plan: SizePlan) -> Iterator[str]:
    """Yield where the finished piece will fall and the chance of the wanted closeness, or why neither is known."""
    percent = f"{100 * plan.confidence:g} %"
    if plan.next_low_mm is None or plan.next_high_mm is None:
        yield f"No range: {plan.why_no_range}"
        return
    reach = _span(plan.next_low_mm, plan.next_high_mm, plan.unit, LENGTH_IN_MM)
    made = plan.at(plan.made_at)
    start = _in(made.size_mm, plan.unit, LENGTH_IN_MM) if made else plan.made_at
    yield f"Made {start} {plan.made_at}, the finished piece will be {reach} ({percent} range of one piece)."
    if plan.chance_within is not None and plan.within_mm is not None:
        within = _in(plan.within_mm, plan.unit, LENGTH_IN_MM)
        wanted = _in(plan.fired_mm, plan.unit, LENGTH_IN_MM)
        yield f"Chance that it is within {within} of {wanted}: {chance_text(plan.chance_within)}."


def chance_text(chance: float) -> str:
    """Return a chance in per cent that never claims certainty.

    >>> chance_text(0.8651), chance_text(0.99999), chance_text(0.0001)
    ('87 %', 'over 99 %', 'under 1 %')
    """
    if chance > 0.995:
        return "over 99 %"
    return "under 1 %" if chance < 0.005 else f"{100 * chance:.0f} %"


def _stage(stage: StageSize, plan: SizePlan) -> str:
    size = _in(stage.size_mm, plan.unit, LENGTH_IN_MM)
    if stage.stage == plan.now:
        return size
    return f"{size}{_range(stage.low_mm, stage.high_mm, plan.unit, LENGTH_IN_MM)}{_fraction(stage.size_mm, plan.unit)}"


def _range(low: float | None, high: float | None, unit: str, factors: dict[str, float]) -> str:
    if low is None or high is None:
        return ""
    return f"   ({_span(low, high, unit, factors)})"


def _span(low: float, high: float, unit: str, factors: dict[str, float]) -> str:
    """Return ``low to high unit``."""
    return f"{_in(low, unit, factors).removesuffix(_in_unit(unit))} to {_in(high, unit, factors)}"


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


def _in(value: float, unit: str, factors: dict[str, float]) -> str:
    """Return a value held in mm, g or ml in the unit typed."""
    return f"{number_text(value / factors[unit], _DECIMALS.get(unit, 0))}{_in_unit(unit)}"


def _table(plans: tuple[SizePlan, ...]) -> Iterator[str]:
    shown = [name for name in ("wet", "leather-hard", "dry", "bisque", "fired") if any(plan.at(name) for plan in plans)]
    with_chance = any(plan.chance_within is not None for plan in plans)
    heading = ["size", *shown, "range of one finished piece", *(["chance"] if with_chance else []), "rests on"]
    rows = [_row(plan, shown, with_chance) for plan in plans]
    widths = [max(len(row[column]) for row in (heading, *rows)) for column in range(len(heading))]
    for row in (heading, *rows):
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
    yield from (f"Note: {note}" for note in dict.fromkeys(note for plan in plans for note in plan.notes))


def _row(plan: SizePlan, shown: list[str], with_chance: bool) -> list[str]:
    label = f"{plan.name}: {plan.asked}" if plan.name else plan.asked
    stages = [plan.at(name) for name in shown]
    sizes = ["–" if stage is None else _in(stage.size_mm, plan.unit, LENGTH_IN_MM) for stage in stages]
    reach = "no range: one bar" if plan.bars == 1 else "no range"
    if plan.next_low_mm is not None and plan.next_high_mm is not None:
        reach = _span(plan.next_low_mm, plan.next_high_mm, plan.unit, LENGTH_IN_MM)
    chance = ["–" if plan.chance_within is None else chance_text(plan.chance_within)] if with_chance else []
    return [label, *sizes, reach, *chance, rests_on(plan)]
