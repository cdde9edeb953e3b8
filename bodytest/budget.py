"""What limits the certainty of a mean, and scatter known from elsewhere, as dataclasses of the results document."""

from dataclasses import dataclass
from typing import Literal

Source = Literal["bars", "batches", "loads", "batches and loads", "marks", "reading step", "calibration"]


@dataclass(frozen=True)
class CertaintyShare:
    """One source of uncertainty of a group mean."""

    source: Source
    """Where it comes from."""
    standard_uncertainty: float
    """Its part of the standard uncertainty of the mean, in the quantity's unit."""
    share: float
    """Its part of the variance of the mean, 0 to 1; the shares of a quantity add up to 1."""
    instrument: str | None = None
    """Of reading step and calibration: length, mass or force, as on the Lab table."""


@dataclass(frozen=True)
class Certainty:
    """What limits the certainty of a mean, and what would help."""

    shares: tuple[CertaintyShare, ...] = ()
    """Largest first."""
    advice: str | None = None
    """One sentence: what to do to know it better."""
    bars_to_halve: int | None = None
    """Further bars that would probably halve the interval."""


@dataclass(frozen=True)
class Borrowed:
    """A second interval, for batches or loads that were not tested, from a scatter known from elsewhere."""

    from_: str
    """Where the scatter is known from: ``Lab sheet`` or ``other programmes``; ``from`` in the document."""
    batches: int | None
    """Batches that the scatter between batches rests on; None where it was not borrowed."""
    loads: int | None
    """Loads that the scatter between loads rests on; None where it was not borrowed."""
    low: float
    """Lower end of the confidence interval of the mean."""
    high: float
    """Upper end of it."""
    next_low: float
    """Lower end of the prediction interval for one further bar."""
    next_high: float
    """Upper end of it."""
