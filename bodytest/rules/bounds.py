"""Limits of all quantities: what cannot be true is not used, what clay hardly ever does is asked about."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.lab.forming import FORMING
from bodytest.lab.record import Quantity
from bodytest.lab.uncertainty import step_uncertainty
from bodytest.quantities import QUANTITIES, READING_BY_KEY
from bodytest.rounding import decimals_apart
from bodytest.rules.neighbours import Readings, least_fitting, only_misfit, write_other
from bodytest.rules.slips import EXPLAINED, Mend, mend, refuse_slip
from bodytest.units import INSTRUMENTS

SURE = 2.0
"""Standard uncertainties from the reading steps by which a quantity has to be outside; a check is taken as it is."""
ROUNDING = 1e-9
"""Of the arithmetic: what is outside by no more is not."""


@dataclass(frozen=True)
class _Judged:
    """A quantity, or a check of how another one was measured."""

    quantity: Quantity
    """The record with the limits."""
    blamed: tuple[str, ...]
    """Keys of the readings that a finding is about; what is percentages' base first, the last one in doubt."""
    code: str
    """Finding when a soft limit is passed."""
    sure: float
    """Standard uncertainties from the reading steps by which a value has to be outside."""


def _judged(readings: Readings) -> Iterator[_Judged]:
    """Yield what can be computed from these readings, and could not be from fewer of them."""
    for quantity in QUANTITIES:
        keys = (quantity.base, *(key for key in quantity.needs if key != quantity.base))
        of_quantity = _Judged(quantity, keys, "beyond-clay", SURE)
        checks = (_Judged(c, tuple(k for k in c.needs if k in keys), "test-not-as-usual", 0.0) for c in quantity.checks)
        for one in (of_quantity, *checks):
            of_one_table = len({(r.of_mark, r.dimension.staged) for r in one.quantity.readings}) == 1
            if of_one_table != readings.is_whole and readings.values.keys() >= set(one.quantity.needs):
                yield one


def refuse_untrue(readings: Readings) -> None:
    """Write down values that cannot be true, and blank the readings they come from."""
    for one in _judged(readings):
        refused: set[tuple[str, int]] = set()
        for number, (position, value) in enumerate(_outside(readings, one, *one.quantity.possible)):
            culprit = only_misfit(readings, position, one.blamed) if number < EXPLAINED else None
            keys = (culprit,) if culprit else one.blamed
            _write_untrue(readings, one, position, value, keys)
            refused |= {(key, position) for key in keys}
        readings.forget(refused)


def _write_untrue(readings: Readings, one: _Judged, position: int, value: float, keys: tuple[str, ...]) -> None:
    at, verdict = keys[-1], " None of these is used."
    if len(keys) == 1:
        words = mend(readings, at, position, frozenset(one.blamed)).words
        verdict = f" The {READING_BY_KEY[at].heading} is not used.{words}"
    told = _told(readings, one, position, value, one.quantity.possible)
    readings.tell("impossible-value", at, position, **told, reason=one.quantity.possible_source, verdict=verdict)
    for key in keys[:-1]:
        write_other(readings, key, at, position)


def ask_about_unlikely(readings: Readings, asked: set[tuple[str, int]]) -> None:
    """Ask about values outside the soft limits of their quantity; those in ``asked`` were asked about already."""
    for one in _judged(readings):
        for number, (position, value) in enumerate(_outside(readings, one, *_plausible(readings, one.quantity))):
            if not any((key, position) in asked for key in one.blamed):
                _ask(readings, one, position, value, asked, explain=number < EXPLAINED)


def _ask(
    readings: Readings, one: _Judged, position: int, value: float, asked: set[tuple[str, int]], *, explain: bool
) -> None:
    given = [key for key in one.blamed if not np.isnan(readings.values[key][position])]
    key = least_fitting(readings, position, given) if explain else given[-1]
    found = mend(readings, key, position, frozenset(given)) if explain else Mend("")
    if found.slipped:
        refuse_slip(readings, key, position, found)
        return
    asked.add((key, position))
    limits = one.quantity.plausible_of(readings.texts(FORMING.key)[position])
    readings.tell(one.code, key, position, **_told(readings, one, position, value, limits), mend=found.words)


def _plausible(readings: Readings, quantity: Quantity) -> tuple[np.ndarray, np.ndarray]:
    """Return the soft limits of each entry."""
    low, high = (np.full(len(readings.bar_rows), limit) for limit in quantity.plausible)
    for forming, (lowest, highest) in quantity.plausible_by.items():
        formed = readings.texts(FORMING.key) == forming
        low[formed], high[formed] = lowest, highest
    return low, high


def _outside(readings: Readings, one: _Judged, low: npt.ArrayLike, high: npt.ArrayLike) -> Iterator[tuple[int, float]]:
    """Yield position and value where the quantity is outside by more than the reading steps explain."""
    quantity = one.quantity
    values = np.asarray(quantity.value(readings.values), dtype=float)
    low, high = (np.broadcast_to(limit, values.shape) for limit in (low, high))
    beyond = np.maximum(low - values, values - high)
    if quantity.when is not None:
        choice, option = quantity.when
        beyond = np.where(readings.texts(choice.key) == option, beyond, np.nan)
    positions = np.flatnonzero(beyond > ROUNDING)
    if not len(positions):
        return
    steps = {name: readings.steps(name)[positions] for name in INSTRUMENTS}
    there = {key: readings.values[key][positions] for key in quantity.needs}
    slack = one.sure * np.asarray(step_uncertainty(quantity, there, steps=steps))
    yield from ((int(at), float(values[at])) for at in positions[beyond[positions] > slack])


def amount_of(quantity: Quantity, value: float, limits: tuple[float, float]) -> str:
    """Return a value of a quantity with its unit, to as many digits as show that it is outside some limits."""
    decimals = decimals_apart(value, quantity.digits, limits)
    return " ".join(filter(None, (f"{value:.{decimals}f}".replace("-", "−"), quantity.unit)))


def _told(readings: Readings, one: _Judged, position: int, value: float, limits: tuple[float, float]) -> dict[str, str]:
    """Return what is told of a value outside some limits: what it is, from which readings, and the limits."""
    keys = dict.fromkeys((*one.blamed, *one.quantity.needs))
    given = [(key, float(readings.values[key][position])) for key in keys]
    shown = ((READING_BY_KEY[key].heading, readings.shown(key, position, v)) for key, v in given if not math.isnan(v))
    return {
        "quantity": one.quantity.words,
        "amount": amount_of(one.quantity, value, limits),
        "readings": ", ".join(map(" ".join, shown)),
        "range": range_of(one.quantity, limits),
    }


def range_of(quantity: Quantity, limits: tuple[float, float]) -> str:
    """Return limits of a quantity in words."""
    low, high = (f"{limit:g}".replace("-", "−") for limit in limits)
    words = f"at least {low}" if math.isinf(limits[1]) else f"{low} to {high}"
    return " ".join(filter(None, (words, quantity.unit)))
