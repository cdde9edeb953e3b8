"""Results as pages tell them: no interval reaches below 0 where a quantity cannot be negative."""

from dataclasses import replace
from typing import TypeVar

from bodytest.quantities import possible
from bodytest.results import BatchResult, Group, Programme, QuantityResult, Results

_Of = TypeVar("_Of", Group, Programme, BatchResult)


def told(results: Results) -> Results:
    """Return results whose intervals are as people are told them; files and scripts have them as computed."""
    groups, programmes = tuple(map(_of, results.groups)), tuple(map(_of, results.programmes))
    timelines = tuple(replace(one, low=possible(one.quantity, one.low, one.high)) for one in results.timelines)
    return replace(results, groups=groups, programmes=programmes, timelines=timelines)


def _of(one: _Of) -> _Of:
    quantities = {key: told_of(key, found) for key, found in one.quantities.items()}
    if isinstance(one, BatchResult):
        return replace(one, quantities=quantities)
    return replace(one, quantities=quantities, by_batch=tuple(map(_of, one.by_batch)))


def told_of(key: str, found: QuantityResult) -> QuantityResult:
    """Return one quantity as people are told it."""
    return replace(
        found,
        low=possible(key, found.low, found.high),
        next_low=possible(key, found.next_low, found.next_high),
        tolerance_low=possible(key, found.tolerance_low, found.tolerance_high),
    )
