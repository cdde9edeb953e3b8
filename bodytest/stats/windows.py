"""Whether a mean, every bar or a share of bars lies in a window, guarded by what is not known of it."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import nctdtrit, ndtri, stdtrit

from bodytest.stats.skew import Positive, upper_limit
from bodytest.stats.tolerance import two_sided_factor

Decision = Literal["meets", "does not meet", "cannot tell yet"]


@dataclass(frozen=True)
class Guarded:
    """What is held against one end of a window, and how far it may be from there."""

    value: float
    """What was seen [unit of the quantity]."""
    at_most: float
    """How high it may be, at the stated risk [unit of the quantity]."""
    at_least: float
    """How low it may be, at the stated risk [unit of the quantity]."""


@dataclass(frozen=True)
class Known:
    """What is known of the mean and the scatter of bars."""

    mean: float
    """Mean seen [unit of the quantity]."""
    standard_uncertainty: float
    """Its combined standard uncertainty [unit of the quantity]."""
    sd: float
    """Standard deviation of one bar, whatever makes bars differ included [unit of the quantity]."""
    sd_degrees_of_freedom: float
    """Of that [count]."""


def guarded_mean(
    mean: float,
    standard_uncertainty: float,
    degrees_of_freedom: float,
    values: Positive | None = None,
    confidence: float = 0.95,
) -> Guarded:
    """Return the one-sided confidence limits of a mean.

    Parameters:
        mean: mean seen [unit of the quantity].
        standard_uncertainty: its combined standard uncertainty [unit of the quantity].
        degrees_of_freedom: of that uncertainty [count].
        values: how the values scatter where they cannot truly be negative; None else [unit of the quantity].
        confidence: one minus the risk on either side [fraction].

    Equation: mean ± t u, t = t(confidence; ν) one-sided; above, `bodytest.stats.skew.upper_limit` for skewed values

    Reference: JCGM 106:2012, guard bands; ISO/IEC 17025:2017 7.8.6. Worked value by hand: five bricks 15.8 16.4 17.1
        16.9 16.2 % have a mean of 16.48 and s = 0.526; t(0.95; 4) = 2.132 gives 16.48 + 2.132 · 0.526/√5 = 16.98.

    >>> f"{guarded_mean(16.48, 0.5263 / 5**0.5, 4).at_most:.2f}"
    '16.98'
    """
    return Guarded(
        mean,
        float(upper_limit(mean, standard_uncertainty, degrees_of_freedom, values, confidence)),
        mean - float(stdtrit(degrees_of_freedom, confidence)) * standard_uncertainty,
    )


def guarded_bars(
    values: npt.ArrayLike, uncertainties: npt.ArrayLike, confidence: float = 0.95
) -> tuple[Guarded, Guarded]:
    """Return the lowest and the highest bar, each guarded by the uncertainty of its own readings.

    Parameters:
        values: shape (n,), one value of each bar [unit of the quantity].
        uncertainties: shape (n,), standard uncertainty of each [unit of the quantity].
        confidence: one minus the risk on either side [fraction].

    Equation: min(xᵢ ∓ z uᵢ), max(xᵢ ± z uᵢ), z = Φ⁻¹(confidence)

    Reference: JCGM 106:2012, 8.3 (single measured values against a limit). Worked value by hand: z(0.95) = 1.645, so
        17.1 with u = 0.05 may be as high as 17.18.

    >>> _, highest = guarded_bars([15.8, 17.1], [0.05, 0.05])
    >>> f"{highest.value:.1f} {highest.at_most:.2f}"
    '17.1 17.18'
    """
    seen = np.asarray(values, dtype=np.float64)
    reach = float(ndtri(confidence)) * np.asarray(uncertainties, dtype=np.float64)
    above, below = seen + reach, seen - reach
    return (
        Guarded(float(seen.min()), float(above.min()), float(below.min())),
        Guarded(float(seen.max()), float(above.max()), float(below.max())),
    )


def one_sided_factor(n: float, degrees_of_freedom: float, *, coverage: float, confidence: float) -> float:
    """Return the exact factor k for which mean + k·sd lies above a share of a normal population with a confidence.

    Parameters:
        n: bars that the mean rests on, or sd²/u² for a mean of uncertainty u [count].
        degrees_of_freedom: of the sd [count].
        coverage: share of all bars [fraction].
        confidence: how surely; below 0.5 the factor gives the limit on the other side of the share [fraction].

    Equation: k = t′(confidence; ν, δ)/√n, δ = Φ⁻¹(coverage) √n (quantile of the noncentral t)

    Reference: ISO 16269-6, one-sided interval, unknown mean and standard deviation; NIST/SEMATECH e-Handbook 7.2.6.3
        prints 1.8740 for 43 wafers, 90 % and a confidence of 99 %.

    >>> f"{one_sided_factor(43, 42, coverage=0.90, confidence=0.99):.4f}"
    '1.8740'
    """
    root = math.sqrt(n)
    return float(nctdtrit(degrees_of_freedom, float(ndtri(coverage)) * root, confidence)) / root


def guarded_share(
    known: Known, coverage: float, *, two_sided: bool = False, confidence: float = 0.95
) -> tuple[Guarded, Guarded]:
    """Return the values below and above which all but the wanted share of bars lie, each with its tolerance limits.

    Parameters:
        known: mean and scatter of bars [unit of the quantity].
        coverage: share of all bars that is to lie in the window, from 0.5 [fraction].
        two_sided: whether the window has two ends, so that what is left over is shared between both.
        confidence: one minus the risk on either side [fraction].

    Equation: mean ± k s, k = `one_sided_factor`, or with two ends `bodytest.stats.tolerance.two_sided_factor`; the
        value told is mean ± Φ⁻¹(coverage) s

    Reference: ISO 16269-6. Worked value from its table of one-sided factors (from memory): n = 10, 95 %, 95 % → 2.911.

    >>> _, above = guarded_share(Known(0.0, 10**-0.5, 1.0, 9), 0.95)
    >>> f"{above.at_most:.3f}"
    '2.911'
    """
    n = math.inf if known.standard_uncertainty <= 0.0 else (known.sd / known.standard_uncertainty) ** 2
    freedom = known.sd_degrees_of_freedom
    bars = min(max(n, 1e-6), 1e6)
    far = one_sided_factor(bars, freedom, coverage=coverage, confidence=confidence)
    near = one_sided_factor(bars, freedom, coverage=coverage, confidence=1.0 - confidence)
    share = float(ndtri(coverage))
    if two_sided:
        far = two_sided_factor(bars, coverage=coverage, confidence=confidence, degrees_of_freedom=freedom)
        share = float(ndtri((1.0 + coverage) / 2.0))
    mean, sd = known.mean, known.sd
    return (
        Guarded(mean - share * sd, mean - near * sd, mean - far * sd),
        Guarded(mean + share * sd, mean + far * sd, mean + near * sd),
    )


def decide(low: Guarded, high: Guarded, lowest: float | None, highest: float | None) -> Decision:
    """Decide whether what was seen lies in a window.

    Parameters:
        low: what is held against the lowest value [unit of the quantity].
        high: what is held against the highest value [unit of the quantity].
        lowest: lower end of the window, None where it has none [unit of the quantity].
        highest: upper end of the window, None where it has none [unit of the quantity].

    Equation: meets when low.at_least ≥ lowest and high.at_most ≤ highest; does not meet when low.at_most < lowest or
        high.at_least > highest

    Reference: JCGM 106:2012, guarded acceptance and guarded rejection. Worked values by hand: 15.98 to 16.98; and
        t(0.95; 9) = 1.833, so 2.80 ± 0.10 meets 3.0 (2.983) and 2.85 ± 0.10 does not yet.

    Notes: The chance of `meets` for a body whose true mean lies outside the window is at most 1 − confidence, and so
        is that of `does not meet` beyond an end for one on this side of it.

    >>> seen = Guarded(16.48, 16.98, 15.98)
    >>> [decide(seen, seen, None, highest) for highest in (17.0, 16.5, 15.9)]
    ['meets', 'cannot tell yet', 'does not meet']
    >>> [decide(seen, seen, 2.6, 3.0) for seen in (guarded_mean(mean, 0.10, 9) for mean in (2.80, 2.75, 2.40))]
    ['meets', 'cannot tell yet', 'does not meet']
    """
    if (lowest is not None and low.at_most < lowest) or (highest is not None and high.at_least > highest):
        return "does not meet"
    if (lowest is None or low.at_least >= lowest) and (highest is None or high.at_most <= highest):
        return "meets"
    return "cannot tell yet"
