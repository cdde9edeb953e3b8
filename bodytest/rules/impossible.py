"""Readings that cannot both be right: a dry bar longer than wet, a suspended mass above the fired one."""

from dataclasses import dataclass

import numpy as np

from bodytest.grids.grid import address
from bodytest.grids.notebook import Notebook
from bodytest.quantities import READING_BY_KEY
from bodytest.rules.neighbours import Readings, measured
from bodytest.rules.slips import mend_words, swap_that_mends, swap_words

EXPLAINED = 400
"""How many impossible bars of a workbook get an explanation; the others are told without one."""


@dataclass(frozen=True)
class Order:
    """One reading that is never above another one of the same bar."""

    code: str
    """Finding when it is."""
    larger: str
    """Key of the reading that is the larger one."""
    smaller: str
    """Key of the reading that is never above it."""
    at: str
    """Key of the cell that is named first."""
    strict: bool = False
    """Is equality impossible too, and no reading uncertainty allowed for?"""


ORDERS: tuple[Order, ...] = (
    Order("leather-hard-longer-than-wet", "wet_length", "leather_hard_length", "leather_hard_length"),
    Order("dry-longer-than-wet", "wet_length", "dry_length", "dry_length"),
    Order("dry-longer-than-leather-hard", "leather_hard_length", "dry_length", "dry_length"),
    Order("dry-heavier-than-wet", "wet_mass", "dry_mass", "dry_mass"),
    Order("fired-heavier-than-dry", "dry_mass", "fired_mass", "fired_mass"),
    Order("cold-soaked-below-fired", "cold_soaked_mass", "fired_mass", "cold_soaked_mass"),
    Order("boiled-below-fired", "boiled_mass", "fired_mass", "boiled_mass"),
    Order("suspended-not-below-fired", "fired_mass", "suspended_mass", "suspended_mass", strict=True),
)


def refuse_impossible(readings: Readings, step: float | None, notes: Notebook) -> set[tuple[str, int]]:
    """Write down impossible pairs, blank what cannot be used, and return what was spoken of as key and position."""
    broken: dict[int, list[Order]] = {}
    barely: set[tuple[str, int]] = set()
    for order in ORDERS:
        if order.larger not in readings.values:
            continue
        excess = readings.values[order.smaller] - readings.values[order.larger]
        allowed = 0.0 if order.strict else (step or 0.0) * (1 + 1e-6)
        for position in np.flatnonzero((excess > 1e-9) & (excess <= allowed)).tolist():
            _ask_about_barely(readings, order, position, notes)
            barely.add((order.at, position))
        for position in np.flatnonzero(excess >= 0 if order.strict else excess > max(allowed, 1e-9)).tolist():
            broken.setdefault(position, []).append(order)
    refused: set[tuple[str, int]] = set()
    for number, (position, orders) in enumerate(sorted(broken.items())):
        for key in _refuse(readings, position, orders, explain=number < EXPLAINED, notes=notes):
            refused.add((key, position))
    _forget(readings, refused)
    return refused | barely


def _forget(readings: Readings, refused: set[tuple[str, int]]) -> None:
    for key in {key for key, _ in refused}:
        positions = np.array([p for k, p in refused if k == key])
        readings.sheet.forget(key, positions)
        readings.values[key] = readings.values[key].copy()
        readings.values[key][positions] = np.nan


def _ask_about_barely(readings: Readings, order: Order, position: int, notes: Notebook) -> None:
    """Ask about a pair the wrong way round by no more than the reading uncertainty."""
    excess = float(readings.values[order.smaller][position] - readings.values[order.larger][position])
    notes.add(
        "within-reading-uncertainty",
        **readings.cell(order.at, position),
        value=float(readings.values[order.at][position]),
        smaller=READING_BY_KEY[order.smaller].heading,
        larger=READING_BY_KEY[order.larger].heading,
        excess=measured(order.at, excess),
    )


