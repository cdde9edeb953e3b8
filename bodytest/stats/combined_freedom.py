"""The degrees of freedom of a sum of variances that are each estimated with their own, and the factor they ask for."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from bodytest.stats.design import FloatArray

MANY = 1e6
"""Degrees of freedom of what is as good as known."""


def combined_freedom(
    variances: Sequence[npt.ArrayLike], freedoms: Sequence[npt.ArrayLike], otherwise: float = 1.0
) -> FloatArray:
    """Return the degrees of freedom of a sum of independent variances.

    Parameters:
        variances: the parts of the sum [unit squared].
        freedoms: degrees of freedom of each; infinite where it is taken as known [count].
        otherwise: what is returned where nothing scatters, or all is known [count].

    Equation: ν = (Σ V)²/(Σ V²/ν) (Welch–Satterthwaite)

    Reference: JCGM 100:2008 (GUM) G.4.1 equation G.2b. Worked value: GUM H.1.6, 16.7 there truncated to 16.

    >>> parts = [25.0, 9.7, 2.900, 16.675]
    >>> print(round(float(combined_freedom([part**2 for part in parts], [18, 25.6, 50, 2])), 1))
    16.7
    """
    parts = [np.asarray(one, np.float64) for one in variances]
    spread = np.asarray(sum(part**2 / np.asarray(own, np.float64) for part, own in zip(parts, freedoms, strict=True)))
    total = np.asarray(sum(parts))
    return np.asarray(np.divide(total**2, spread, out=np.full(spread.shape, otherwise, float), where=spread > 0.0))


@lru_cache(maxsize=4096)
def student_factor(degrees_of_freedom: float, confidence: float) -> float:
    """Return the two-sided factor of Student's t.

    Parameters:
        degrees_of_freedom: of the standard uncertainty [count].
        confidence: that the interval holds [fraction].

    Equation: t with P(|T_ν| ≤ t) = confidence

    Reference: NIST/SEMATECH e-Handbook 7.2.2, t(0.975; 9) = 2.262.

    >>> round(student_factor(9, 0.95), 3)
    2.262
    """
    return float(stdtrit(degrees_of_freedom, (1.0 + confidence) / 2.0))
