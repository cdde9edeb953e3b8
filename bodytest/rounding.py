"""Numbers for people: no more digits than the uncertainty allows, the unit always, a true minus sign.

The rule is that of the GUM (JCGM 100:2008, 7.2.6): an uncertainty is given with at most two significant digits and
the value to the same decimal. Two digits are kept where the first one is 1 or 2, one digit otherwise, so that rounding
never changes an uncertainty by more than about a seventh.

Every function takes the decimal sign, ``.`` or ``,``, and returns a finished string with no-break spaces.
"""

from collections.abc import Iterable
from decimal import ROUND_HALF_EVEN, Decimal
from math import ceil, isfinite, log10

NO_BREAK = "\N{NO-BREAK SPACE}"
"""Stands between a number and its unit."""
MINUS = "−"
"""The true minus sign."""
ABSENT = "–"
"""Shown where there is no value."""
MOST_DECIMALS = 6
"""Never more decimals than these, however small the uncertainty."""


def decimals_for(uncertainty: float | None, *, otherwise: int = 1) -> int:
    """Return the decimals to which an uncertainty and its value are shown; ``otherwise`` where there is none.

    Negative for tens and hundreds. The two examples of GUM 7.2.6 are 10.47 mΩ, given as 10 or 11 mΩ, and 27 mΩ,
    which rounds 10.057 62 Ω to 10.058 Ω.

    >>> decimals_for(0.23), decimals_for(0.43), decimals_for(10.47), decimals_for(0.027), decimals_for(260.0)
    (2, 1, 0, 3, -1)
    >>> decimals_for(None, otherwise=2), decimals_for(0.0)
    (2, 1)
    """
    if uncertainty is None or not isfinite(uncertainty) or uncertainty == 0:
        return otherwise
    size = Decimal(repr(abs(float(uncertainty))))
    digits = 2 if size.as_tuple().digits[0] in {1, 2} else 1
    return min(digits - 1 - size.adjusted(), MOST_DECIMALS)


def column_decimals(uncertainties: Iterable[float | None], *, otherwise: int = 1) -> int:
    """Return the decimals of a whole column: the fewest that leave each uncertainty a digit, at least ``otherwise``.

    >>> column_decimals([0.24, 0.8, None]), column_decimals([0.09, 0.8]), column_decimals([3.0])
    (1, 2, 1)
    """
    needed = [ceil(-log10(one / _ALMOST)) for one in uncertainties if one is not None and isfinite(one) and one > 0]
    return min(max([otherwise, *needed]), MOST_DECIMALS)


_ALMOST = 0.95
"""An uncertainty of so much of a step still rounds to it."""


def number_text(value: float | None, decimals: int = 1, *, decimal_sign: str = ".") -> str:
    """Return a number rounded to ``decimals`` (half to even on the written digits), `ABSENT` for None or NaN.

    >>> number_text(-0.04, 2), number_text(2.675, 2), number_text(-0.001, 1), number_text(1234.5, -1)
    ('−0.04', '2.68', '0.0', '1230')
    >>> number_text(11.87, 1, decimal_sign=","), number_text(None)
    ('11,9', '–')
    """
    if value is None or not isfinite(value):
        return ABSENT
    step = Decimal(1).scaleb(-decimals)
    rounded = Decimal(repr(float(value))).quantize(step, rounding=ROUND_HALF_EVEN)
    digits = f"{abs(rounded):f}".replace(".", decimal_sign)
    return f"{MINUS}{digits}" if rounded < 0 else digits


def with_unit(text: str, unit: str) -> str:
    """Set the unit behind a number with a no-break space; nothing for a ratio or an absent value.

    >>> with_unit("11.9", "%"), with_unit("0.84", ""), with_unit("–", "%")
    ('11.9\xa0%', '0.84', '–')
    """
    return f"{text}{NO_BREAK}{unit}" if unit and text != ABSENT else text


def value_text(
    value: float | None,
    uncertainty: float | None = None,
    unit: str = "",
    *,
    otherwise: int = 1,
    decimal_sign: str = ".",
) -> str:
    """Return the value alone, rounded to what its uncertainty allows.

    >>> value_text(10.05762, 0.027, "Ω")
    '10.058\xa0Ω'
    """
    decimals = decimals_for(uncertainty, otherwise=otherwise)
    return with_unit(number_text(value, decimals, decimal_sign=decimal_sign), unit)


def plus_minus_text(
    value: float | None, half_width: float | None, unit: str = "", *, otherwise: int = 1, decimal_sign: str = "."
) -> str:
    """Return ``value ± half-width unit``; the value alone where there is no half-width.

    >>> plus_minus_text(11.8653, 0.2274, "%")
    '11.87\xa0±\xa00.23\xa0%'
    >>> plus_minus_text(2.04, None, "%", decimal_sign=",")
    '2,0\xa0%'
    """
    if value is None or half_width is None or not isfinite(half_width):
        return value_text(value, None, unit, otherwise=otherwise, decimal_sign=decimal_sign)
    decimals = decimals_for(half_width, otherwise=otherwise)
    shown = [number_text(part, decimals, decimal_sign=decimal_sign) for part in (value, half_width)]
    return with_unit(f"{NO_BREAK}±{NO_BREAK}".join(shown), unit)


def interval_text(
    low: float | None, high: float | None, unit: str = "", *, otherwise: int = 1, decimal_sign: str = "."
) -> str:
    """Return ``low to high unit``, both to the decimal that half their distance allows.

    >>> interval_text(11.6379, 12.0927, "%")
    '11.64 to 12.09\xa0%'
    >>> interval_text(-0.31, 0.29, "%"), interval_text(None, 3.0, "%")
    ('−0.3 to 0.3\xa0%', '–')
    """
    if low is None or high is None or not (isfinite(low) and isfinite(high)):
        return ABSENT
    decimals = decimals_for((high - low) / 2, otherwise=otherwise)
    shown = [number_text(part, decimals, decimal_sign=decimal_sign) for part in (low, high)]
    return with_unit(" to ".join(shown), unit)
