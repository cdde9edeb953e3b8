"""Which slip of the pen, or which swap of two cells, would explain a reading that does not fit."""

import itertools
from collections.abc import Iterator

import numpy as np

from bodytest.quantities import READING_BY_KEY
from bodytest.rules.neighbours import Expected, Readings, measured

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
        return shifted, "a slipped decimal point"
    for kind, candidates in (
        ("two digits in each other’s place", _transposed(value)),
        ("one wrong digit", _one_digit(value)),
    ):
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


def mend_words(readings: Readings, key: str, position: int, doubtful: frozenset[str] = frozenset()) -> str:
    """Return a sentence (with a space before it) that says what would mend a reading, ``""`` when nothing is known."""
    value = float(readings.values[key][position])
    other = swap_that_mends(readings, key, position, doubtful)
    if other is not None:
        return swap_words(readings, key, other, position)
    expected = readings.expected(key, position, doubtful)
    if expected is None or expected.fits(value):
        return ""
    slip = slip_that_mends(value, expected)
    if slip is None:
        return f" By its neighbours it should be about {measured(key, float(f'{expected.value:.4g}'))}."
    meant, kind = slip
    return f" {measured(key, meant)} instead of {measured(key, value)} ({kind}) would fit its neighbours."


def swap_words(readings: Readings, key: str, other: str, position: int) -> str:
    """Return the sentence that two readings would fit in each other's place."""
    cell = readings.cell(other, position, beside=key)
    names = f"{READING_BY_KEY[key].heading} and {READING_BY_KEY[other].heading}"
    return f" In each other’s place, {names} ({cell}) would both fit their neighbours."
