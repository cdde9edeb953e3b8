"""Verdicts on limits that somebody set, as frozen dataclasses of the results document."""

from dataclasses import dataclass
from typing import Literal

Conformity = Literal["meets", "does not meet", "cannot tell yet", "not tested"]


@dataclass(frozen=True)
class SpecVerdict:
    """One limit that somebody set, and whether it is met."""

    quantity: str
    """Key of the quantity, as it stands in ``values`` of a bar."""
    applies_to: str
    """mean, every bar or share of bars."""
    share: float | None
    """Share of bars, per cent, where it applies to one."""
    lowest: float | None
    """Lowest value, in the quantity's unit."""
    highest: float | None
    """Highest value, in the quantity's unit."""
    verdict: Conformity
    """meets, does not meet, cannot tell yet or not tested."""
    value: float | None = None
    """What was held against the nearer end: the mean, the bar furthest out, or the value that leaves out the share."""
    guarded_by: float | None = None
    """How far that may be from the truth on this side, at the stated risk; in the quantity's unit."""
    source: str | None = None
    """Who or what set the limit."""
    sentence: str = ""
    """The verdict in words, what one further bar may reach, and whom it speaks of."""
    next_low: float | None = None
    """Lower end of the prediction interval for one further bar."""
    next_high: float | None = None
    """Upper end of it."""
    rule: str | None = None
    """The decision rule, with its source."""
    risk: float | None = None
    """Risk of either wrong verdict that the rule allows, as a fraction."""
