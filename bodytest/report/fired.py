"""Which groups were really fired, as against bars that stand on the sheet with a firing still to come."""

from collections.abc import Iterable

from bodytest.quantities import QUANTITIES
from bodytest.results import Group

_NEED_FIRING = {q.key for q in QUANTITIES if q.needs_firing and all(r.stage != "bisque" for r in q.readings)}


def fired_groups(groups: Iterable[Group]) -> list[Group]:
    """Return the groups with at least one value that only fired bars have."""
    return [group for group in groups if group.firing and _NEED_FIRING & set(group.quantities)]


def firing_dates(groups: Iterable[Group]) -> list[str]:
    """Return the ISO dates of the firings that took place, earliest first."""
    return sorted({group.date for group in fired_groups(groups) if group.date})
