"""Numbers for people: no more digits than the uncertainty allows, the unit always, a true minus sign.

The rule is that of the GUM (JCGM 100:2008, 7.2.6): an uncertainty is given with at most two significant digits and
the value to the same decimal; an uncertainty is rounded up where rounding to nearest would take more than 5 % from it.
All numbers of one quantity in one column of a table end at one decimal: there the largest uncertainty has two digits,
the smallest at least one. A sentence drops a second digit that says nothing, where the first is 3 or more.

Every function returns a finished string with no-break spaces.
"""

from collections.abc import Iterable
from decimal import ROUND_HALF_EVEN, Decimal
from math import isfinite

NO_BREAK = "\N{NO-BREAK SPACE}"
"""Stands between a number and its unit."""
MINUS = "−"
"""The true minus sign."""
ABSENT = "–"
"""Shown where there is no value."""
MOST_DECIMALS = 6
"""Never more decimals than these, however small the uncertainty."""


def decimals_for(uncertainty: float | None, *, otherwise: int = 1) -> int:
    """Return the decimals to which a sentence shows an uncertainty and its value; ``otherwise`` where there is none.

    One digit where the first is 3 or more and dropping the second takes at most 5 % from the uncertainty, else two.
    Negative for tens and hundreds. The two examples of GUM 7.2.6 are 10.47 mΩ, given as 10 or 11 mΩ, and 27 mΩ, which
    rounds 10.057 62 Ω to 10.058 Ω.

    >>> decimals_for(0.23), decimals_for(0.42), decimals_for(10.47), decimals_for(0.027), decimals_for(260.0)
    (2, 1, 0, 3, -1)
    >>> decimals_for(0.44), decimals_for(0.46)
    (2, 1)
    >>> decimals_for(None, otherwise=2), decimals_for(0.0)
    (2, 1)
    """
    if uncertainty is None or not isfinite(uncertainty) or uncertainty == 0:
        return otherwise
    size = Decimal(repr(abs(float(uncertainty))))
    one_digit = -size.adjusted()
    says_nothing = size.as_tuple().digits[0] > 2 and not _understates(_nearest(size, one_digit), size)
    return min(one_digit if says_nothing else one_digit + 1, MOST_DECIMALS)


def column_decimals(uncertainties: Iterable[float | None], *, otherwise: int = 1) -> int:
    """Return the decimals of a whole column: two digits of the largest uncertainty, of the smallest at least one.

    Where there is no uncertainty: ``otherwise``.

    >>> column_decimals([0.93, 0.21, None]), column_decimals([0.93, 0.004]), column_decimals([3.0]), column_decimals([])
    (2, 3, 1, 1)
    >>> column_decimals([0.996]), column_decimals([26.0, 0.0])
    (1, 0)
    """
    known = [abs(one) for one in uncertainties if one is not None and isfinite(one) and one != 0]
    if not known:
        return otherwise
    largest = max(known)
    two_digits = 1 + _places(largest)
    if round(largest, two_digits) >= 10.0 ** (2 - two_digits):
        two_digits -= 1
    return min(max(two_digits, _places(min(known))), MOST_DECIMALS)


def _places(number: float) -> int:
    """Return the decimal at which the first digit of a number stands, e.g. 2 for 0.043."""
    return -Decimal(repr(abs(float(number)))).adjusted()


MOST_LOST = Decimal("0.05")
"""Share of an uncertainty that rounding to nearest may take from it; beyond that it is rounded up."""


def uncertainty_text(uncertainty: float | None, decimals: int = 1) -> str:
    """Return an uncertainty rounded to ``decimals``, up where rounding to nearest would lose more than 5 % of it.

    10.47 mΩ is GUM 7.2.6's own example of an uncertainty that is rather given as 11 than as 10 mΩ; as 10 it would be
    less by 4.5 %.

    >>> [uncertainty_text(one, 0) for one in (10.47, 28.05, 1.43, 1.04, 0.3)]
    ['10', '28', '2', '1', '1']
    >>> uncertainty_text(0.0042, 2), uncertainty_text(0.0, 2), uncertainty_text(None)
    ('0.01', '0.00', '–')
    """
    if uncertainty is None or not isfinite(uncertainty):
        return ABSENT
    size = Decimal(repr(abs(float(uncertainty))))
    nearest = _nearest(size, decimals)
    shown = nearest + Decimal(1).scaleb(-decimals) if _understates(nearest, size) else nearest
    return number_text(float(shown), decimals)


def _nearest(number: Decimal, decimals: int) -> Decimal:
    return number.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN)


def _understates(shown: Decimal, uncertainty: Decimal) -> bool:
    return shown < uncertainty * (1 - MOST_LOST)


