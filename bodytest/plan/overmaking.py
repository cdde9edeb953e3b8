"""How many pieces to make so that some of them agree: the closest few of many, when some are lost on the way."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.special import bdtr

from bodytest.plan.ranges import Scatter, chance_of_range

MOST_FURTHER = 98
"""Told are at most so many pieces beyond those that are to agree: a pair out of a hundred."""
_CELLS = 2_000_000
"""Values drawn, 20 000 times a hundred for a pair: a chance of 95 % is known to ± 0.15 % (one standard error)."""
_SEED = 20261128


@dataclass(frozen=True)
class Making:
    """How many to make."""

    made: int | None
    """Pieces to make; None where even the most are not enough."""
    chance: float
    """Chance that enough of that many, or of the most, agree."""
    standard_error: float
    """Standard error of that chance from drawing it; 0 where it is computed."""


def pieces_to_make(scatter: Scatter, pieces: int, limit: float, *, lost: float, chance: float) -> Making:
    """Return how many pieces to make so that some ``pieces`` of them lie within ``limit`` of each other.

    Among m values some k lie within d of each other where the narrowest k neighbours do, min X₍ᵢ₊ₖ₋₁₎ − X₍ᵢ₎ ≤ d: a
    scan statistic (Glaz, Naus and Wallenstein, Scan Statistics, 2001; cited from memory). For m = k that is the range,
    which is integrated. For m > k normal values are drawn from a fixed seed, each further one beside those drawn
    before, and the share of narrow ones is averaged over the standard deviations that the bars leave possible. Of n
    made, m are whole with the binomial probability: each is lost on its own, whatever its size.

    Parameters:
        scatter: of one finished piece [mm²].
        pieces: how many are to agree.
        limit: largest difference between any two of them [mm].
        lost: share of the pieces made that crack or warp, 0 to 1.
        chance: wanted, as a fraction.

    >>> pieces_to_make(Scatter(1.0, 9.0, 0.0), 2, 1.0, lost=0.1, chance=0.95).made
    5
    """
    most = pieces + MOST_FURTHER
    agree = [0.0] * pieces
    for made, share in enumerate(_shares_that_agree(scatter, pieces, limit), start=pieces):
        agree.append(share)
        reached = _chance_of_whole(agree, lost)
        if reached >= chance or made == most:
            break
    error = math.sqrt(reached * (1.0 - reached) / (_CELLS // most)) if made > pieces else 0.0
    return Making(made if reached >= chance else None, reached, error)


def _shares_that_agree(scatter: Scatter, pieces: int, limit: float) -> Iterator[float]:
    """Yield the chance that some of ``pieces``, one more, two more … whole ones agree."""
    share = chance_of_range(scatter, pieces, limit)
    yield share
    deviations, weights = scatter.deviations()
    limits = np.divide(limit, deviations, out=np.full_like(deviations, np.inf), where=deviations > 0)
    most = pieces + MOST_FURTHER
    values = np.random.default_rng(_SEED).standard_normal((_CELLS // most, most))
    for whole in range(pieces + 1, most + 1):
        ordered = np.sort(values[:, :whole], axis=1)
        narrowest = np.sort((ordered[:, pieces - 1 :] - ordered[:, : whole - pieces + 1]).min(axis=1))
        narrow = np.searchsorted(narrowest, limits, side="right") / len(narrowest)
        share = max(share, min(float(weights @ narrow), 1.0))
        yield share


def _chance_of_whole(agree: list[float], lost: float) -> float:
    """Return the mean of what 0, 1, 2 … whole pieces give, over how many of the last number come whole."""
    made = len(agree) - 1
    at_most = bdtr(np.arange(made + 1), made, 1.0 - lost)
    return float(np.diff(at_most, prepend=0.0) @ agree)
