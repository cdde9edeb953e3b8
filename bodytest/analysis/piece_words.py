"""The comparison of pieces with bars in a few sentences."""

from bodytest.analysis.bar_needs_words import asked
from bodytest.lab.shrinkage import wet_size_factor
from bodytest.results import PieceComparison, QuantityResult
from bodytest.rounding import NO_BREAK, counted, decimals_for, interval_text, number_text, with_unit
from bodytest.units import LENGTH_DECIMALS, LENGTH_IN_MM, PIECE


def piece_sentence(
    found: PieceComparison, pieces: QuantityResult, bars: QuantityResult | None, confidence: float, length_unit: str
) -> str:
    """Return what the pieces did, what the bars predicted, the verdict, and what follows for size and factor.

    ``pieces`` and ``bars`` are total shrinkages, the latter None where there are no bars of that body and firing.
    """
    dimension = found.dimension
    where = f" in {dimension}" if dimension else ""
    coarser = max((one.half_width for one in (pieces, bars) if one and one.half_width is not None), default=None)
    decimals = decimals_for(coarser)
    did = f"{counted(pieces.n, 'piece')} shrank {with_unit(number_text(pieces.mean, decimals), '%')}{where}"
    if bars is None or bars.mean is None or found.difference is None:
        return f"{did}; there are no bars of that firing to compare with, so {_use(pieces, dimension)}."
    predicted = f"the bars predicted {with_unit(number_text(bars.mean, decimals), '%')}"
    if found.low is None or found.high is None:
        return f"{did}, {predicted}: cannot tell yet; {_why_open(pieces, bars)}."
    comes_out = _comes_out(found.low, found.high, found.wet_size_mm or 0.0, length_unit)
    said = f"{comes_out}, with {100 * confidence:g}{NO_BREAK}% confidence"
    return f"{did}, {predicted}: {_verdict(found)}. {said}{_what_follows(found, pieces)}"


def _verdict(found: PieceComparison) -> str:
    if found.verdict == "same within tolerance":
        return f"the same within {asked(found.tolerance or 0.0, '%')}"
    return found.verdict or "cannot tell yet"


def _comes_out(low: float, high: float, size_mm: float, unit: str) -> str:
    """Return by how much the pieces come out smaller or larger, on themselves and on a piece of the usual size."""
    size, usual = size_mm / LENGTH_IN_MM[unit], PIECE[unit]
    made = f"{size:.{LENGTH_DECIMALS[unit] - 1}f}"
    scales = [size, usual] if float(made) != usual else [size]
    ends = [[_amount(end, high - low, length, unit) for end in (high, low)] for length in scales]
    if low <= 0.0 <= high:
        smaller, larger = (f"{end}{NO_BREAK}{unit}" for end in ends[0])
        told = f"may come out up to {smaller} smaller or {larger} larger than the bars say"
        besides = f"up to {' or '.join(ends[-1])}"
    else:
        near_far = [sorted(pair, key=float) for pair in ends]
        more = "smaller" if low > 0.0 else "larger"
        told = f"come out {near_far[0][0]} to {near_far[0][1]}{NO_BREAK}{unit} {more} than the bars say"
        besides = " to ".join(near_far[-1])
    on_usual = f" (on {usual:.0f}{NO_BREAK}{unit} {besides}{NO_BREAK}{unit})" if len(scales) > 1 else ""
    return f"Made {made}{NO_BREAK}{unit} wet they {told}{on_usual}"


def _amount(points: float, width: float, length: float, unit: str) -> str:
    decimals = max(min(decimals_for(width * length / 200.0), 2), LENGTH_DECIMALS[unit])
    return number_text(abs(points) * length / 100.0, decimals)


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