def _refuse(
    readings: Readings, position: int, orders: list[Order], *, explain: bool, notes: Notebook
) -> frozenset[str]:
    """Write down what is impossible about one bar and return the readings that cannot be used."""
    involved = frozenset(key for order in orders for key in (order.larger, order.smaller))
    if explain and (swap := _swap(readings, position, involved)) is not None:
        likeness = [len({o.larger, o.smaller} & set(swap)) for o in orders]
        order = orders[likeness.index(max(likeness))]
        return _refuse_swapped(readings, position, order, swap, notes)
    culprit = _culprit(readings, position, orders, involved) if explain else None
    if culprit is not None:
        order = next(o for o in orders if culprit in (o.larger, o.smaller))
        words = mend_words(readings, culprit, position, involved)
        verdict = f" The {READING_BY_KEY[culprit].heading} is the one that does not fit and is not used.{words}"
        _write(readings, order, position, culprit, verdict, notes)
        return frozenset({culprit})
    refused: set[str] = set()
    for order in orders:
        if order.strict:
            verdict = f" The {READING_BY_KEY[order.at].heading} is not used; everything else of the bar is."
            _write(readings, order, position, order.at, verdict, notes)
            refused.add(order.at)
        else:
            _write(readings, order, position, order.at, " Neither is used.", notes)
            _write_other(readings, _partner(order), order.at, position, notes)
            refused |= {order.at, _partner(order)}
    return frozenset(refused)


def _swap(readings: Readings, position: int, involved: frozenset[str]) -> tuple[str, str] | None:
    """Return two readings, one of them involved, that would both fit in each other's place."""
    for reading in readings.readings:
        if reading.key in involved:
            other = swap_that_mends(readings, reading.key, position, frozenset())
            if other is not None:
                return reading.key, other
    return None


def _refuse_swapped(
    readings: Readings, position: int, order: Order, swap: tuple[str, str], notes: Notebook
) -> frozenset[str]:
    """Write down two readings in each other's place; neither can be used."""
    at = next(key for key in (order.at, _partner(order)) if key in swap)
    other = swap[1] if at == swap[0] else swap[0]
    verdict = " Neither is used."
    if other != _partner(order) or at != order.at:
        verdict = f" The {READING_BY_KEY[at].heading} and the {READING_BY_KEY[other].heading} are not used."
    _write(readings, order, position, at, verdict + swap_words(readings, at, other, position), notes)
    _write_other(readings, other, at, position, notes)
    return frozenset(swap)


def _write_other(readings: Readings, key: str, at: str, position: int, notes: Notebook) -> None:
    """Write down the other one of two readings that cannot both be right, once."""
    if not notes.knows(**readings.cell(key, position)):
        notes.add(
            "contradicts-another",
            **readings.cell(key, position),
            value=float(readings.values[key][position]),
            heading=READING_BY_KEY[key].heading,
            other=_cell(readings, at, position),
        )


def _partner(order: Order) -> str:
    return order.larger if order.at == order.smaller else order.smaller


def _culprit(readings: Readings, position: int, orders: list[Order], involved: frozenset[str]) -> str | None:
    """Return the one reading that alone does not fit its neighbours and explains every broken order."""
    suspects = [k for k in involved if all(k in (o.larger, o.smaller) for o in orders)]
    fitting = {}
    for key in involved:
        expected = readings.expected(key, position, involved)
        if expected is None:
            return None
        fitting[key] = expected.fits(float(readings.values[key][position]))
    misfits = [key for key in involved if not fitting[key]]
    return misfits[0] if len(misfits) == 1 and misfits[0] in suspects else None


def _write(readings: Readings, order: Order, position: int, at: str, verdict: str, notes: Notebook) -> None:
    other = order.larger if at == order.smaller else order.smaller
    larger = readings.values[order.larger][position]
    smaller = readings.values[order.smaller][position]
    notes.add(
        order.code,
        **readings.cell(at, position),
        value=float(readings.values[at][position]),
        bar=readings.sheet.bars["bar"].iloc[readings.bar_rows[position]],
        larger=measured(order.larger, larger),
        smaller=measured(order.smaller, smaller),
        other=_cell(readings, other, position),
        verdict=verdict,
    )


def _cell(readings: Readings, key: str, position: int) -> str:
    place = readings.cell(key, position)
    return address(place["table"], place["row"], place["column"])
