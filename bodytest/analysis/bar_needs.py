"""How many bars or batches: what it takes to know the mean of a group to within a wanted half-width."""

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from bodytest.analysis.bar_needs_words import notes_for, summary_for
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Group, QuantityResult, Results
from bodytest.stats.bar_count import (
    MOST_BARS,
    bars_each_for_half_width,
    bars_for_half_width,
    bars_to_notice,
    batches_for_half_width,
    half_width_of,
    safe_sd,
)

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Marks:
    """Marks against bars, where bars carry several marks."""

    marks_each: float
    """Marks on a bar, on average."""
    mark_sd: float
    """Standard deviation between the marks of one bar."""
    bar_sd: float
    """Standard deviation between bars, marks apart."""
    half_width_twice_the_marks: float
    """Half-width that the same bars would give with twice the marks."""


@dataclass(frozen=True)
class BarNeed:
    """What it takes to know one mean well enough."""

    body: str
    """Name of the body; ``""`` where a scatter was given in place of sheets."""
    firing: str
    """Code of the firing."""
    direction: str
    """Direction of the measured length."""
    quantity: str
    """Key of `bodytest.quantities.QUANTITIES`."""
    unit: str
    """``%``, ``g/cm³`` or ``""``; half-widths of percentages are in percentage points."""
    bars: int
    """Bars seen; 0 where a scatter was given."""
    batches: int
    """Batches seen."""
    bar_sd: float
    """Standard deviation between bars of a batch."""
    batch_sd: float | None
    """Standard deviation between batches, where several were seen or it was given."""
    half_width_now: float | None
    """Half-width of the confidence interval now."""
    wanted_half_width: float | None
    """What it is to be; None where only a difference was asked for."""
    confidence: float
    """Of the interval, as a fraction."""
    marks: Marks | None
    """Marks against bars; None where bars carry one mark."""
    bars_needed: int | None = None
    """Bars of one batch for it, in all; None where no sensible number is enough, or with several batches."""
    bars_to_be_safe: int | None = None
    """The same when the scatter is as large as it may well be (one-sided 80 % limit)."""
    batches_needed: int | None = None
    """Batches for it, in all; None where no sensible number is enough, or with one batch."""
    bars_each: float | None = None
    """Bars of each batch that this supposes."""
    bars_each_needed: int | None = None
    """Bars of each of the same batches that would do as well, where any number would."""
    least_half_width: float | None = None
    """Half-width that further bars of the same batch or batches cannot go below."""
    difference: float | None = None
    """Difference between two batches that is to be noticed, where one was asked for."""
    bars_to_notice: int | None = None
    """Bars of each of the two batches that notice it in four cases of five."""
    summary: str = ""
    """The message in one or two sentences, with what to do."""
    notes: tuple[str, ...] = ()
    """What to bear in mind."""


@dataclass(frozen=True)
class Scatter:
    """What is known of the scatter, seen in sheets or given."""

    bar_sd: float
    """Standard deviation between bars of a batch."""
    batch_sd: float | None = None
    """Standard deviation between batches."""
    bars: int = 0
    """Bars that it was seen in; 0 when given."""
    batches: int = 1
    """Batches that it was seen in."""
    bars_each: float = 5.0
    """Bars of each batch."""
    shared: float = 0.0
    """Standard uncertainty that is the same in all bars."""
    half_width_now: float | None = None
    """Half-width of the confidence interval now."""


@dataclass(frozen=True)
class Wish:
    """What is wanted."""

    half_width: float | None = None
    """Half-width of the confidence interval, in the quantity's unit."""
    difference: float | None = None
    """Difference between two batches that is to be noticed."""
    confidence: float = 0.95
    """Of interval and noticing, as a fraction."""


def needs_of_sheets(results: Results, quantity_key: str, wish: Wish) -> tuple[BarNeed, ...]:
    """Return the need of each group that has at least two bars with the quantity."""
    found = []
    for at, group in enumerate(results.groups):
        quantity = group.quantities.get(quantity_key)
        if quantity is None or quantity.sd is None or quantity.low is None:
            continue
        seen = _scatter_seen(group, quantity, quantity_key)
        marks = _marks(results.bars[results.bars["group"] == at], quantity_key, quantity, seen, results.confidence)
        found.append(_need(group, quantity_key, seen, wish, marks))
    return tuple(found)


