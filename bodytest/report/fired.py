"""Which bars were really fired, as against bars that stand on the sheet with a firing still to come."""

from collections.abc import Iterable

from bodytest.quantities import QUANTITIES
from bodytest.results import Group, Programme

Tested = Group | Programme
"""Bars that one mean speaks for: those of a programme over all its loads, of one load, or not fired yet."""

_NEED_FIRING = {q.key for q in QUANTITIES if q.needs_firing and all(r.stage != "bisque" for r in q.readings)}


def is_fired(one: Tested) -> bool:
    """Say whether there is at least one value that only fired bars have."""
    return bool(one.firing) and bool(_NEED_FIRING & set(one.quantities))


def firing_dates(groups: Iterable[Group]) -> list[str]:
    """Return the ISO dates of the firings that took place, earliest first."""
    return sorted({group.date for group in groups if group.date and is_fired(group)})
