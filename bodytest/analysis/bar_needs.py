"""How many bars, batches or loads: what it takes to know the mean of a group to within a wanted half-width."""

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from bodytest.analysis.bar_needs_words import TOO_FEW_TO_BE_SURE, notes_for, summary_for
from bodytest.analysis.loads import holds
from bodytest.bars_needed import BarNeed, Marks
from bodytest.quantities import NEVER_NEGATIVE, QUANTITY_BY_KEY
from bodytest.results import Group, Programme, QuantityResult, Results
from bodytest.stats.bar_count import bars_each_for_half_width, bars_to_notice, half_width_of
from bodytest.stats.replication import Components, Replicates, fewest_for_half_width, what_limits

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Wish:
    """What is wanted."""

    half_width: float | None = None
    """Half-width of the confidence interval, in the quantity's unit."""
    difference: float | None = None
    """Difference between two batches that is to be noticed."""
    confidence: float = 0.95
    """Of interval and noticing, as a fraction."""


def usual_needs(results: Results) -> tuple[BarNeed, ...]:
    """Return what it takes to know each total shrinkage to within the tolerance of the Lab sheet, where one stands."""
    points = results.lab.shrinkage_tolerance_points
    return needs_of_sheets(results, "total_shrinkage", Wish(points, confidence=results.confidence)) if points else ()


def needs_of_sheets(
    results: Results, quantity_key: str, wish: Wish, *, loads_apart: bool = False
) -> tuple[BarNeed, ...]:
    """Return the need of each programme of several loads and each other group that shows how its bars scatter.

    Parameters:
        results: of an analysis.
        quantity_key: key of `bodytest.quantities.QUANTITIES`.
        wish: what is wanted.
        loads_apart: each load on its own, not the programme.
    """
    several = [] if loads_apart else [one for one in results.programmes if len(one.loads) > 1]
    found = [_need_of_programme(one, quantity_key, wish, results.length_unit) for one in several]
    for at, group in enumerate(results.groups):
        quantity = group.quantities.get(quantity_key)
        if quantity is None or quantity.sd is None or quantity.half_width is None:
            continue
        if any(holds(one, group) for one in several):
            continue
        seen = _scatter_seen(group, quantity, quantity_key)
        marks = _marks(results.bars[results.bars["group"] == at], quantity_key, quantity, seen, results.confidence)
        need = _need(group, quantity_key, seen, wish, quantity.half_width)
        found.append(
            _in_words(replace(need, marks=marks), results.length_unit, may_be_skewed=quantity.skew is not None)
        )
    return tuple(need for need in found if need)


def _need_of_programme(programme: Programme, key: str, wish: Wish, length_unit: str) -> BarNeed | None:
    quantity = programme.quantities.get(key)
    if quantity is None or quantity.half_width is None:
        return None
    together = programme.design == "confounded"
    batches = programme.speaks_of.batch == "any" and not together
    seen = Components(
        bar_sd=quantity.bar_sd or 0.0,
        bars=quantity.n,
        batch_sd=quantity.batch_sd if batches else None,
        batches=len(programme.batches),
        load_sd=quantity.load_sd if programme.speaks_of.load == "any" else None,
        loads=len(programme.loads),
    )
    need = _need(programme, key, seen, wish, quantity.half_width)
    return _in_words(need, length_unit, may_be_skewed=quantity.skew is not None)


def need_of_scatter(quantity_key: str, scatter: Components, wish: Wish) -> BarNeed:
    """Return the need for a scatter that was given in place of sheets."""
    return _in_words(_need(None, quantity_key, scatter, wish, None), may_be_skewed=quantity_key in NEVER_NEGATIVE)


def _scatter_seen(group: Group, quantity: QuantityResult, key: str) -> Components:
    counted = [batch.quantities[key].n for batch in group.by_batch if key in batch.quantities]
    sd, uncertainty = quantity.sd or 0.0, quantity.standard_uncertainty or 0.0
    several = len(counted) > 1
    return Components(
        bar_sd=quantity.bar_sd if several and quantity.bar_sd is not None else sd,
        bars=quantity.n,
        batch_sd=(quantity.batch_sd if quantity.batch_sd is not None else sd) if several else None,
        batches=len(counted),
        shared=0.0 if several else math.sqrt(max(uncertainty**2 - sd**2 / quantity.n, 0.0)),
    )


def _marks(
    bars: "pd.DataFrame", key: str, quantity: QuantityResult, seen: Components, confidence: float
) -> Marks | None:
    if quantity.mark_sd is None or seen.batches > 1:
        return None
    marks_each = float(np.mean(bars.loc[bars[key].notna(), "marks"]))
    of_marks = quantity.mark_sd**2
    beyond = max(seen.bar_sd**2 - of_marks / marks_each, 0.0)
    twice = math.sqrt(beyond + of_marks / (2.0 * marks_each))
    return Marks(
        marks_each, quantity.mark_sd, math.sqrt(beyond), half_width_of(seen.bars, twice, confidence, seen.shared)
    )


def _need(group: Group | Programme | None, key: str, seen: Components, wish: Wish, now: float | None) -> BarNeed:
    limit = what_limits(seen, confidence=wish.confidence)
    need = BarNeed(
        body=group.body if group else "",
        firing=group.firing if group else "",
        direction=group.direction if group else "",
        quantity=key,
        unit=QUANTITY_BY_KEY[key].unit,
        bars=seen.bars,
        batches=seen.batches,
        loads=seen.loads,
        bar_sd=seen.bar_sd,
        batch_sd=seen.batch_sd,
        load_sd=seen.load_sd,
        limited_by=limit.unit,
        half_width_now=now,
        wanted_half_width=wish.half_width,
        confidence=wish.confidence,
        marks=None,
    )
    if wish.half_width is not None:
        need = replace(need, **_counts(seen, limit, wish.half_width, wish.confidence))
    if wish.difference is not None:
        freedom = max(seen.bars - max(seen.batches, seen.loads), 1.0) if seen.bars else None
        notice = bars_to_notice(wish.difference, seen.bar_sd, seen_freedom=freedom, significance=1.0 - wish.confidence)
        need = replace(need, difference=wish.difference, bars_to_notice=notice)
    return need


def _in_words(need: BarNeed, length_unit: str = "mm", *, may_be_skewed: bool) -> BarNeed:
    notes = notes_for(need, length_unit, may_be_skewed=may_be_skewed)
    return replace(need, summary=summary_for(need), notes=notes)


def _counts(seen: Components, limit: Replicates, half_width: float, confidence: float) -> dict[str, Any]:
    found: dict[str, Any] = {
        name: fewest_for_half_width(limit, half_width, chance, confidence=confidence)
        for name, chance in (("about_even", 0.5), ("nine_in_ten", 0.9))
        if chance == 0.5 or limit.seen != TOO_FEW_TO_BE_SURE
    }
    if limit.unit == "bars":
        return {**found, "least_half_width": limit.rest}
    between = {"batches": seen.batch_sd, "loads": seen.load_sd}[limit.unit] or 0.0
    others = limit.rest
    same = None
    if limit.seen > 1 and not others:
        same = bars_each_for_half_width(between, seen.bar_sd, limit.seen, half_width, confidence=confidence)
    least = math.hypot(half_width_of(limit.seen, between, confidence), others) if limit.seen > 1 else None
    each = seen.bars / limit.seen if limit.seen > 1 else seen.bars_each
    return {
        **found, "bars_each": each, "bars_each_needed": same, "least_half_width": least, "left_by_others": others,
    }  # fmt: skip