def need_of_scatter(quantity_key: str, scatter: Scatter, wish: Wish) -> BarNeed:
    """Return the need for a scatter that was given in place of sheets."""
    return _need(None, quantity_key, scatter, wish, None)


def _scatter_seen(group: Group, quantity: QuantityResult, key: str) -> Scatter:
    counted = [batch.quantities[key].n for batch in group.by_batch if key in batch.quantities]
    low, high, sd = quantity.low or 0.0, quantity.high or 0.0, quantity.sd or 0.0
    uncertainty = quantity.standard_uncertainty or 0.0
    several = len(counted) > 1
    return Scatter(
        bar_sd=(quantity.bar_sd if several and quantity.bar_sd is not None else sd),
        batch_sd=quantity.batch_sd if several else None,
        bars=quantity.n,
        batches=len(counted),
        bars_each=quantity.n / max(len(counted), 1),
        shared=0.0 if several else math.sqrt(max(uncertainty**2 - sd**2 / quantity.n, 0.0)),
        half_width_now=(high - low) / 2.0,
    )


def _marks(bars: "pd.DataFrame", key: str, quantity: QuantityResult, seen: Scatter, confidence: float) -> Marks | None:
    if quantity.mark_sd is None or seen.batches > 1:
        return None
    marks_each = float(np.mean(bars.loc[bars[key].notna(), "marks"]))
    of_marks = quantity.mark_sd**2
    beyond = max(seen.bar_sd**2 - of_marks / marks_each, 0.0)
    twice = math.sqrt(beyond + of_marks / (2.0 * marks_each))
    return Marks(
        marks_each, quantity.mark_sd, math.sqrt(beyond), half_width_of(seen.bars, twice, confidence, seen.shared)
    )


def _need(group: Group | None, key: str, seen: Scatter, wish: Wish, marks: Marks | None) -> BarNeed:
    need = BarNeed(
        body=group.body if group else "",
        firing=group.firing if group else "",
        direction=group.direction if group else "",
        quantity=key,
        unit=QUANTITY_BY_KEY[key].unit,
        bars=seen.bars,
        batches=seen.batches,
        bar_sd=seen.bar_sd,
        batch_sd=seen.batch_sd,
        half_width_now=seen.half_width_now,
        wanted_half_width=wish.half_width,
        confidence=wish.confidence,
        marks=marks,
    )
    if wish.half_width is not None:
        need = replace(need, **_counts(seen, wish.half_width, wish.confidence))
    if wish.difference is not None:
        notice = bars_to_notice(wish.difference, seen.bar_sd, significance=1.0 - wish.confidence)
        need = replace(need, difference=wish.difference, bars_to_notice=notice)
    return replace(need, summary=summary_for(need), notes=notes_for(need))


def _counts(seen: Scatter, half_width: float, confidence: float) -> dict[str, Any]:
    if seen.batch_sd is not None:
        return _by_batches(seen, seen.batch_sd, half_width, confidence)

    def bars(sd: float) -> int | None:
        return bars_for_half_width(sd, half_width, confidence=confidence, shared_uncertainty=seen.shared)

    return {
        "bars_needed": bars(seen.bar_sd),
        "bars_to_be_safe": bars(safe_sd(seen.bar_sd, seen.bars - 1.0)) if seen.bars > 1 else None,
        "least_half_width": half_width_of(MOST_BARS, seen.bar_sd, confidence, seen.shared),
    }


def _by_batches(seen: Scatter, batch_sd: float, half_width: float, confidence: float) -> dict[str, Any]:
    needed = batches_for_half_width(batch_sd, seen.bar_sd, seen.bars_each, half_width, confidence=confidence)
    more_than_seen = None if needed is None else max(needed, seen.batches + 1 if seen.bars else 2)
    same = bars_each_for_half_width(batch_sd, seen.bar_sd, seen.batches, half_width, confidence=confidence)
    return {
        "batches_needed": more_than_seen,
        "bars_each": seen.bars_each,
        "bars_each_needed": same,
        "least_half_width": half_width_of(seen.batches, batch_sd, confidence) if seen.batches > 1 else None,
    }
