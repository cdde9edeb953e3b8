"""Where an interval or a verdict may not hold what it claims: one sentence, shown wherever the figure is."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from bodytest.findings import Finding, finding
from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Programme, QuantityResult
from bodytest.rounding import NO_BREAK
from bodytest.stats.skew import HOLDS_FROM


def with_doubt(result: QuantityResult, quantity: Quantity) -> QuantityResult:
    """Return a result with a sentence where its intervals and its verdict may be wrong more often than they say.

    That is where values that cannot be negative scatter so widely beside their mean, or are so few, that the room left
    for a long upper tail was not shown to be enough (`bodytest.stats.skew`).

    Parameters:
        result: with its intervals.
        quantity: its record.
    """
    if result.skew != "may not hold" or result.mean is None or result.sd is None:
        return result
    known = result.sd < _MOST_TOLD * result.mean
    of_mean = f"{100.0 * result.sd / result.mean:.0f}{NO_BREAK}% of their mean" if known else "far more than their mean"
    few = (
        f"; test at least {HOLDS_FROM} bars" if result.n < HOLDS_FROM else "; test more bars, or look for what differs"
    )
    sentence = (
        f"{quantity.name}: the {result.n} bars scatter by {of_mean}, so the ± and the verdict may be wrong more often"
        f" than they say{few}."
    )
    return replace(result, may_not_hold=sentence)


_MOST_TOLD = 10.0
"""Scatter over mean up to which it is told as a number."""


def doubts(programmes: Iterable[Programme]) -> Iterator[Finding]:
    """Yield a finding for each figure of a programme that may not hold what it claims."""
    for one in programmes:
        for key, result in one.quantities.items():
            if result.may_not_hold:
                of = " · ".join(part for part in (one.body, one.called, one.direction) if part)
                yield finding("may-not-hold", of=of, doubt=result.may_not_hold, quantity=QUANTITY_BY_KEY[key].name)
