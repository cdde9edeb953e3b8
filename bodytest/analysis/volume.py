"""Volume shrinkage from both directions, where bars were measured along and across."""

import math
from dataclasses import replace

from bodytest.results import Programme, QuantityResult
from bodytest.stats.combined_freedom import student_factor

_KEY = "total_volume_shrinkage"
BOTH_DIRECTIONS = "from bars along and across"
"""Named as the estimator of a volume shrinkage that rests on bars of both directions."""


def with_volumes(programmes: tuple[Programme, ...], confidence: float) -> tuple[Programme, ...]:
    """Return the programmes with one volume shrinkage for both directions of a body in one programme.

    Bars of one direction take the clay to shrink alike every way; measured both along and across, it is taken to
    shrink across in width and thickness.
    """
    found = {
        (one.body, one.programme, one.absorption_method, one.direction.casefold()): one.quantities["total_shrinkage"]
        for one in programmes
        if _KEY in one.quantities
    }
    return tuple(_with_volume(one, found, confidence) for one in programmes)


def _with_volume(
    one: Programme, found: dict[tuple[str, str, str | None, str], QuantityResult], confidence: float
) -> Programme:
    along, across = (found.get((one.body, one.programme, one.absorption_method, name)) for name in ("along", "across"))
    if along is None or across is None or one.direction.casefold() not in ("along", "across"):
        return one
    return replace(one, quantities={**one.quantities, _KEY: both_directions(along, across, confidence)})


def both_directions(along: QuantityResult, across: QuantityResult, confidence: float) -> QuantityResult:
    """Return V = 100 (1 − (1 − S₁)(1 − S₂)²) with its uncertainty, S₁ along and S₂ across as fractions.

    The bars of the two directions are taken as independent: u² = (∂V/∂S₁)² u₁² + (∂V/∂S₂)² u₂², with
    Welch–Satterthwaite degrees of freedom (JCGM 100:2008, 5.1.2 and G.4.1).

    >>> both_directions(QuantityResult("%", 5, 12.0), QuantityResult("%", 4, 13.0), 0.95).mean
    33.3928
    """
    left_along, left_across = (1.0 - (one.mean or 0.0) / 100.0 for one in (along, across))
    mean = round(100.0 * (1.0 - left_along * left_across**2), 10)
    n = along.n + across.n
    slopes = (left_across**2, 2.0 * left_along * left_across)
    parts = [
        (slope * one.standard_uncertainty, one.degrees_of_freedom)
        for slope, one in zip(slopes, (along, across), strict=True)
        if one.standard_uncertainty and one.degrees_of_freedom
    ]
    result = QuantityResult("%", n, mean, estimator=BOTH_DIRECTIONS)
    if len(parts) < 2:
        return replace(result, why_no_interval="One bar alone in a direction shows no scatter.")
    variance = math.fsum(u**2 for u, _ in parts)
    freedom, u = variance**2 / math.fsum(u**4 / nu for u, nu in parts), math.sqrt(variance)
    half = student_factor(freedom, confidence) * u
    return replace(result, standard_uncertainty=u, degrees_of_freedom=freedom, low=mean - half, high=mean + half)
