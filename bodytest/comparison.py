"""Batches, bodies, firings, directions or positions compared, as frozen dataclasses of the results document."""

from dataclasses import dataclass, field
from typing import Literal

from bodytest.documented import KEPT_OUT

Verdict = Literal["same within tolerance", "different", "cannot tell yet"]


@dataclass(frozen=True)
class LevelResult:
    """One of the things compared."""

    name: str
    """Name of the batch, body, firing, direction or position."""
    bars: int
    """Bars that its mean rests on."""
    batches: int
    """Batches that they come from."""
    mean: float
    """Mean (of batch means, where several), in the quantity's unit."""
    standard_uncertainty: float
    """Standard uncertainty of the mean, calibration left out: it is the same for all levels and drops out."""
    degrees_of_freedom: float
    """Its degrees of freedom."""
    low: float
    """Lower end of the mean's own confidence interval."""
    high: float
    """Upper end of it."""


@dataclass(frozen=True)
class Difference:
    """Two levels side by side; intervals and verdicts hold for all pairs of the comparison together."""

    first: str
    """Name of the level that is subtracted."""
    second: str
    """Name of the other."""
    difference: float
    """Second minus first, in the quantity's unit (percentage points for percentages)."""
    low: float
    """Lower end of its simultaneous confidence interval."""
    high: float
    """Upper end of it."""
    p: float
    """Chance of a difference at least as large anywhere among equal means."""
    same_p: float | None
    """Risk at which the two would be called the same within the tolerance; None without a tolerance."""
    mm_on_piece: float | None
    """By how much a piece of 200 mm comes out smaller in the second, mm; None where the quantity is no length."""
    mm_low: float | None
    """Lower end of its interval, mm."""
    mm_high: float | None
    """Upper end of it, mm."""
    verdict: Verdict
    """The three-way verdict."""
    sentence: str
    """All of this in one sentence."""
    same_bars: int | None = None
    """Bars that stand in both, each compared with itself; None where different bars are compared."""


@dataclass(frozen=True)
class Comparison:
    """Levels that differ in one thing and have the rest in common."""

    by: str
    """batch, body, firing, direction or position."""
    body: str | None
    """Body that they have in common; None when bodies are compared."""
    firing: str | None
    """Firing that they have in common; None when firings are compared."""
    direction: str | None
    """Direction that they have in common; None when directions are compared or none is given."""
    absorption_method: str | None
    """Absorption method that they have in common."""
    quantity: str
    """Key of the quantity."""
    unit: str
    """Its unit."""
    confidence: float
    """Confidence of all differences together, as a fraction."""
    tolerance: float | None
    """Largest difference that does not matter, in the quantity's unit; None where none is stated."""
    levels: tuple[LevelResult, ...]
    """What is compared."""
    welch_statistic: float | None
    """F of Welch's analysis of variance."""
    welch_between_freedom: float | None
    """Its degrees of freedom between."""
    welch_within_freedom: float | None
    """Its degrees of freedom within."""
    welch_p: float | None
    """Its p."""
    differences: tuple[Difference, ...]
    """Every pair."""
    verdict: str
    """The message in one sentence."""
    welch: str
    """Welch's analysis of variance in one sentence."""
    notes: tuple[str, ...]
    """What the comparison can and cannot say."""
    length_unit: str = field(default="mm", metadata=KEPT_OUT)
    """Unit in which sentences tell lengths: ``mm`` or ``in``."""
