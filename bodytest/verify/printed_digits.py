"""Published figures beside ours, compared within the digits that are printed."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from bodytest.verify.examples import PublishedExample

_FULL_DIGITS = 15.0
"""Digits of agreement are counted up to what a double holds."""


@dataclass(frozen=True)
class Figure:
    """One published figure and what this installation makes of it."""

    example: str
    """Id of the example."""
    source: str
    """Publication."""
    provenance: str
    """``seen``, or how else the figure is known."""
    title: str
    """What the example computes."""
    name: str
    """Name of the figure within the example."""
    position: str
    """Position in a list of figures, from 1; ``""`` for a single one."""
    published: float | str
    """The published figure."""
    ours: float | str | None
    """What the program computes; None when it could not."""
    tolerance: float
    """Largest difference that the printed digits allow."""
    trouble: str | None = None
    """Why there is no value of ours."""

    @property
    def counterpart(self) -> str:
        """Name whose figure ours is set beside: ``published``, or ``statsmodels`` in a cross-check."""
        return "statsmodels" if self.example.startswith("statsmodels-") else "published"

    @property
    def passed(self) -> bool:
        """Tell whether ours agrees within the printed digits."""
        if isinstance(self.published, str) or isinstance(self.ours, str):
            return self.published == self.ours
        return self.used_up <= 1.0

    @property
    def used_up(self) -> float:
        """Tell which part of the allowed difference is used, 0 for equal figures and texts.

        A few units in the last place of a double are always allowed, so that a tolerance of 0 can be met.
        """
        if isinstance(self.published, str) or isinstance(self.ours, str):
            return 0.0
        if self.ours is None:
            return math.inf
        return abs(self.ours - self.published) / (self.tolerance + 4.0 * math.ulp(self.published))

    @property
    def digits(self) -> float | None:
        """Significant digits that agree: −log₁₀ of the relative difference, at most 15; None for texts."""
        if isinstance(self.published, str) or isinstance(self.ours, str) or self.ours is None:
            return None
        difference = abs(self.ours - self.published)
        if not difference > 0.0:
            return _FULL_DIGITS if difference == 0.0 else 0.0
        return min(_FULL_DIGITS, max(0.0, -math.log10(difference / (abs(self.published) or 1.0))))


def compare(example: PublishedExample, ours: dict[str, Any]) -> Iterator[Figure]:
    """Pair each figure that the program computes with the published one."""
    for key, value in ours.items():
        yield from _pairs(example, key, value, None)


def failed(example: PublishedExample, trouble: str) -> Iterator[Figure]:
    """Return every published figure as missed, with the reason."""
    for key, published in example.expected.items():
        yield from _pairs(example, key, published, trouble)


def worst(figures: Iterable[Figure]) -> Figure:
    """Return the figure that comes nearest to missing, or misses most."""
    return max(figures, key=lambda figure: (not figure.passed, figure.used_up))


def _pairs(example: PublishedExample, key: str, value: Any, trouble: str | None) -> Iterator[Figure]:
    allowed = example.tolerance.get(key, example.tolerance.get("default", 0.0))
    for position, published, own, tolerance in _leaves("", example.expected[key], value, allowed):
        yield Figure(
            example=example.id,
            source=example.source,
            provenance=example.provenance,
            title=example.name,
            name=key,
            position=position,
            published=published,
            ours=None if trouble else own,
            tolerance=tolerance,
            trouble=trouble,
        )


def _leaves(
    position: str, published: Any, ours: Any, tolerance: Any
) -> Iterator[tuple[str, float | str, float | str, float]]:
    """Walk through lists of published figures; a tolerance is one for all of a list or a list of its own."""
    if not isinstance(published, list):
        yield position, published, ours if isinstance(ours, str) else float(ours), float(tolerance)
        return
    allowed = tolerance if isinstance(tolerance, list) else [tolerance] * len(published)
    for number, parts in enumerate(zip(published, ours, allowed, strict=True), start=1):
        yield from _leaves(f"{position} {number}".strip(), *parts)
