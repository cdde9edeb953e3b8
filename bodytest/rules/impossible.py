"""Readings that cannot both be right: a dry bar longer than wet, a suspended mass above the fired one."""

import numpy as np

from bodytest.lab.forming import FORMING
from bodytest.lab.record import Order
from bodytest.quantities import ORDERS, READING_BY_KEY
from bodytest.rules.neighbours import Readings, only_misfit, write_other
from bodytest.rules.slips import EXPLAINED, mend, swap_that_mends, swap_words


def refuse_impossible(readings: Readings) -> set[tuple[str, int]]:
    """Write down impossible pairs, blank what cannot be used, and return what was spoken of as key and position."""
    broken: dict[int, list[Order]] = {}
    barely: set[tuple[str, int]] = set()
    for order in ORDERS:
        if not order.code or order.larger.key not in readings.values or order.smaller.key not in readings.values:
            continue
        excess = readings.values[order.smaller.key] - readings.values[order.larger.key]
        if order.not_when:
            excess = np.where(readings.texts(FORMING.key) == order.not_when, np.nan, excess)
        steps = readings.steps(order.at.dimension.instrument.name)
        allowed = 0.0 * steps if order.strict else steps * (1 + 1e-6)
        for position in np.flatnonzero((excess > 1e-9) & (excess <= allowed)).tolist():
            _ask_about_barely(readings, order, position)
            barely.add((order.at.key, position))
        for position in np.flatnonzero(excess >= 0 if order.strict else excess > np.maximum(allowed, 1e-9)).tolist():
            broken.setdefault(position, []).append(order)
    refused: set[tuple[str, int]] = set()
    for number, (position, orders) in enumerate(sorted(broken.items())):
        for key in _refuse(readings, position, orders, explain=number < EXPLAINED):
            refused.add((key, position))
    readings.forget(refused)
    return refused | barely


def _ask_about_barely(readings: Readings, order: Order, position: int) -> None:
    """Ask about a pair the wrong way round by no more than the reading uncertainty."""
    excess = float(readings.values[order.smaller.key][position] - readings.values[order.larger.key][position])
    words = {"smaller": order.smaller.heading, "larger": order.larger.heading}
    shown = readings.shown(order.at.key, position, excess)
    readings.tell("within-reading-uncertainty", order.at.key, position, **words, excess=shown)


def _refuse(readings: Readings, position: int, orders: list[Order], *, explain: bool) -> frozenset[str]:
    """Write down what is impossible about one bar and return the readings that cannot be used."""
    involved = frozenset(key for order in orders for key in (order.larger.key, order.smaller.key))
    if explain and (swap := _swap(readings, position, involved)) is not None:
        likeness = [len({o.larger.key, o.smaller.key} & set(swap)) for o in orders]
        order = orders[likeness.index(max(likeness))]
        return _refuse_swapped(readings, position, order, swap)
    culprit = only_misfit(readings, position, involved) if explain else None
    if culprit is not None and all(culprit in (o.larger.key, o.smaller.key) for o in orders):
        words = mend(readings, culprit, position, involved).words
        verdict = f" The {READING_BY_KEY[culprit].heading} is the one that does not fit and is not used.{words}"
        _write(readings, orders[0], position, culprit, verdict)
        return frozenset({culprit})
    refused: set[str] = set()
    for order in orders:
        at, other = _pair(order)
        refused.add(at)
        if order.strict:
            verdict = f" The {order.at.heading} is not used; everything else of the bar is."
            _write(readings, order, position, at, verdict)
        else:
            _write(readings, order, position, at, " Neither is used.")
            write_other(readings, other, at, position)
            refused.add(other)
    return frozenset(refused)


def _swap(readings: Readings, position: int, involved: frozenset[str]) -> tuple[str, str] | None:
    """Return two readings, one of them involved, that would both fit in each other's place."""
    for reading in readings.readings:
        if reading.key in involved:
            other = swap_that_mends(readings, reading.key, position, frozenset())
            if other is not None:
                return reading.key, other
    return None


def _refuse_swapped(readings: Readings, position: int, order: Order, swap: tuple[str, str]) -> frozenset[str]:
    """Write down two readings in each other's place; neither can be used."""
    at = next(key for key in _pair(order) if key in swap)
    other = swap[1] if at == swap[0] else swap[0]
    verdict = " Neither is used."
    if (at, other) != _pair(order):
        verdict = f" The {READING_BY_KEY[at].heading} and the {READING_BY_KEY[other].heading} are not used."
    _write(readings, order, position, at, verdict + swap_words(readings, at, other, position))
    write_other(readings, other, at, position)
    return frozenset(swap)


def _pair(order: Order) -> tuple[str, str]:
    """Return both readings of an order, the one whose cell is named first in front."""
    return order.at.key, (order.larger if order.at.key == order.smaller.key else order.smaller).key


def _write(readings: Readings, order: Order, position: int, at: str, verdict: str) -> None:
    other = order.larger.key if at == order.smaller.key else order.smaller.key
    pair = {"larger": order.larger.key, "smaller": order.smaller.key}
    words = {name: readings.shown(key, position, readings.values[key][position]) for name, key in pair.items()}
    readings.tell(order.code, at, position, **words, other=readings.cell(other, position, beside=at), verdict=verdict)
