"""The comparison of pieces with bars in a few sentences."""

from dataclasses import dataclass

from bodytest.analysis.bar_needs_words import asked
from bodytest.comparison import Verdict
from bodytest.lab.shrinkage import wet_size_factor
from bodytest.results import QuantityResult
from bodytest.rounding import NO_BREAK, counted, decimals_for, interval_text, number_text, value_text
from bodytest.units import PIECE_MM


@dataclass(frozen=True)
class PieceDifference:
    """Pieces minus bars, percentage points."""

    mean: float | None = None
    """Mean; None without bars or pieces."""
    low: float | None = None
    """Lower end of its confidence interval; None where there is no interval."""
    high: float | None = None
    """Upper end of it."""
    verdict: Verdict | None = None
    """The three-way verdict; None without bars."""
    tolerance: float | None = None
    """Largest difference that does not matter; None where none is stated."""

    @property
    def differs(self) -> bool | None:
        """Whether pieces and bars are different; None where there is no interval."""
        return None if self.low is None else self.verdict == "different"


def piece_sentence(
    dimension: str,
    pieces: QuantityResult,
    bars: QuantityResult | None,
    difference: PieceDifference,
    size_mm: float,
    confidence: float,
) -> str:
    """Return what the pieces did, what the bars predicted, the verdict, and what follows for size and factor.

    Parameters:
        dimension: height, width …
        pieces: total shrinkage of the pieces.
        bars: total shrinkage of the bars, None where there are none of that body and firing.
        difference: pieces minus bars.
        size_mm: wet size of the pieces.
        confidence: of the interval, as a fraction.
    """
    where = f" in {dimension}" if dimension else ""
    did = f"{counted(pieces.n, 'piece')} shrank {value_text(pieces.mean, _half(pieces), '%')}{where}"
    if bars is None or bars.mean is None or difference.mean is None:
        return f"{did}; there are no bars of that firing to compare with, so {_use(pieces, dimension)}."
    predicted = f"the bars predicted {value_text(bars.mean, _half(bars), '%')}"
    if difference.low is None or difference.high is None:
        return f"{did}, {predicted}: cannot tell yet; {_why_open(pieces, bars)}."
    said = f"{_comes_out(difference.low, difference.high, size_mm)}, with {100 * confidence:g}{NO_BREAK}% confidence"
    return f"{did}, {predicted}: {_verdict(difference)}. {said}{_what_follows(difference, pieces, dimension)}"


def _half(quantity: QuantityResult) -> float | None:
    return None if quantity.low is None or quantity.high is None else (quantity.high - quantity.low) / 2.0


def _verdict(difference: PieceDifference) -> str:
    if difference.verdict == "same within tolerance":
        return f"the same within {asked(difference.tolerance or 0.0, '%')}"
    return difference.verdict or "cannot tell yet"


def _comes_out(low: float, high: float, size_mm: float) -> str:
    """Return by how much the pieces come out smaller or larger, on themselves and on 200 mm."""
    scales = [size_mm, PIECE_MM] if round(size_mm) != round(PIECE_MM) else [size_mm]
    ends = [[_mm(end, high - low, length) for end in (high, low)] for length in scales]
    if low <= 0.0 <= high:
        told = (
            f"may come out up to {ends[0][0]}{NO_BREAK}mm smaller or {ends[0][1]}{NO_BREAK}mm larger than the bars say"
        )
        on_200 = " or ".join(ends[-1])
        on_200 = f"up to {on_200}"
    else:
        near_far = [sorted(pair, key=float) for pair in ends]
        more = "smaller" if low > 0.0 else "larger"
        told = f"come out {near_far[0][0]} to {near_far[0][1]}{NO_BREAK}mm {more} than the bars say"
        on_200 = " to ".join(near_far[-1])
    besides = f" (on {PIECE_MM:.0f}{NO_BREAK}mm {on_200}{NO_BREAK}mm)" if len(scales) > 1 else ""
    return f"Made {size_mm:.0f}{NO_BREAK}mm wet they {told}{besides}"


def _mm(points: float, width: float, length_mm: float) -> str:
    decimals = max(min(decimals_for(width * length_mm / PIECE_MM), 2), 1)
    return number_text(abs(points) * length_mm / 100.0, decimals)


def _what_follows(difference: PieceDifference, pieces: QuantityResult, dimension: str) -> str:
    if difference.verdict == "different":
        return f", so {_use(pieces, dimension)}."
    if difference.verdict == "same within tolerance":
        return ": the size goes by the bars."
    if difference.tolerance is None:
        return ". State a shrinkage tolerance on the Lab sheet, so that they can be called the same."
    return ". Measure more pieces, or more bars of that firing."


def _use(pieces: QuantityResult, dimension: str) -> str:
    factor = float(wet_size_factor(pieces.mean or 0.0))
    return f"for {dimension or 'this size'} use the factor {number_text(factor, 3)}"


def _why_open(pieces: QuantityResult, bars: QuantityResult) -> str:
    if pieces.n > 1 or pieces.mean is None or bars.next_low is None or bars.next_high is None:
        return "without scatter on both sides no interval can be given"
    inside = bars.next_low <= pieces.mean <= bars.next_high
    place = "inside" if inside else "outside"
    return (
        "one piece shows no scatter, so no interval can be given, but it lies "
        f"{place} the range of the next bar ({interval_text(bars.next_low, bars.next_high, '%')})"
    )
