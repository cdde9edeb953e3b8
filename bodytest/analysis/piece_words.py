"""The comparison of pieces with bars in a few sentences."""

from bodytest.analysis.bar_needs_words import asked
from bodytest.lab.shrinkage import wet_size_factor
from bodytest.results import PieceComparison, QuantityResult
from bodytest.rounding import NO_BREAK, counted, decimals_for, interval_text, number_text, value_text
from bodytest.units import PIECE_MM


def piece_sentence(
    found: PieceComparison, pieces: QuantityResult, bars: QuantityResult | None, confidence: float
) -> str:
    """Return what the pieces did, what the bars predicted, the verdict, and what follows for size and factor.

    ``pieces`` and ``bars`` are total shrinkages, the latter None where there are no bars of that body and firing.
    """
    dimension = found.dimension
    where = f" in {dimension}" if dimension else ""
    coarser = max((one.half_width for one in (pieces, bars) if one and one.half_width is not None), default=None)
    did = f"{counted(pieces.n, 'piece')} shrank {value_text(pieces.mean, coarser, '%')}{where}"
    if bars is None or bars.mean is None or found.difference is None:
        return f"{did}; there are no bars of that firing to compare with, so {_use(pieces, dimension)}."
    predicted = f"the bars predicted {value_text(bars.mean, coarser, '%')}"
    if found.low is None or found.high is None:
        return f"{did}, {predicted}: cannot tell yet; {_why_open(pieces, bars)}."
    comes_out = _comes_out(found.low, found.high, found.wet_size_mm or 0.0)
    said = f"{comes_out}, with {100 * confidence:g}{NO_BREAK}% confidence"
    return f"{did}, {predicted}: {_verdict(found)}. {said}{_what_follows(found, pieces)}"


def _verdict(found: PieceComparison) -> str:
    if found.verdict == "same within tolerance":
        return f"the same within {asked(found.tolerance or 0.0, '%')}"
    return found.verdict or "cannot tell yet"


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


def _what_follows(found: PieceComparison, pieces: QuantityResult) -> str:
    if found.verdict == "different":
        return f", so {_use(pieces, found.dimension)}."
    if found.verdict == "same within tolerance":
        return ": the size goes by the bars."
    if found.tolerance is None:
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
