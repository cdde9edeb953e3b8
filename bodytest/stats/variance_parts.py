"""A variance as a sum of parts, each known with its own degrees of freedom, and the t interval that follows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import chdtri, stdtridf, stdtrit

from bodytest.stats.combined_freedom import MANY
from bodytest.stats.design import FloatArray
from bodytest.stats.mean_squares import MeanSquare, MeanSquares

Source = Literal["batches", "loads", "batches and loads", "bars", "instruments", "scatter known from elsewhere"]


@dataclass(frozen=True)
class Part:
    """One part of a variance."""

    source: Source
    """What scatters."""
    variance: FloatArray
    """Its share of the variance [unit squared]."""
    freedom: float
    """Degrees of freedom with which it is known."""


@dataclass(frozen=True)
class Shares:
    """How often the variance of each kind counts in a variance, such as that of a weighted mean."""

    batch: FloatArray
    """Times the variance of batches."""
    load: FloatArray
    """Times the variance of loads."""
    bar: FloatArray
    """Times the variance of bars."""

    def plus(self, other: "Shares") -> "Shares":
        """Return the shares in the sum of two variances."""
        return Shares(self.batch + other.batch, self.load + other.load, self.bar + other.bar)


def variance_parts(squares: MeanSquares, shares: Shares) -> tuple[Part, ...]:
    """Split a variance into parts by the scatter that each is judged by.

    Parameters:
        squares: scatter seen.
        shares: how often each kind counts in the variance.

    Equation: V = a_b σ_b² + a_l σ_l² + a_e σ_e², σ² the mean squares less the noise in them, not below 0. A mean
        square vouches for its own noise too, as far as there is noise in V, and in proportion where it lies below it.

    Reference: moments estimators of the components (Searle, Casella, McCulloch, Variance Components, 1992, from
        memory); the splitting is our own, held by simulation. Worked value: the mean of the dyestuff batches (Davies &
        Goldsmith 1972, 6.4) rests on the mean square between them, 11271.5/30 = 375.72, and on nothing else.

    >>> from bodytest.stats.design import cell_layout
    >>> from bodytest.stats.mean_squares import mean_squares
    >>> from bodytest.stats.restricted_likelihood import Cells
    >>> layout = cell_layout([0] * 30, [bar // 5 for bar in range(30)])[0]
    >>> found = mean_squares(Cells(layout, np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0)))
    >>> of_mean = Shares(np.zeros(()), np.array(1 / 6), np.array(1 / 30))
    >>> [(part.source, f"{part.variance:.2f}", part.freedom) for part in variance_parts(found, of_mean)]
    [('loads', '375.72', 5), ('bars', '0.00', 24)]
    """
    lower = [
        _Factor("batches", squares.batch, squares.batch_share, shares.batch),
        _Factor("loads", squares.load, squares.load_share, shares.load),
    ]
    lower = [factor for factor in lower if factor.square.freedom]
    bar, noise_left, parts = squares.bar_variance, shares.bar, []
    if squares.piece.freedom and len(lower) == 2:
        lower = _with_pieces(squares, lower)
    elif squares.piece.freedom:
        top, lower, noise = _of_pieces(squares, shares, lower)
        parts.append(top)
        noise_left = noise_left - noise
    for factor in sorted(lower, key=lambda one: one.square.freedom):
        noise = _vouched(factor.square.value, factor.square.noise * bar, factor.share * factor.square.noise, noise_left)
        parts.append(Part(factor.source, factor.share * factor.variance(bar) + noise * bar, factor.square.freedom))
        noise_left = noise_left - noise
    return (*parts, Part("bars", np.asarray(noise_left * bar), squares.bar_freedom))


@dataclass(frozen=True)
class _Factor:
    """A kind of scatter that the layout shows by itself."""

    source: Source
    square: MeanSquare
    of_piece: float
    share: FloatArray

    def variance(self, bar: FloatArray) -> FloatArray:
        return np.asarray(np.maximum(self.square.value - self.square.noise * bar, 0.0))


def _vouched(value: FloatArray, expected: FloatArray, wanted: FloatArray, left: FloatArray) -> FloatArray:
    """Return how much of what lies beneath a mean square it vouches for: in proportion where it is below it."""
    below = np.divide(value, expected, out=np.ones(np.broadcast(value, expected).shape), where=expected > value)
    return np.asarray(np.minimum(left, wanted) * below)


def _of_pieces(squares: MeanSquares, shares: Shares, lower: list[_Factor]) -> tuple[Part, list[_Factor], FloatArray]:
    """Split off what the pieces vouch for: batches over loads or loads over batches, or both in one."""
    bar, piece = squares.bar_variance, squares.piece
    beneath = piece.noise * bar
    if lower:
        beneath = beneath + lower[0].of_piece * lower[0].variance(bar)
    own = np.maximum(piece.value - beneath, 0.0)
    source: Source = "batches and loads"
    times = np.maximum(shares.batch, shares.load)
    part, rest = times * own, list(lower)
    if lower:
        below = lower[0]
        source, times = ("batches", shares.batch) if below.source == "loads" else ("loads", shares.load)
        taken = _vouched(piece.value, beneath, times * below.of_piece, below.share)
        part = times * own + taken * below.variance(bar)
        rest = [replace(below, share=below.share - taken)]
    noise = _vouched(piece.value, beneath, times * piece.noise, shares.bar)
    return Part(source, np.asarray(part + noise * bar), piece.freedom), rest, noise


def _with_pieces(squares: MeanSquares, lower: list[_Factor]) -> list[_Factor]:
    """Let pieces of several batches and loads add to what is known of both, half of their degrees of freedom each."""
    bar, piece, half = squares.bar_variance, squares.piece, squares.piece.freedom / 2.0
    known = [factor.variance(bar) for factor in lower]
    joined = []
    for one, other, own, others in zip(lower, lower[::-1], known, known[::-1], strict=True):
        seen = np.maximum(piece.value - other.of_piece * others - piece.noise * bar, 0.0) / one.of_piece
        freedom = one.square.freedom + half
        pooled = (one.square.freedom * own + half * seen) / freedom + one.square.noise * bar
        joined.append(replace(one, square=MeanSquare(np.asarray(pooled), freedom, one.square.noise)))
    return joined


def half_width(parts: Sequence[Part], confidence: float) -> FloatArray:
    """Return by how much the interval of what has this variance reaches to each side.

    Parameters:
        parts: of the variance [unit squared].
        confidence: of the interval [fraction].

    Equation: V = Σ Vₚ; the largest of √V Σ tₚ Vₚ/Σ Vₚ (Cochran), √V Σ tₚ Vₚ²/Σ Vₚ² (so that the largest part rules) and
        every tₚ √Vₚ

    Reference: Cochran & Cox, Experimental Designs, 1957, 4.2 (from memory); the others are our own, held by simulation.
        Worked values by hand: one part, 2.776 × 3; parts of 1 and 9 with 1 and 4 degrees of freedom, the first form
        √10 (12.706 + 9 × 2.776)/10 and the third 12.706.

    >>> one = [Part("loads", np.array(9.0), 4)]
    >>> two = [Part("batches", np.array(1.0), 1), *one]
    >>> print(f"{half_width(one, 0.95):.2f} {half_width(two, 0.95):.2f}")
    8.33 12.71
    """
    tail = (1.0 + confidence) / 2.0
    variances = _stacked(parts)
    factors = stdtrit(np.array([max(part.freedom, 1.0) for part in parts]), tail).astype(np.float64)
    whole = np.sqrt(variances.sum(axis=-1))
    weighted = [whole * _weighted_mean(factors, weights) for weights in (variances, variances**2)]
    least = np.sqrt((variances * np.square(factors)).max(axis=-1))
    return np.asarray(np.maximum(np.maximum(*weighted), least))


def _stacked(parts: Sequence[Part]) -> FloatArray:
    """Return the variances of the parts along the last axis."""
    return np.stack(np.broadcast_arrays(*(part.variance for part in parts)), axis=-1).astype(np.float64)


def _weighted_mean(factors: FloatArray, weights: FloatArray) -> FloatArray:
    total = weights.sum(axis=-1)
    return np.asarray(np.divide(weights @ factors, total, out=np.zeros(total.shape), where=total > 0.0))


def matching_freedom(half_width: npt.ArrayLike, standard_uncertainty: npt.ArrayLike, confidence: float) -> FloatArray:
    """Return the degrees of freedom whose t interval has this half-width.

    Parameters:
        half_width: of the interval [unit of the quantity].
        standard_uncertainty: of what it is an interval of [unit of the quantity].
        confidence: of the interval [fraction].

    Equation: ν with t((1 + confidence)/2; ν) u = half-width, no more than `MANY`

    Reference: NIST/SEMATECH e-Handbook 7.2.2, t(0.975; 9) = 2.262.

    >>> round(float(matching_freedom(2.262157, 1.0, 0.95)), 3)
    9.0
    """
    tail = (1.0 + confidence) / 2.0
    least = float(stdtrit(MANY, tail))
    half, scale = np.asarray(half_width, np.float64), np.asarray(standard_uncertainty, np.float64)
    ratio = np.divide(half, scale, out=np.zeros(half.shape), where=scale > 0.0)
    return np.asarray(np.where(ratio > least, stdtridf(tail, np.maximum(ratio, least)), MANY))


def total_variance(parts: Sequence[Part]) -> FloatArray:
    """Return the variance that the parts make up.

    Parameters:
        parts: of the variance [unit squared].

    Equation: V = Σ Vₚ

    Reference: none needed; worked value by hand.

    >>> float(total_variance([Part("bars", np.array(1.0), 9), Part("loads", np.array(2.0), 3)]))
    3.0
    """
    return np.asarray(sum(part.variance for part in parts))


def upper_variance(parts: Sequence[Part], confidence: float) -> FloatArray:
    """Return an upper confidence limit of a variance.

    Parameters:
        parts: of the variance [unit squared].
        confidence: that it is no higher [fraction].

    Equation: V + √(Σ Vₚ² (ν/χ²(1 − confidence; ν) − 1)²)

    Reference: modified large sample method, Graybill & Wang 1980 (from memory). Worked value: one part, ν s²/χ²,
        χ²(0.05; 9) = 3.325 (NIST/SEMATECH e-Handbook 1.3.6.7.4).

    >>> print(f"{upper_variance([Part('bars', np.array(1.0), 9)], 0.95):.3f}")
    2.707
    """
    freedoms = np.array([max(part.freedom, 1.0) for part in parts])
    variances = _stacked(parts)
    margins = variances * (freedoms / chdtri(freedoms, confidence) - 1.0)
    return np.asarray(variances.sum(axis=-1) + np.sqrt(np.square(margins).sum(axis=-1)))
