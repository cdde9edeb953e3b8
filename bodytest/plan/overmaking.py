"""How many pieces to make so that some of them agree: the closest few of many, when some are lost on the way."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.special import bdtr

from bodytest.plan.ranges import Array, Scatter, chance_of_range

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
    made, m are whole with the binomial probability: each is lost on its own, whatever its size. ``lost`` is the share
    that cracks or warps, ``chance`` what is wanted, both as fractions.

    >>> pieces_to_make(Scatter(1.0, 9.0, 0.0), 2, 1.0, lost=0.1, chance=0.95).made
    5
    """
    most = pieces + MOST_FURTHER
    agree = [0.0] * pieces
    for made, share in enumerate(_shares_that_agree(scatter, pieces, limit), start=pieces):
        agree.append(share)
        reached = float(_chances_of_whole(made, lost) @ agree)
        if reached >= chance or made == most:
            break
    error = math.sqrt(reached * (1.0 - reached) / (_CELLS // most)) if made > pieces else 0.0
    return Making(made if reached >= chance else None, reached, error)


def limits_that_suffice(freedom: float, pieces: int, lost: Sequence[float], chance: float, further: int) -> Array:
    """Return how far pieces of a set may differ for as many as are to agree, one more, two more … made to be enough.

    The answer of `pieces_to_make` turned round, for tables.

    Parameters:
        freedom: degrees of freedom with which bars showed the scatter.
        pieces: how many are to agree.
        lost: shares of the pieces made that crack or warp; a row of the answer for each.
        chance: wanted, as a fraction.
        further: how many more are made at most; a column of the answer for each.

    Returns:
        limits in standard deviations of one piece, infinite where too many are lost.

    >>> float(limits_that_suffice(9.0, 2, [0.0], 0.95, 1)[0, 0].round(1))
    3.2
    """
    deviations, weights = Scatter(1.0, freedom, 0.0).deviations()
    places = np.geomspace(1e-3, 30.0, 240)
    agree = np.zeros((pieces + further + 1, len(places)))
    for whole in range(pieces, pieces + further + 1):
        narrowest = _narrowest(pieces, whole)
        share = np.searchsorted(narrowest, places, side="right") / len(narrowest)
        agree[whole] = np.interp(places[:, None] / deviations, places, share) @ weights
    agree = np.minimum(np.maximum.accumulate(agree, axis=0), 1.0)
    limits = np.full((len(lost), further + 1), np.inf)
    for row, share_lost in enumerate(lost):
        for more in range(further + 1):
            reached = _chances_of_whole(pieces + more, share_lost) @ agree[: pieces + more + 1]
            if reached[-1] >= chance:
                limits[row, more] = np.interp(chance, reached, places)
    return limits


def _shares_that_agree(scatter: Scatter, pieces: int, limit: float) -> Iterator[float]:
    """Yield the chance that some of ``pieces``, one more, two more … whole ones agree."""
    share = chance_of_range(scatter, pieces, limit)
    yield share
    deviations, weights = scatter.deviations()
    limits = np.divide(limit, deviations, out=np.full_like(deviations, np.inf), where=deviations > 0)
    for whole in range(pieces + 1, pieces + MOST_FURTHER + 1):
        narrowest = _narrowest(pieces, whole)
        narrow = np.searchsorted(narrowest, limits, side="right") / len(narrowest)
        share = max(share, min(float(weights @ narrow), 1.0))
        yield share


@lru_cache(maxsize=128)
def _narrowest(pieces: int, whole: int) -> Array:
    """Return how far the closest ``pieces`` of so many normal values differ, sorted over all that were drawn."""
    ordered = np.sort(_drawn(pieces + MOST_FURTHER)[:, :whole], axis=1)
    return np.sort((ordered[:, pieces - 1 :] - ordered[:, : whole - pieces + 1]).min(axis=1))


@lru_cache(maxsize=4)
def _drawn(most: int) -> Array:
    return np.random.default_rng(_SEED).standard_normal((_CELLS // most, most))


def _chances_of_whole(made: int, lost: float) -> Array:
    """Return the chances that 0, 1, 2 … of the pieces made come whole."""
    return np.diff(bdtr(np.arange(made + 1), made, 1.0 - lost), prepend=0.0)
