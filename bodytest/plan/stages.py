"""How a length changes from one stage to another, along what was measured.

Each measured shrinkage is a step between two stages. Steps compound: a change that was not measured directly is the
product of the steps on the shortest way. Bars that shrink more in drying usually shrink more in all: where the same
bars were measured at both ends, the covariance of their lengths says how well the end is known from the beginning. Else
steps count as independent, with Welch–Satterthwaite degrees of freedom, and ranges are too wide.
"""

import math
from dataclasses import dataclass

from bodytest.plan.student import Student, of_mean, of_next
from bodytest.results import QuantityResult
from bodytest.stats.combined_freedom import combined_freedom

STAGES = ("wet", "leather-hard", "dry", "bisque", "fired")
"""Stages in their order."""
_STEPS: tuple[tuple[str, str, str], ...] = (
    ("wet", "fired", "total_shrinkage"),
    ("dry", "fired", "firing_shrinkage"),
    ("wet", "leather-hard", "leather_hard_shrinkage"),
    ("wet", "dry", "drying_shrinkage"),
    ("dry", "bisque", "bisque_shrinkage"),
)
"""From stage, to stage, the shrinkage between them in per cent of the size at the first."""
_WIDEST = 1.0
"""A range of sizes from 1/e to e times the expected one says nothing, so none wider is given."""


@dataclass(frozen=True)
class Change:
    """How many times its size at one stage a length is at another."""

    ratio: float
    """Size at the end over size at the beginning."""
    low: float | None
    """Lower end of the interval of the mean ratio."""
    high: float | None
    """Upper end of it."""
    of_next: Student | None
    """Distribution of the ratio of one further piece."""
    keys: tuple[str, ...]
    """Quantities it was made from, in the order of the way."""
    bars: int
    """Bars that it rests on: the fewest of its quantities."""
    why_no_range: str | None
    """A sentence, when there is no interval."""


def relative_variance(
    ratios: dict[str, float], covariance: tuple[tuple[float, ...], ...], start: str, end: str
) -> float | None:
    """Return the relative variance of the mean length at one stage over that at another; None where not measured.

    ``ratios`` holds the mean length over the wet one of the same bars by stage, ``covariance`` has the same order.

    >>> f"{relative_variance({'dry': 0.9, 'fired': 0.8}, ((1e-4, 1e-4), (1e-4, 2e-4)), 'wet', 'dry'):.9f}"
    '0.000123457'
    """
    weights = {stage: sign for stage, sign in ((end, 1.0), (start, -1.0)) if stage != "wet"}
    if not weights.keys() <= ratios.keys():
        return None
    each = [weights.get(stage, 0.0) / ratio for stage, ratio in ratios.items()]
    return math.fsum(
        a * b * known for a, row in zip(each, covariance, strict=True) for b, known in zip(each, row, strict=True)
    )


@dataclass(frozen=True)
class _Step:
    """One shrinkage on the way, forward or backward."""

    key: str
    quantity: QuantityResult
    forward: bool

    @property
    def ratio(self) -> float:
        left = _left(self.quantity.mean or 0.0)
        return left if self.forward else 1.0 / left


def change(
    quantities: dict[str, QuantityResult], start: str, end: str, confidence: float, known: float | None = None
) -> Change | None:
    """Return how a length changes between two stages, None when no measured way leads there.

    ``known`` is the relative variance of the mean length at the end over that at the beginning, where the same bars
    show it.

    >>> change({"total_shrinkage": QuantityResult("%", 1, 12.0)}, "wet", "fired", 0.95).ratio
    0.88
    """
    way = _shortest_way(quantities, start, end)
    if way is None:
        return None
    ratio = math.prod(step.ratio for step in way)
    bars = min((step.quantity.n for step in way), default=0)
    keys = tuple(step.key for step in way)
    less = _less_apart(way, known)
    low, high = _interval(way, ratio, confidence, less)
    why = None if low is not None or not way else _why(way)
    return Change(ratio, low, high, _next(way, ratio, confidence, less), keys, bars, why)


