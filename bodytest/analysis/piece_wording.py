"""The comparison of pieces with bars in one sentence."""

from bodytest.results import QuantityResult
from bodytest.rounding import interval_text, number_text, value_text

Interval = tuple[float | None, float | None, float | None]
"""Mean, lower and upper end."""


def piece_sentence(
    dimension: str, pieces: QuantityResult, bars: QuantityResult | None, difference: Interval, confidence: float
) -> str:
    """Return what the pieces did, what the bars predicted, and what follows for the factor.

    Parameters:
        dimension: height, width …
        pieces: total shrinkage of the pieces.
        bars: total shrinkage of the bars, None where there are none of that body and firing.
        difference: pieces minus bars in percentage points, with its interval.
        confidence: of the interval, as a fraction.
    """
    who = "1 piece" if pieces.n == 1 else f"{pieces.n} pieces"
    where = f" in {dimension}" if dimension else ""
    did = f"{who} shrank {value_text(pieces.mean, _half(pieces), '%')}{where}"
    if bars is None or bars.mean is None or difference[0] is None:
        return f"{did}; there are no bars of that firing to compare with, so {_use(pieces, dimension)}."
    predicted = f"the bars predicted {value_text(bars.mean, _half(bars), '%')}"
    if difference[1] is None or difference[2] is None:
        return f"{did}, {predicted}; {_why_open(pieces, bars)}."
    ends = " and ".join(number_text(end, 2) for end in difference[1:])
    of = f"the difference lies between {ends} percentage points with {100 * confidence:g} % confidence"
    if difference[1] <= 0.0 <= difference[2]:
        return f"{did}, {predicted}: {of}, so nothing speaks against the bars."
    less = "less" if difference[0] < 0.0 else "more"
    return f"{did}, {predicted}: pieces shrink {less} ({of}), so {_use(pieces, dimension)}."


def _half(quantity: QuantityResult) -> float | None:
    return None if quantity.low is None or quantity.high is None else (quantity.high - quantity.low) / 2.0


def _use(pieces: QuantityResult, dimension: str) -> str:
    factor = 100.0 / (100.0 - (pieces.mean or 0.0))
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
