"""Where a function crosses zero: Brent's method, without the fifth of a second that loading scipy.optimize takes."""

from collections.abc import Callable
from math import copysign, inf
from typing import NamedTuple

_LAST_DIGITS = 2.0**-50
"""Part of the place that is not told apart: four units of the last binary digit."""
_MOST_STEPS = 100


class _Point(NamedTuple):
    x: float
    y: float


def zero_of(function: Callable[[float], float], low: float, high: float, *, precision: float = 2e-12) -> float:
    """Return where a continuous function crosses zero.

    Parameters:
        function: of one number, with values of different signs at both ends [unit of its value].
        low: one end of where to look [unit of the place].
        high: the other end [unit of the place].
        precision: how near to the zero the answer is, beside 2⁻⁵⁰ of the place [unit of the place].

    Equation: each step goes to the zero of the line through the last two points, or of the parabola x(y) through three,
        where that at least halves the step before the last; else to the middle of the points that hold the zero

    Reference: Brent 1973, Algorithms for Minimization without Derivatives, chapter 4. Worked value: √2; a test holds
        the places against those of scipy.optimize.brentq, to the last digit.

    >>> zero_of(lambda x: x * x - 2.0, 0.0, 2.0)
    1.4142135623731364
    """
    before, best = (_Point(end, function(end)) for end in (low, high))
    if before.y == 0.0:
        return before.x
    if before.y * best.y > 0.0:
        raise ValueError("the function has the same sign at both ends")
    across, earlier, step = before, 0.0, 0.0
    for _ in range(_MOST_STEPS):
        if (before.y < 0.0) != (best.y < 0.0):
            across, earlier, step = before, best.x - before.x, best.x - before.x
        if abs(across.y) < abs(best.y):
            before, best, across = best, across, best
        near, half = (precision + _LAST_DIGITS * abs(best.x)) / 2.0, (across.x - best.x) / 2.0
        if best.y == 0.0 or abs(half) < near:
            return best.x
        guess = _guess(before, best, across) if abs(earlier) > near and abs(best.y) < abs(before.y) else inf
        short = 2.0 * abs(guess) < min(abs(earlier), 3.0 * abs(half) - near)
        earlier, step = (step, guess) if short else (half, half)
        place = best.x + (step if abs(step) > near else copysign(near, half))
        before, best = best, _Point(place, function(place))
    raise RuntimeError(f"no zero found in {_MOST_STEPS} steps")


def _guess(before: _Point, best: _Point, across: _Point) -> float:
    """Return the step from the best point to the zero of the line or the parabola."""
    if before == across:
        return -best.y * (best.x - before.x) / (best.y - before.y)
    slope, slope_across = ((one.y - best.y) / (one.x - best.x) for one in (before, across))
    return -best.y * (across.y * slope_across - before.y * slope) / (slope_across * slope * (across.y - before.y))
