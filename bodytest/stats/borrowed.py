"""Scatter known from elsewhere beside bars of one batch or one load, which show nothing of others."""

import math
from dataclasses import dataclass, replace

import numpy as np

from bodytest.stats.effects import EffectsSummary, with_parts
from bodytest.stats.variance_parts import Part, total_variance


@dataclass(frozen=True)
class KnownScatter:
    """A standard deviation between batches or between loads, found on other bars."""

    sd: float
    """The standard deviation [unit of the quantity]."""
    number: int
    """How many batches or loads it rests on, at least two."""


def borrow_scatter(
    own: EffectsSummary,
    *,
    between_batches: KnownScatter | None = None,
    between_loads: KnownScatter | None = None,
    confidence: float = 0.95,
) -> EffectsSummary | None:
    """Return the intervals for any batch, any load or both, None where the own bars tell as much or tell no scatter.

    Parameters:
        own: summary of the own bars, of one batch or of one load.
        between_batches: used where the own bars speak of their batch only [unit of the quantity].
        between_loads: used where the own bars speak of their load only [unit of the quantity].
        confidence: of the intervals [fraction].

    Equation: u² = u_own² + s²; next bar: V = V_own + 2 s², s² with m − 1 degrees of freedom (own batch or load and the
        next one both differ from the mean of all); intervals as `bodytest.stats.effects.with_parts`

    Reference: combination of variances, JCGM 100:2008 (GUM) G.4, with the half-width held by simulation. Worked value
        by hand: five bars with a standard uncertainty of 0.07071 and a scatter of 0.3 seen on six loads: 0.30822.

    >>> from bodytest.stats.effects import summarise_effects
    >>> own = summarise_effects([11.8, 11.9, 12.0, 12.1, 12.2], [0] * 5, [0] * 5)
    >>> both = borrow_scatter(own, between_loads=KnownScatter(0.3, 6))
    >>> print(f"{own.standard_uncertainty:.5f} {both.standard_uncertainty:.5f}")
    0.07071 0.30822
    """
    kinds = (between_batches if own.batches == 1 else None, between_loads if own.loads == 1 else None)
    lent = [known for known in kinds if known is not None]
    if not lent or not own.parts:
        return None
    parts = (*own.parts, *(_part(known, 1.0) for known in lent))
    next_parts = (*own.next_parts, *(_part(known, 2.0) for known in lent))
    sd = math.sqrt(total_variance(next_parts) - total_variance(parts))
    both = replace(own, sd=sd, tolerance_low=None, tolerance_high=None, skew=None)
    return with_parts(both, parts, next_parts, confidence)


def _part(known: KnownScatter, times: float) -> Part:
    return Part("scatter known from elsewhere", np.asarray(times * known.sd**2), known.number - 1)
