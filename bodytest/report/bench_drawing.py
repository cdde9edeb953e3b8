"""What a bench sheet draws: outlines and ruler in full size, strips of temperature and absorption; all in mm."""

from collections.abc import Sequence
from dataclasses import dataclass

from bodytest.report.charts.canvas import nice_ticks
from bodytest.report.wording import Voice
from bodytest.responses import FiringResponse
from bodytest.results import QuantityResult

_SIDES_MM = (60.0, 50.0, 40.0, 30.0, 20.0, 10.0)
_OUTLINE_ROOM_MM = 62.0
STRIP_MM = 86.0
"""Length of a strip on paper."""
RULER_MM = 182.0
"""Length of the ruler: the narrower paper without its margins."""
_LABEL_MM = 9.0
"""Least distance between the middles of two numbers of a strip."""


@dataclass(frozen=True)
class Mark:
    """A place on a strip or ruler."""

    at: float
    """mm from its left end."""
    label: str = ""
    """What stands beside it."""
    length: float = 0.0
    """Length of the mark, mm."""


@dataclass(frozen=True)
class Strip:
    """A scale with what is known marked on it."""

    description: str
    """What it shows, for readers who do not see it."""
    ticks: tuple[Mark, ...]
    """Numbers below the scale."""
    band: tuple[float, float] | None
    """From where to where it is sure, mm."""
    soft: tuple[float, float] | None
    """From where to where it is likely, mm; None where there is nothing around the sure part."""
    band_label: Mark | None
    """What stands over the band."""
    limits: tuple[float, ...] = ()
    """Limit lines, mm."""
    dot: float | None = None
    """The mean, mm."""


def outlines(voice: Voice, factors: Sequence[float], names: Sequence[str]) -> dict[str, object] | None:
    """Return a fired and a wet rectangle in full size from one corner, mm, as large as there is room for.

    Parameters:
        factors: wet over fired, of the direction across the page and, where there are two, of that up it.
        names: of the same directions.
    """
    if not factors:
        return None
    across, up = factors[0], factors[-1]
    side = next((one for one in _SIDES_MM if one * max(across, up, 1.0) <= _OUTLINE_ROOM_MM), _SIDES_MM[-1])
    named = [f" {name}" if len(names) > 1 else "" for name in names]
    labels = [
        voice.say("bench.wet_outline", size=voice.number(side * factor, 1, "mm")) + name
        for factor, name in zip((across, up), (named[0], named[-1]), strict=True)
    ]
    wet_width, wet_height = side * across, side * up
    return {
        "side": side,
        "wet_width": wet_width,
        "wet_height": wet_height,
        "wide": max(side, wet_width),
        "high": max(side, wet_height),
        "fired_label": voice.say("bench.fired_outline", size=voice.plain(side, "mm")),
        "width_label": labels[0],
        "height_label": labels[1],
    }


def firing_strip(voice: Voice, response: FiringResponse) -> Strip:
    """Return the tested temperatures with the safe window; the likely range lies around it."""
    window, likely = response.safe_window, response.firing_range
    temperatures = sorted(response.temperatures_c)
    known = [*temperatures, *(window or ()), *(likely or ())]
    low, high = min(known) - 8, max(known) + 8
    marks = _spread([(_on(one, low, high), voice.number(one, 0)) for one in temperatures])
    sure, soft = (None if one is None else (_on(one[0], low, high), _on(one[1], low, high)) for one in (window, likely))
    label = _over(sure, voice.interval(*window, "°C", otherwise=0)) if sure and window else None
    return Strip(response.summary, marks, sure, soft, label)


def absorption_strip(voice: Voice, absorbed: QuantityResult | None) -> Strip | None:
    """Return the mean absorption with its interval against its limits."""
    if absorbed is None or absorbed.mean is None:
        return None
    bounds = [one for one in (absorbed.lowest, absorbed.limit) if one is not None]
    ends = [one for one in (absorbed.low, absorbed.high) if one is not None]
    low, high = min(0.0, absorbed.mean), 1.15 * max(*bounds, *ends, absorbed.mean, 0.5)
    limits = tuple(_on(one, low, high) for one in bounds)
    label = _over(limits, voice.say("chart.limit", limit=voice.limit(absorbed))) if limits else None
    ticks = tuple(Mark(_on(one, low, high), voice.plain(one)) for one in nice_ticks(low, high))
    band = (_on(max(ends[0], low), low, high), _on(max(ends[1], low), low, high)) if len(ends) > 1 else None
    return Strip(voice.mean(absorbed), ticks, band, None, label, limits, _on(absorbed.mean, low, high))


def _over(places: Sequence[float], label: str) -> Mark:
    """Return a label over the middle of places, moved inwards where it would leave the strip."""
    half = min(0.9 * len(label), STRIP_MM / 2)
    return Mark(min(max((places[0] + places[-1]) / 2, half), STRIP_MM - half), label)


def _on(value: float, low: float, high: float) -> float:
    return round(STRIP_MM * (value - low) / (high - low), 2)


def _spread(marks: Sequence[tuple[float, str]]) -> tuple[Mark, ...]:
    """Return marks whose labels do not run into each other: one too near to the last has none."""
    made: list[Mark] = []
    last = -_LABEL_MM
    for at, label in marks:
        if at - last < _LABEL_MM:
            made.append(Mark(at))
        else:
            made.append(Mark(at, label))
            last = at
    return tuple(made)


def ruler(voice: Voice, factor: float | None) -> dict[str, object]:
    """Return the ruler: a mark every true mm, longer ones at 5 and 10, and on wet clay for every finished 5 mm.

    ``factor`` is wet over fired, None where it is not known.
    """
    true = tuple(
        Mark(float(mm), str(mm) if mm % 10 == 0 else "", 4.0 if mm % 10 == 0 else 3.0 if mm % 5 == 0 else 1.8)
        for mm in range(int(RULER_MM) - 3)
    )
    if factor is None:
        return {"true": true, "finished": (), "words": voice.say("bench.ruler_plain")}
    count = int((RULER_MM - 4) / (5 * factor))
    finished = tuple(
        Mark(round(5 * half * factor, 3), str(5 * half) if half % 2 == 0 else "", 2.5 if half % 2 else 4.0)
        for half in range(count + 1)
    )
    return {"true": true, "finished": finished, "words": voice.say("bench.ruler")}
