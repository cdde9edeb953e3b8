"""What the arithmetic of all lab methods starts from: readings as numbers or symbols, and one division.

A formula is written once, as a function. Called with numbers it computes; called with symbols it returns itself as a
`bodytest.lab.expression.Expression`, from which derivatives, words and spreadsheet formulas are made.
"""

from typing import Any, cast

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


class Symbolic:
    """What stands in a formula in place of a number."""

    __array_ufunc__ = None
    """Arrays leave the arithmetic to the symbol."""


def number(reading: "npt.ArrayLike | Symbolic") -> FloatArray:
    """Return readings as an array of numbers, and a symbol as it is.

    Parameters:
        reading: what a formula is computed from [any unit].

    Equation: x = x

    Reference: none needed.

    >>> print(number([100, 94]))
    [100.  94.]
    """
    if isinstance(reading, Symbolic):
        return cast("FloatArray", reading)
    return np.asarray(reading, dtype=np.float64)


def ratio(numerator: "npt.ArrayLike | Symbolic", denominator: "npt.ArrayLike | Symbolic") -> FloatArray:
    """Divide element by element; where there is no denominator, or it is zero, there is no value.

    Parameters:
        numerator: what is divided [any unit].
        denominator: what it is divided by [any unit].

    Equation: q = a / b

    Reference: arithmetic; ISO/IEC 60559 (NaN for an undefined operation).

    >>> ratio([1.0, 1.0, float("nan")], [8.0, 0.0, 8.0])
    array([0.125,   nan,   nan])
    """
    if isinstance(numerator, Symbolic) or isinstance(denominator, Symbolic):
        return cast("FloatArray", cast(Any, numerator) / denominator)
    top, bottom = number(numerator), number(denominator)
    with np.errstate(over="ignore", invalid="ignore"):
        quotient: FloatArray = top / np.where(bottom == 0.0, np.nan, bottom)
    return quotient
