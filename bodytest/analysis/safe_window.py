"""The safe window: surely tight and surely not past the peak of shrinkage, or which firing would show more."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from bodytest.responses import CrossingTemperature
from bodytest.stats.firing_response import LevelMeans


@dataclass(frozen=True)
class SafeWindow:
    """What is known of the temperatures between tight and overfired."""

    window: tuple[float, float] | None = None
    """From surely tight to surely not overfired, °C."""
    from_c: float | None = None
    """Where it would begin, °C; None where absorption is nowhere surely below the limit."""
    to_c: float | None = None
    """Where it would end, °C; None where the peak may lie below the coolest firing."""
    test_next_c: float | None = None
    """A firing there would show more, °C."""
    between: tuple[float, float] | None = None
    """The tested temperatures on either side of it, °C."""
    overfires_first: bool = False
    """True where even the hottest peak lies below the coolest tight temperature."""


def safe_window(
    at_limit: CrossingTemperature | None, densest: CrossingTemperature | None, levels: LevelMeans
) -> SafeWindow | None:
    """Return the safe window; None without a limit, without shrinkage, without intervals or below the limit's reach."""
    if at_limit is None or densest is None or not _has_interval(at_limit) or not _has_interval(densest):
        return None
    if at_limit.celsius is None and at_limit.high is None:
        return None
    from_c, to_c = at_limit.high, densest.low
    if from_c is not None and to_c is not None and from_c < to_c:
        return SafeWindow((from_c, to_c), from_c, to_c)
    tight, peak = at_limit.low, densest.high
    if tight is not None and peak is not None and peak <= tight:
        return SafeWindow(None, from_c, to_c, overfires_first=True)
    test_next, between = _next_firing(at_limit, densest, levels)
    return SafeWindow(None, from_c, to_c, test_next, between)


def _has_interval(crossing: CrossingTemperature) -> bool:
    return crossing.low is not None or crossing.high is not None


def _next_firing(
    at_limit: CrossingTemperature, densest: CrossingTemperature, levels: LevelMeans
) -> tuple[float | None, tuple[float, float] | None]:
    """Return the middle of the widest gap between tested temperatures in which one of the two ends may lie.

    None where a further firing could not be told from its neighbours.
    """
    tested = levels.temperatures_c
    low = tested[0] if at_limit.low is None else min(at_limit.low, tested[-1])
    high = tested[-1] if densest.high is None else densest.high
    if at_limit.high is not None:
        high = min(high, max(at_limit.high, densest.celsius or high))
    gaps = [(hot - cool, cool, hot) for cool, hot in pairwise(tested) if hot > low and cool < high]
    widest, cool, hot = max(gaps, default=(0.0, 0.0, 0.0), key=lambda gap: gap[0])
    if widest < _least_gap(levels):
        return None, None
    return float(cool + hot) / 2.0, (float(cool), float(hot))


def _least_gap(levels: LevelMeans) -> float:
    """Return how far apart two firings must stand so that one between them is told from both."""
    off = 0.0 if levels.temperature_uncertainties_c is None else float(np.max(levels.temperature_uncertainties_c))
    return max(10.0, 4.0 * off)
