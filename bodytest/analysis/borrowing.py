"""Scatter of batches and loads known from elsewhere, as a second interval beside the own one."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.groups import summary_of
from bodytest.budget import Borrowed
from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY
from bodytest.results import Programme
from bodytest.stats.borrowed import KnownScatter, borrow_scatter
from bodytest.tables import Lab

_SHRINKAGES = ("drying_shrinkage", "firing_shrinkage", "total_shrinkage")
"""Quantities that a scatter stated in percentage points of shrinkage is for."""


@dataclass(frozen=True)
class Lent:
    """What is known of scatter from elsewhere, percentage points of shrinkage."""

    source: str
    """``Lab sheet`` or ``other programmes``."""
    batches: KnownScatter | None
    """Between batches."""
    loads: KnownScatter | None
    """Between loads of a programme."""


def stated(lab: Lab) -> Lent:
    """Return what the Lab table states."""
    known = (
        (lab.batch_scatter_points, lab.batch_scatter_from),
        (lab.load_scatter_points, lab.load_scatter_from),
    )
    batches, loads = (KnownScatter(sd, number) if sd and number else None for sd, number in known)
    return Lent("Lab sheet", batches, loads)


def seen_elsewhere(programmes: Sequence[Programme], asking: Programme) -> Lent:
    """Return the scatter of total shrinkage that the workshop's other programmes of the same purpose show, pooled."""
    others = [
        (one, one.quantities["total_shrinkage"])
        for one in programmes
        if one.programme != asking.programme and one.purpose == asking.purpose and "total_shrinkage" in one.quantities
    ]
    batches = _pooled([(found.batch_sd, len(one.batches)) for one, found in others])
    loads = _pooled([(found.load_sd, len(one.loads)) for one, found in others])
    return Lent("other programmes", batches, loads)


def _pooled(seen: list[tuple[float | None, int]]) -> KnownScatter | None:
    known = [(sd, count - 1) for sd, count in seen if sd is not None and count > 1]
    freedom = sum(own for _, own in known)
    if not freedom:
        return None
    return KnownScatter(math.sqrt(math.fsum(sd**2 * own for sd, own in known) / freedom), freedom + 1)


def with_borrowed(bench: Bench, programme: Programme, rows: Rows, lent: Lent) -> Programme:
    """Return a programme whose shrinkages carry the second interval where its own bars cannot speak of other loads."""
    if lent.batches is None and lent.loads is None:
        return programme
    changed = {
        key: replace(found, borrowed=borrowed)
        for key in _SHRINKAGES
        if (found := programme.quantities.get(key)) and (borrowed := _borrowed(bench, key, rows, lent))
    }
    return replace(programme, quantities={**programme.quantities, **changed}) if changed else programme


def _borrowed(bench: Bench, key: str, rows: Rows, lent: Lent) -> Borrowed | None:
    quantity = QUANTITY_BY_KEY[key]
    fired = any(READING_BY_KEY[need].stage == "fired" for need in quantity.needs)
    at = bench if fired else bench.unfired()
    own = summary_of(at, quantity, rows)
    if own is None:
        return None
    loads = lent.loads if fired else None
    found = borrow_scatter(own, between_batches=lent.batches, between_loads=loads, confidence=bench.confidence)
    if found is None:
        return None
    return Borrowed(
        from_=lent.source,
        batches=lent.batches.number if lent.batches and own.batches == 1 else None,
        loads=loads.number if loads and own.loads == 1 else None,
        **{end: getattr(found, end) for end in ("low", "high", "next_low", "next_high")},
    )
