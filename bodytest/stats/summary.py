"""Bars of one batch: mean, scatter, and the intervals for the mean, for the next bar and for most bars."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from bodytest.stats.tolerance import two_sided_factor

_COARSE = 6.0 / math.pi**2 * math.sqrt(math.pi**3 / 3.0)
"""Variance seen, in units of the step variance, for each unit of true SD over step SD, where the step is coarse."""
_COARSE_ENDS = _COARSE**2 / 2.0
_TOLERANCE_COVERAGE = 0.95
_TOLERANCE_CONFIDENCE = 0.95


@dataclass(frozen=True)
class MeanSummary:
    """Mean of the bars of one batch and its intervals; None where one bar alone says nothing."""

    n: int
    """Bars."""
    mean: float
    """Their mean."""
    sd: float | None = None
    """Standard deviation of one bar, at least the standard uncertainty of its reading steps."""
    standard_uncertainty: float | None = None
    """Combined standard uncertainty of the mean: scatter, reading step, calibration."""
    degrees_of_freedom: float | None = None
    """Effective degrees of freedom of that uncertainty."""
    low: float | None = None
    """Lower end of the confidence interval of the mean."""
    high: float | None = None
    """Upper end of it."""
    next_low: float | None = None
    """Lower end of the prediction interval for one further bar."""
    next_high: float | None = None
    """Upper end of it."""
    tolerance_low: float | None = None
    """Lower end of the interval that holds 95 % of all bars with 95 % confidence."""
    tolerance_high: float | None = None
    """Upper end of it."""


def summarise_bars(
    values: npt.ArrayLike,
    *,
    confidence: float = 0.95,
    step_uncertainty: float = 0.0,
    calibration_uncertainty: float = 0.0,
) -> MeanSummary:
    """Return the mean of the bars of one batch, its uncertainty and its intervals.

    Parameters:
        values: one value for each bar, none missing [unit of the quantity].
        confidence: of the confidence and prediction intervals [fraction].
        step_uncertainty: standard uncertainty of one bar's value from the reading steps [unit of the quantity].
        calibration_uncertainty: standard uncertainty from calibration, the same error in all bars
            [unit of the quantity].

    Equation: u² = s²/n + u_shared² + u_cal², ν = (n − 1) u⁴/(s²/n)², mean ± t_ν u;
        next bar: mean ± t √(s² + u²); 95 % of bars: mean ± k √(s²), k with the mean's own variance u².

    Reference: JCGM 100:2008 (GUM) 4.2.3, 5.1.2, G.4.1 (Welch–Satterthwaite), F.2.2.1 and H.6 (s is no less than the
        resolution allows); `shared_step_uncertainty`, `bodytest.stats.tolerance`. The worked value is Devore,
        Probability and Statistics, examples 7.12 and 7.13: 18.94 to 24.86 and 12.09 to 31.71 (from memory).

    Notes: The next and tolerance intervals are for the true value of further bars, so the error that all bars share
        (calibration, and the shared part of the reading step) widens them. A further bar read with the same instrument
        has the same error and falls within at least as often.

    >>> fat = summarise_bars([25.2, 21.3, 22.8, 17.0, 29.8, 21.0, 25.5, 16.0, 20.9, 19.5])
    >>> print(f"{fat.low:.2f} {fat.high:.2f} {fat.next_low:.2f} {fat.next_high:.2f}")
    18.94 24.86 12.09 31.71
    """
    bars = np.asarray(values, dtype=np.float64)
    n = bars.size
    mean, seen_variance = _mean_and_variance(bars)
    if n < 2:
        return MeanSummary(n, mean)
    variance = max(seen_variance, step_uncertainty**2)
    shared = calibration_uncertainty**2 + shared_step_uncertainty(math.sqrt(seen_variance), step_uncertainty) ** 2
    of_mean = variance / n + shared
    freedom = effective_freedom(of_mean, variance / n, n - 1.0)
    half = student_factor(freedom, confidence) * math.sqrt(of_mean)
    of_next = variance + of_mean
    next_freedom = effective_freedom(of_next, variance + variance / n, n - 1.0)
    next_half = student_factor(next_freedom, confidence) * math.sqrt(of_next)
    around = _tolerance_half_width(variance, of_mean, n)
    return MeanSummary(
        n=n,
        mean=mean,
        sd=math.sqrt(variance),
        standard_uncertainty=math.sqrt(of_mean),
        degrees_of_freedom=freedom,
        low=mean - half,
        high=mean + half,
        next_low=mean - next_half,
        next_high=mean + next_half,
        tolerance_low=mean - around,
        tolerance_high=mean + around,
    )


def shared_step_uncertainty(seen_sd: float, step_uncertainty: float) -> float:
    """Return the part of the reading-step uncertainty that is the same error in every bar, so does not average out.

    Bars that differ by less than a step are rounded alike. How much they differ is found from the scatter seen.

    Parameters:
        seen_sd: standard deviation of the values as read [unit of the quantity].
        step_uncertainty: standard uncertainty of one value from the reading steps, u [unit of the quantity].

    Equation: u_shared² = u² g(σ/u), g(x) = 6/π² Σ exp(−π²k²x²/3)/k², σ from s² = σ² + u² (1 − g(σ/u));
        for a coarse step g(x) = 1 − 1.954 x + x² and σ = s²/(1.954 u), for a fine one σ² = s² − u².

    Reference: Fourier series of the rounding error of a normal variable, Sheppard 1898 and Widrow, Kollár, Liu 1996,
        IEEE Trans. Instrum. Meas. 45, 353 (from memory), averaged over where the mean lies within the step. Worked
        values: all read alike, the whole step is shared; scatter of three step uncertainties, almost nothing.

    >>> shared_step_uncertainty(0.0, 0.029), round(shared_step_uncertainty(0.087, 0.029), 5)
    (0.029, 0.0)
    """
    if step_uncertainty <= 0.0:
        return 0.0
    seen = (seen_sd / step_uncertainty) ** 2
    if seen < _COARSE_ENDS:
        true = seen / _COARSE
        share = 1.0 - _COARSE * true + true**2
    else:
        share = 6.0 / math.pi**2 * math.exp(-(math.pi**2) * (seen - 1.0) / 3.0)
    return step_uncertainty * math.sqrt(max(share, 0.0))


def effective_freedom(total: float, part: float, freedom: float) -> float:
    """Return the degrees of freedom of a sum of variances of which one part is estimated and the rest is known.

    Parameters:
        total: sum of the variances [unit squared].
        part: the part that is estimated from scatter [unit squared].
        freedom: its degrees of freedom [count].

    Equation: ν = ν₁ (u²/u₁²)²

    Reference: Welch–Satterthwaite, JCGM 100:2008 (GUM) G.4.1, with infinitely many for what is known. Worked value
        by hand: 4 (2/1)² = 16.

    >>> effective_freedom(2.0, 1.0, 4.0)
    16.0
    """
    if part <= 0.0:
        return freedom if total <= 0.0 else _MANY
    return min(freedom * (total / part) ** 2, _MANY)


_MANY = 1e6


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


def _mean_and_variance(bars: npt.NDArray[np.float64]) -> tuple[float, float]:
    """Return mean and variance by two passes, so that leading digits that are all alike cost nothing."""
    first = float(bars.mean())
    distances = bars - first
    correction = float(distances.mean())
    if bars.size < 2:
        return first + correction, 0.0
    squares = float(distances @ distances) - bars.size * correction**2
    return first + correction, max(squares, 0.0) / (bars.size - 1)


def _tolerance_half_width(variance: float, of_mean: float, n: int) -> float:
    if variance <= 0.0:
        return student_factor(_MANY, _TOLERANCE_CONFIDENCE) * math.sqrt(of_mean)
    alike = n if math.isclose(of_mean, variance / n, rel_tol=1e-9) else variance / of_mean
    factor = two_sided_factor(
        alike, coverage=_TOLERANCE_COVERAGE, confidence=_TOLERANCE_CONFIDENCE, degrees_of_freedom=n - 1
    )
    return factor * math.sqrt(variance)
