"""Which slip of the pen, or which swap of two cells, would explain a reading that does not fit."""

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from bodytest.intake.cells import factor
from bodytest.quantities import READING_BY_KEY
from bodytest.rules.neighbours import Expected, Readings, write_other

SHIFT, TURN, DIGIT = "a slipped decimal point", "two digits in each other’s place", "one wrong digit"
SURE = (SHIFT, TURN)
"""Slips that explain a number which hardly anything else does."""
SHOULD_BE = " By its neighbours it should be about {usual} {unit}."
WOULD_FIT = " {meant} {unit} instead of {value} {unit} ({kind}) would fit its neighbours."
IN_PLACE = " In each other’s place, {names} ({cell}) would both fit their neighbours."
_MEANT = re.compile(r" ([-\d.e+]+) \S+ instead of [-\d.e+]+ \S+ \([^()]*\) would fit its neighbours\.$")
_SWAPPED = re.compile(r"In each other’s place, [^()]* \((.+)\) would both fit their neighbours\.$")
"""`WOULD_FIT` and `IN_PLACE`, to read again what they said."""
EXPLAINED = 2000
"""How many odd readings of one kind get an explanation; the others are told without one."""
SHIFTED = 0.08
"""How far, as a share of what is usual, a number may be that a shifted decimal point explains."""


def swap_that_mends(readings: Readings, key: str, position: int, doubtful: frozenset[str]) -> str | None:
    """Return the key of the reading that, in each other's place with this one, would make both fit."""
    value = readings.values[key][position]
    for other in readings.readings:
        beside = readings.values[other.key][position]
        if other.key == key or np.isnan(beside) or abs(value - beside) <= 1e-9 * value:
            continue
        both = doubtful | {key, other.key}
        here = readings.expected(key, position, both)
        there = readings.expected(other.key, position, both)
        if here is None or there is None or (here.fits(value) and there.fits(beside)):
            continue
        if here.fits(beside) and there.fits(value):
            return other.key
    return None


def slip_that_mends(value: float, expected: Expected) -> tuple[float, str] | None:
    """Return the number meant and the kind of slip, None when no single slip explains the value.

    >>> slip_that_mends(940.0, Expected(94.3, 0.5))
    (94.0, 'a slipped decimal point')
    >>> slip_that_mends(49.3, Expected(94.1, 0.5))
    (94.3, 'two digits in each other’s place')
    """
    shifted = min(_shifted(value), key=lambda c: abs(np.log(c / expected.value)))
    if abs(shifted - expected.value) < SHIFTED * expected.value:
        return shifted, SHIFT
    for kind, candidates in ((TURN, _transposed(value)), (DIGIT, _one_digit(value))):
        fitting = [c for c in candidates if expected.fits(c)]
        if fitting:
            return min(fitting, key=lambda c: abs(c - expected.value)), kind
    return None


def _shifted(value: float) -> Iterator[float]:
    for power in (-1, 1, -2, 2, -3, 3):
        yield float(f"{value * 10.0**power:.10g}")


def _transposed(value: float) -> Iterator[float]:
    text = f"{value:.10g}"
    digits = [i for i, c in enumerate(text) if c.isdigit()]
    for left, right in itertools.pairwise(digits):
        if text[left] != text[right]:
            signs = list(text)
            signs[left], signs[right] = signs[right], signs[left]
            yield float("".join(signs))


def _one_digit(value: float) -> Iterator[float]:
    text = f"{value:.10g}"
    for at, sign in enumerate(text):
        if sign.isdigit():
            for digit in "0123456789":
                if digit != sign:
                    yield float(text[:at] + digit + text[at + 1 :])


@dataclass(frozen=True)
class Mend:
    """What would put a reading right."""

    words: str
    """A sentence with a space before it; ``""`` when nothing is known."""
    slipped: tuple[str, ...] = ()
    """Keys of the readings that a slip explains which hardly anything else does, confirmed by the neighbours."""


def mend(readings: Readings, key: str, position: int, doubtful: frozenset[str] = frozenset()) -> Mend:
    """Return what would mend a reading, by its neighbours and by readings of its bar that are not doubtful.

    One wrong digit is told but never sure: a few tries of it reach almost any number.
    """
    value = float(readings.values[key][position])
    other = swap_that_mends(readings, key, position, doubtful)
    if other is not None:
        return Mend(swap_words(readings, key, other, position), (key, other))
    expected = readings.expected(key, position, doubtful)
    if expected is None or expected.fits(value):
        return Mend("")
    unit = readings.unit(key, position)
    size = factor(unit)
    slip = slip_that_mends(value / size, Expected(expected.value / size, expected.tolerance / size))
    if slip is None:
        return Mend(SHOULD_BE.format(usual=f"{expected.value / size:.4g}", unit=unit))
    meant, kind = slip
    words = WOULD_FIT.format(meant=f"{meant:.8g}", unit=unit, value=f"{value / size:.8g}", kind=kind)
    return Mend(words, (key,) if kind in SURE else ())


def refuse_slip(readings: Readings, key: str, position: int, found: Mend) -> set[tuple[str, int]]:
    """Write down a confirmed slip, blank what it concerns, and return that."""
    readings.tell("slip-confirmed", key, position, mend=found.words)
    for other in found.slipped:
        if other != key:
            write_other(readings, other, key, position)
    refused = {(one, position) for one in found.slipped}
    readings.forget(refused)
    return refused


def swap_words(readings: Readings, key: str, other: str, position: int) -> str:
    """Return the sentence that two readings would fit in each other's place."""
    cell = readings.cell(other, position, beside=key)
    names = f"{READING_BY_KEY[key].heading} and {READING_BY_KEY[other].heading}"
    return IN_PLACE.format(names=names, cell=cell)


def meant_in(sentence: str) -> str | None:
    """Return the number that a sentence on a slip says was meant; None where it tells of no slip.

    >>> meant_in("It is not used. 92.8 mm instead of 9.28 mm (a slipped decimal point) would fit its neighbours.")
    '92.8'
    """
    found = _MEANT.search(sentence)
    return found.group(1) if found else None


def swapped_in(sentence: str) -> str | None:
    """Return the cell that a sentence says should change places with its own; None where it tells of none.

    >>> swapped_in("In each other’s place, dry mass and wet mass (Bars!I23) would both fit their neighbours.")
    'Bars!I23'
    """
    found = _SWAPPED.search(sentence)
    return found.group(1) if found else None
