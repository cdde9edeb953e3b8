"""What a comparison says, in sentences."""

from collections.abc import Sequence

from bodytest.comparison import Difference, Verdict
from bodytest.lab.record import Quantity
from bodytest.rounding import NO_BREAK, decimals_for, difference_unit, number_text, with_unit
from bodytest.stats.mean_differences import WelchAnova
from bodytest.units import LENGTH_DECIMALS, PIECE, on_piece

_MOST_NAMED = 3
_LEAST_DECIMALS = 2


def difference_sentence(
    by: str, quantity: Quantity, found: Difference, state: str, tolerance: float | None, length_unit: str
) -> str:
    """Return one difference in words: how much, how sure, what it is on a piece in that state, and the verdict."""
    decimals = max(decimals_for((found.high - found.low) / 2.0), _LEAST_DECIMALS)
    number = number_text(abs(found.difference), decimals)
    amount = with_unit(number, difference_unit(quantity.unit, number))
    more = "above" if found.difference >= 0.0 else "below"
    interval = f"{number_text(found.low, decimals)} to {number_text(found.high, decimals)}"
    same = f" on the same {found.same_bars} bars" if found.same_bars else ""
    return (
        f"{quantity.name}: {by} {found.second} is {amount} {more} {by} {found.first}{same} (difference"
        f" {interval}){_on_piece(found, state, length_unit)}: {_verdict_words(found, tolerance, quantity)}."
    )


def _on_piece(found: Difference, state: str, unit: str) -> str:
    if not state:
        return ""
    decimals = max(decimals_for(on_piece((found.high - found.low) / 2.0, unit)), LENGTH_DECIMALS[unit])
    amount = with_unit(number_text(on_piece(abs(found.difference), unit), decimals), unit)
    return f", {amount} on a piece that measures {PIECE[unit]:.0f}{NO_BREAK}{unit} {state}"


def _verdict_words(found: Difference, tolerance: float | None, quantity: Quantity) -> str:
    if found.verdict == "same within tolerance" and tolerance is not None:
        return f"the same within {with_unit(f'{tolerance:g}', difference_unit(quantity.unit, f'{tolerance:g}'))}"
    if found.verdict == "different" and tolerance is not None:
        beyond = min(abs(found.low), abs(found.high)) > tolerance
        return "different, by more than the tolerance" if beyond else "different, perhaps by less than the tolerance"
    return found.verdict


def verdict_sentence(pairs: Sequence[tuple[str, str, Verdict]]) -> str:
    """Return the message of all pairs together."""
    parts = []
    for verdict in ("different", "same within tolerance", "cannot tell yet"):
        words = verdict.capitalize()
        of_kind = [f"{first} and {second}" for first, second, found in pairs if found == verdict]
        if len(of_kind) == len(pairs) > 1:
            return f"{words}: all {len(pairs)} pairs."
        if of_kind:
            more = len(of_kind) - _MOST_NAMED
            named = "; ".join(of_kind[:_MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
            parts.append(f"{words}: {named}.")
    return " ".join(parts)


def welch_sentence(welch: WelchAnova | None, *, same_bars: bool = False) -> str:
    """Return Welch's analysis of variance in words."""
    if same_bars:
        return "Welch's analysis of variance is left out: it is for different bars, and some of these are the same."
    if welch is None:
        return "Welch's analysis of variance cannot be computed: the bars of one level all read alike."
    p = "p < 0.001" if welch.p < 0.001 else f"p = {number_text(welch.p, 3)}"
    return (
        f"Welch's analysis of variance: F({welch.between_freedom:.0f}, {welch.within_freedom:.1f}) ="
        f" {number_text(welch.statistic, 2)}, {p}."
    )
