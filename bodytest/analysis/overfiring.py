"""Overfiring: programmes at which a body shrinks less, or is less dense, than at a cooler one, or grows."""

import math
from collections.abc import Sequence
from dataclasses import replace

from bodytest.analysis.response_levels import celsius_of
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Programme, QuantityResult

COVERAGE_FACTOR = 2.0
"""A difference of two means is told when it is larger than this many of its standard uncertainties."""
_TURNS_BACK = ("total_shrinkage", "firing_shrinkage", "bulk_density")
"""What rises with the firing until the body swells; the first one measured at both programmes is told."""
_WHAT = {"total_shrinkage": "shrinks less", "firing_shrinkage": "shrinks less", "bulk_density": "is less dense"}


def with_overfiring(programmes: Sequence[Programme]) -> tuple[Programme, ...]:
    """Return the programmes, those at which the body has begun to swell with a sentence that says so."""
    return tuple(replace(one, overfired=_sentence(one, programmes)) for one in programmes)


def _sentence(one: Programme, programmes: Sequence[Programme]) -> str | None:
    grown = one.quantities.get("firing_shrinkage")
    if grown is not None and grown.high is not None and grown.high < 0.0 and celsius_of(one) is not None:
        return f"{one.body} grows in the firing at {one.called}: it is overfired and swells."
    cooler = [other for other in programmes if _is_cooler(other, one)]
    for key in _TURNS_BACK:
        mine = one.quantities.get(key)
        known = [other for other in cooler if key in other.quantities]
        if mine is None or not known:
            continue
        best = max(known, key=lambda other: other.quantities[key].mean or -math.inf)
        if _is_below(mine, best.quantities[key]):
            quantity = QUANTITY_BY_KEY[key]
            now, before = (f"{value.mean:.{quantity.digits + 1}f}" for value in (mine, best.quantities[key]))
            figures = f"({now} against {before} {quantity.unit})"
            at = f"{one.called}, {one.direction}," if one.direction else one.called
            turned = f"At {at} {one.body} {_WHAT[key]} than at {best.called} {figures}"
            return f"{turned}: it is overfired and has begun to swell."
    return None


def _is_cooler(other: Programme, one: Programme) -> bool:
    """Say whether another programme shows the same bars of the same body, fired less hot."""
    mine, theirs = celsius_of(one), celsius_of(other)
    same = (other.body, other.direction, other.absorption_method) == (one.body, one.direction, one.absorption_method)
    return same and mine is not None and theirs is not None and theirs < mine


def _is_below(mine: QuantityResult, theirs: QuantityResult) -> bool:
    if mine.mean is None or theirs.mean is None or not (mine.standard_uncertainty and theirs.standard_uncertainty):
        return False
    uncertainty = math.hypot(mine.standard_uncertainty, theirs.standard_uncertainty)
    return theirs.mean - mine.mean > COVERAGE_FACTOR * uncertainty
