"""Scatter known from elsewhere beside bars of one batch or one load, which show nothing of others."""

import math
from dataclasses import dataclass, replace

import numpy as np

from bodytest.stats.effects import EffectsSummary, Scope
from bodytest.stats.skew import Positive, allow_for_skew
from bodytest.stats.variance_parts import Part, half_width, matching_freedom, total_variance


@dataclass(frozen=True)
class KnownScatter:
    """A standard deviation between batches or between loads, found on other bars."""

    sd: float
    """The standard deviation [unit of the quantity]."""
    number: int
    """How many batches or loads it rests on, at least two."""


@dataclass(frozen=True)
class BorrowedIntervals:
    """What own bars and scatter known from elsewhere say together."""

    speaks_of: Scope
    """Whom the intervals speak of."""
    mean: float
    """Mean of the own bars."""
    standard_uncertainty: float
    """Standard uncertainty of it as the mean of all batches and loads spoken of."""
    degrees_of_freedom: float
    """Effective degrees of freedom of that uncertainty."""
    low: float
    """Lower end of the confidence interval of the mean."""
    high: float
    """Upper end of it."""
    next_standard_deviation: float
    """Standard deviation with which the next bar lies about the mean."""
    next_degrees_of_freedom: float
    """Effective degrees of freedom of that."""
    next_low: float
    """Lower end of the prediction interval for one further bar."""
    next_high: float
    """Upper end of it."""


def borrow_scatter(
    own: EffectsSummary,
    *,
    between_batches: KnownScatter | None = None,
    between_loads: KnownScatter | None = None,
    confidence: float = 0.95,
    reading_uncertainty: float | None = None,
) -> BorrowedIntervals | None:
    """Return the intervals for any batch, any load or both, None where the own bars tell as much or tell no scatter.

    Parameters:
        own: summary of the own bars, of one batch or of one load.
        between_batches: scatter of batches known from elsewhere, used where the own bars speak of their batch only
            [unit of the quantity].
        between_loads: scatter of loads known from elsewhere, used where the own bars speak of their load only
            [unit of the quantity].
        confidence: of the intervals [fraction].
        reading_uncertainty: of one bar's value, where values cannot truly be negative; None else
            [unit of the quantity].

    Equation: u² = u_own² + s²; next bar: V = V_own + 2 s², s² with m − 1 degrees of freedom (own batch or load and the
        next one both differ from the mean of all); half-widths as `bodytest.stats.variance_parts.half_width`, with room
        for skew as `bodytest.stats.skew.allow_for_skew` where values cannot be negative

    Reference: combination of variances, JCGM 100:2008 (GUM) G.4, with the half-width held by simulation. Worked value
        by hand: five bars with a standard uncertainty of 0.07071 and a scatter of 0.3 seen on six loads: 0.30822.

    >>> from bodytest.stats.effects import summarise_effects
    >>> own = summarise_effects([11.8, 11.9, 12.0, 12.1, 12.2], [0] * 5, [0] * 5)
    >>> both = borrow_scatter(own, between_loads=KnownScatter(0.3, 6))
    >>> print(f"{own.standard_uncertainty:.5f} {both.standard_uncertainty:.5f} {both.speaks_of.load}")
    0.07071 0.30822 any
    """
    lent, scope = [], own.speaks_of
    if between_batches is not None and scope.batch == "this":
        lent.append(between_batches)
        scope = replace(scope, batch="any", batch_code=None)
    if between_loads is not None and scope.load == "this":
        lent.append(between_loads)
        scope = replace(scope, load="any", load_code=None)
    if not lent or not own.parts:
        return None
    parts = (*own.parts, *(_part(known, 1.0) for known in lent))
    next_parts = (*own.next_parts, *(_part(known, 2.0) for known in lent))
    uncertainty, next_sd = float(np.sqrt(total_variance(parts))), float(np.sqrt(total_variance(next_parts)))
    half, next_half = float(half_width(parts, confidence)), float(half_width(next_parts, confidence))
    values = None
    if reading_uncertainty is not None:
        values = Positive(math.sqrt(next_sd**2 - uncertainty**2), reading_uncertainty)
    low, high = allow_for_skew(own.mean, half, values)
    next_low, next_high = allow_for_skew(own.mean, next_half, values)
    return BorrowedIntervals(
        speaks_of=scope,
        mean=own.mean,
        standard_uncertainty=uncertainty,
        degrees_of_freedom=float(matching_freedom(np.asarray(half), np.asarray(uncertainty), confidence)),
        low=low,
        high=high,
        next_standard_deviation=next_sd,
        next_degrees_of_freedom=float(matching_freedom(np.asarray(next_half), np.asarray(next_sd), confidence)),
        next_low=next_low,
        next_high=next_high,
    )


def _part(known: KnownScatter, times: float) -> Part:
    return Part("scatter known from elsewhere", np.asarray(times * known.sd**2), known.number - 1)
