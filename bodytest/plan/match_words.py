"""A matching plan as text for a terminal."""

import math
from collections.abc import Iterator

from bodytest.plan.matching import MatchPlan
from bodytest.plan.overmaking import MOST_FURTHER
from bodytest.rounding import chance_text, decimals_for, number_text, uncertainty_text
from bodytest.units import LENGTH_DECIMALS, LENGTH_IN_MM


def match_lines(plan: MatchPlan) -> Iterator[str]:
    """Yield the lines of the answer."""
    direction = f", {plan.direction}" if plan.direction else ""
    batches = "all of one batch" if plan.batches == "same" else "each of another batch"
    loads = "in one load" if plan.loads == "same" else "each in another load"
    yield from _how_many(plan)
    yield f"{plan.pieces} pieces of {_size(plan, plan.size_mm)} finished, {batches} and {loads}"
    bars = f"{plan.body}, {plan.firing}{direction}; {plan.speaks_of.words(plan.batch)} ({plan.bars} bars)"
    yield f"  {bars}; make {_size(plan, plan.wet_mm)} wet"
    made = f"made within {_asked(plan, plan.made_within_mm)} wet" if plan.made_within_mm else "made exactly"
    yield f"  One piece varies by {_spread(plan, plan.piece_sd_mm)} (standard deviation, {made})."
    if plan.chance_within is not None and plan.within_mm is not None:
        who = "both" if plan.pieces == 2 else f"all {plan.pieces}"
        yield f"  Chance that {who} agree within {_asked(plan, plan.within_mm)}: {chance_text(plan.chance_within)}."
    if plan.chance_fits is not None and plan.clearance_mm is not None:
        yield (
            f"  Chance that one made {_asked(plan, plan.clearance_mm)} smaller (finished) fits into the other:"
            f" {chance_text(plan.chance_fits)}."
        )
    yield from _needs(plan)
    yield from (f"  Note: {note}" for note in plan.notes)


def _how_many(plan: MatchPlan) -> Iterator[str]:
    """Yield how many to make, first of all, where a difference is allowed."""
    if plan.within_mm is None:
        return
    some = "a pair" if plan.pieces == 2 else f"{plan.pieces}"
    chance = f"within {_asked(plan, plan.within_mm)} with {100 * plan.wanted_chance:g} % chance"
    if plan.make is None:
        most = plan.pieces + MOST_FURTHER
        yield f"Even {most} made are not enough to have {some} {chance}{_if_lost(plan.lost)}."
    else:
        yield f"Make {plan.make} to have {some} {chance}{_if_lost(plan.lost)}."


def _if_lost(share: float) -> str:
    """Return what is said of lost pieces: one in ten where it is one in a whole number, else per cent."""
    if not share:
        return ""
    each = round(1.0 / share)
    word = _ONE_IN.get(each) if math.isclose(each * share, 1.0) else None
    return f", if one in {word} is lost" if word else f", if {100 * share:g} % are lost"


_ONE_IN = {
    2: "two",
    3: "three",
    4: "four",
    5: "five",
    8: "eight",
    10: "ten",
    20: "twenty",
    50: "fifty",
    100: "a hundred",
}


def _needs(plan: MatchPlan) -> Iterator[str]:
    chance = f"{100 * plan.wanted_chance:g} %"
    yield f"  For {chance}: allow a difference of {_spread(plan, plan.within_needed_mm)}."
    if plan.pieces == 2:
        clearance = _spread(plan, plan.clearance_needed_mm)
        yield f"  For {chance}: give a part that fits into the other a clearance of {clearance}."
    if plan.within_mm is None and plan.clearance_mm is None:
        return
    if plan.made_within_needed_mm is None:
        varies = _VARIES[plan.batches, plan.loads]
        yield f"  For {chance}: no accuracy of making is enough, {varies} too much."
    else:
        yield f"  For {chance}: make them within {_spread(plan, plan.made_within_needed_mm)} wet."


_VARIES = {
    ("same", "same"): "the firing itself varies",
    ("different", "same"): "the batches differ",
    ("same", "different"): "the loads differ",
    ("different", "different"): "batches and loads differ",
}


def _size(plan: MatchPlan, value_mm: float) -> str:
    """Return the size of a piece, to what a rule can show."""
    return f"{number_text(value_mm / LENGTH_IN_MM[plan.unit], LENGTH_DECIMALS[plan.unit])} {plan.unit}"


def _asked(plan: MatchPlan, value_mm: float) -> str:
    """Return a closeness as it was asked for."""
    return f"{value_mm / LENGTH_IN_MM[plan.unit]:.6g} {plan.unit}"


def _spread(plan: MatchPlan, value_mm: float) -> str:
    """Return how far pieces differ, with the digits that a standard deviation has."""
    value = value_mm / LENGTH_IN_MM[plan.unit]
    return f"{uncertainty_text(value, max(decimals_for(value), 0))} {plan.unit}"