def number_text(value: float | None, decimals: int = 1) -> str:
    """Return a number rounded to ``decimals`` (half to even on the written digits), `ABSENT` for None or NaN.

    >>> number_text(-0.04, 2), number_text(2.675, 2), number_text(-0.001, 1), number_text(1234.5, -1)
    ('−0.04', '2.68', '0.0', '1230')
    >>> number_text(11.87, 1), number_text(None)
    ('11.9', '–')
    """
    if value is None or not isfinite(value):
        return ABSENT
    rounded = _nearest(Decimal(repr(float(value))), decimals)
    return f"{MINUS if rounded < 0 else ''}{abs(rounded):f}"


def decimals_apart(value: float, decimals: int, limits: Iterable[float]) -> int:
    """Return the decimals that show a value on its own side of each limit: ``decimals`` or more.

    >>> decimals_apart(3.98, 1, [4.0]), decimals_apart(3.9, 1, [4.0]), decimals_apart(4.0, 1, [4.0])
    (2, 1, 1)
    """
    while decimals < MOST_DECIMALS and any(_swapped(value, decimals, limit) for limit in limits):
        decimals += 1
    return decimals


def _swapped(value: float, decimals: int, limit: float) -> bool:
    """Tell whether a value, rounded, stands otherwise to a limit than it does."""
    shown = float(_nearest(Decimal(repr(float(value))), decimals))
    return ((shown > limit) - (shown < limit)) != ((value > limit) - (value < limit))


def decimals_between(low: float, high: float, decimals: int) -> int:
    """Return the decimals that tell both ends of a range from each other: ``decimals`` or more.

    >>> decimals_between(7.996, 8.003, 2), decimals_between(7.98, 8.02, 2), decimals_between(8.0, 8.0, 2)
    (3, 2, 2)
    """
    while decimals < MOST_DECIMALS and low < high and number_text(low, decimals) == number_text(high, decimals):
        decimals += 1
    return decimals


def counted(count: int, noun: str) -> str:
    """Return a count with its noun.

    >>> counted(1, "body"), counted(3, "body"), counted(2, "batch")
    ('1 body', '3 bodies', '2 batches')
    """
    plural = f"{noun[:-1]}ies" if noun.endswith("y") else f"{noun}es" if noun.endswith("ch") else f"{noun}s"
    return f"{count} {noun if count == 1 else plural}"


def difference_unit(unit: str, number: str) -> str:
    """Return the unit of a difference in words; percentages differ by percentage points.

    >>> difference_unit("%", "0.2"), difference_unit("%", "1"), difference_unit("mm", "1")
    ('percentage points', 'percentage point', 'mm')
    """
    return unit if unit != "%" else "percentage point" if number == "1" else "percentage points"


def with_unit(text: str, unit: str) -> str:
    """Set the unit behind a number with a no-break space; nothing for a ratio or an absent value.

    >>> with_unit("11.9", "%"), with_unit("0.84", ""), with_unit("–", "%")
    ('11.9\xa0%', '0.84', '–')
    """
    return f"{text}{NO_BREAK}{unit}" if unit and text != ABSENT else text


def chance_text(chance: float) -> str:
    """Return a chance in per cent that never claims certainty.

    >>> chance_text(0.8651), chance_text(0.99999), chance_text(0.0001)
    ('87 %', 'over 99 %', 'under 1 %')
    """
    if chance > 0.995:
        return "over 99 %"
    return "under 1 %" if chance < 0.005 else f"{100 * chance:.0f} %"


def plus_minus_text(value: float | None, half_width: float | None, decimals: int, unit: str = "") -> str:
    """Return ``value ± half-width unit``; the value alone where there is no half-width.

    >>> plus_minus_text(11.8653, 0.2274, 2, "%"), plus_minus_text(12.1632, 0.9431, 1)
    ('11.87\xa0±\xa00.23\xa0%', '12.2\xa0±\xa00.9')
    >>> plus_minus_text(2.04, None, 1, "%")
    '2.0\xa0%'
    """
    shown = number_text(value, decimals)
    if value is not None and half_width is not None and isfinite(half_width):
        half = uncertainty_text(half_width, decimals)
        shown = f"{shown}{NO_BREAK}±{NO_BREAK}{half}"
    return with_unit(shown, unit)


def end_text(value: float | None, decimals: int = 1) -> str:
    """Return an end of an interval; one that lies at what is possible at least is a plain 0.

    >>> end_text(0.0, 2), end_text(0.04, 2)
    ('0', '0.04')
    """
    return "0" if value == 0.0 else number_text(value, decimals)


def interval_text(low: float | None, high: float | None, unit: str = "", *, otherwise: int = 1) -> str:
    """Return ``low to high unit``, both to the decimal that half their distance allows.

    >>> interval_text(11.6379, 12.0927, "%")
    '11.64 to 12.09\xa0%'
    >>> interval_text(-0.31, 0.29, "%"), interval_text(None, 3.0, "%")
    ('−0.3 to 0.3\xa0%', '–')
    """
    if low is None or high is None or not (isfinite(low) and isfinite(high)):
        return ABSENT
    decimals = decimals_for((high - low) / 2, otherwise=otherwise)
    return with_unit(f"{end_text(low, decimals)} to {end_text(high, decimals)}", unit)