def _less_apart(way: tuple[_Step, ...], known: float | None) -> float | None:
    """Return the relative variance of the same bars over that of independent steps; None where they cannot be told."""
    means = [of_mean(step.quantity) for step in way]
    if known is None or len(way) < 2 or None in means or len({step.quantity.n for step in way}) > 1:
        return None
    apart = math.fsum(scale**2 for scale in _relative(way, [mean for mean in means if mean]))
    return max(known, 0.0) / apart if apart > 0.0 else None


def _left(shrinkage_percent: float) -> float:
    return 1.0 - shrinkage_percent / 100.0


def _shortest_way(quantities: dict[str, QuantityResult], start: str, end: str) -> tuple[_Step, ...] | None:
    """Search breadth first; of ways of equal length, the one over the steps listed first is taken."""
    steps = [(first, second, key) for first, second, key in _STEPS if usable(quantities.get(key))]
    ways: dict[str, tuple[_Step, ...]] = {start: ()}
    reached = [start]
    while reached and end not in ways:
        stage = reached.pop(0)
        for first, second, key in steps:
            for here, there, forward in ((first, second, True), (second, first, False)):
                if here == stage and there not in ways:
                    ways[there] = (*ways[stage], _Step(key, quantities[key], forward))
                    reached.append(there)
    return ways.get(end)


def usable(quantity: QuantityResult | None) -> bool:
    """Say whether anything is left after such a shrinkage."""
    return quantity is not None and quantity.mean is not None and quantity.mean < 100.0


def _interval(
    way: tuple[_Step, ...], ratio: float, confidence: float, less: float | None
) -> tuple[float | None, float | None]:
    if not way:
        return ratio, ratio
    if len(way) == 1:
        return _ends(way[0], way[0].quantity.low, way[0].quantity.high)
    together = _compound(way, [of_mean(step.quantity) for step in way], less)
    if together is None:
        return None, None
    half = together.half_width(confidence)
    if half > _WIDEST:
        return None, None
    return ratio * math.exp(-half), ratio * math.exp(half)


def _ends(step: _Step, low: float | None, high: float | None) -> tuple[float | None, float | None]:
    if low is None or high is None or max(low, high) >= 100.0:
        return None, None
    smaller, larger = _left(high), _left(low)
    return (smaller, larger) if step.forward else (1.0 / larger, 1.0 / smaller)


def _relative(way: tuple[_Step, ...], parts: list[Student]) -> list[float]:
    """Return the relative scale of what is left after each step."""
    return [part.scale / (100.0 - (step.quantity.mean or 0.0)) for step, part in zip(way, parts, strict=True)]


def _compound(way: tuple[_Step, ...], parts: list[Student | None], less: float | None) -> Student | None:
    """Return the distribution of the logarithm of the product, about zero.

    Steps of the same bars have the degrees of freedom of the one known least; their variance as means is known, and
    further bars vary in proportion.
    """
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return None
    relative = _relative(way, known)
    variance = math.fsum(scale**2 for scale in relative)
    fewest = min(part.degrees_of_freedom for part in known)
    if not variance > 0.0:
        return Student(0.0, 0.0, fewest)
    if less is not None:
        return Student(0.0, math.sqrt(less * variance), fewest)
    freedom = combined_freedom([scale**2 for scale in relative], [part.degrees_of_freedom for part in known])
    return Student(0.0, math.sqrt(variance), float(freedom))


def _next(way: tuple[_Step, ...], ratio: float, confidence: float, less: float | None) -> Student | None:
    together = _compound(way, [of_next(step.quantity, confidence) for step in way], less) if way else None
    return None if together is None else Student(ratio, ratio * together.scale, together.degrees_of_freedom)


def _why(way: tuple[_Step, ...]) -> str:
    reasons = [step.quantity.why_no_interval for step in way if step.quantity.low is None]
    return next((reason for reason in reasons if reason), "The bars differ so much that no range can be given.")
