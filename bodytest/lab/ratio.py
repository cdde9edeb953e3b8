"""The one division that all lab methods share: no reading in, no value out, and no warning."""

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


def ratio(numerator: npt.ArrayLike, denominator: npt.ArrayLike) -> FloatArray:
    """Divide element by element; where there is no denominator, or it is zero, there is no value.

    Args:
        numerator: what is divided [any unit]
        denominator: what it is divided by [any unit]

    Returns:
        numerator / denominator [unit of the one over unit of the other], NaN where either is NaN or the denominator
        is 0.

    Equation:
        q = a / b

    Source:
        arithmetic; ISO/IEC 60559 (NaN for an undefined operation).

    >>> ratio([1.0, 1.0, float("nan")], [8.0, 0.0, 8.0])
    array([0.125,   nan,   nan])

    """
    top = np.asarray(numerator, dtype=np.float64)
    bottom = np.asarray(denominator, dtype=np.float64)
    with np.errstate(over="ignore", invalid="ignore"):
        quotient: FloatArray = top / np.where(bottom == 0.0, np.nan, bottom)
    return quotient
