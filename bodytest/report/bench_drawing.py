"""What a bench sheet draws: outlines and ruler in full size, strips of temperature and absorption; all in mm."""

from collections.abc import Sequence
from dataclasses import dataclass

from bodytest.report.charts.canvas import nice_ticks
from bodytest.report.sections.response import safe_window_text
from bodytest.report.wording import Voice
from bodytest.responses import FiringResponse
from bodytest.results import QuantityResult
from bodytest.units import LENGTH_IN_MM

_SIDES = {"mm": (60.0, 50.0, 40.0, 30.0, 20.0, 10.0), "in": (2.0, 1.5, 1.0, 0.5)}
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

    ``factors`` are wet over fired, of the direction across the page and, where there are two, of that up it.
    """
    if not factors:
        return None
    across, up = factors[0], factors[-1]
    each, sides = LENGTH_IN_MM[voice.length_unit], _SIDES[voice.length_unit]
    shown = next((one for one in sides if one * each * max(across, up, 1.0) <= _OUTLINE_ROOM_MM), sides[-1])
    side = shown * each
    named = [f" {name}" if len(names) > 1 else "" for name in names]
    labels = [
        voice.say("bench.wet_outline", size=voice.length(shown * factor)) + name
        for factor, name in zip((across, up), (named[0], named[-1]), strict=True)
    ]
    wet_width, wet_height = side * across, side * up
    return {
        "side": side,
        "wet_width": wet_width,
        "wet_height": wet_height,
        "wide": max(side, wet_width),
        "high": max(side, wet_height),
        "fired_label": voice.say("bench.fired_outline", size=voice.plain(shown, voice.length_unit)),
        "width_label": labels[0],
        "height_label": labels[1],
    }


def firing_strip(voice: Voice, response: FiringResponse) -> Strip:
    """Return the tested temperatures with the safe window; the likely range lies around it."""
    window, likely = response.safe_window, response.firing_range
    temperatures = sorted(response.temperatures_c)
    known = [*temperatures, *(window or ()), *(likely or ())]
    low, high = min(known) - 8, max(known) + 8
    marks = _spread([(_on(one, low, high), voice.number(voice.degrees(one), 0)) for one in temperatures])
    sure, soft = (None if one is None else (_on(one[0], low, high), _on(one[1], low, high)) for one in (window, likely))
    label = _over(sure, safe_window_text(voice, response)) if sure else None
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
    """Return the ruler: true lengths, and on wet clay the finished ones by ``factor``, wet over fired, if known."""
    smallest, middle, _ = _STEPS[voice.length_unit]
    words = voice.say("bench.ruler_plain" if factor is None else "bench.ruler", unit=_UNITS[voice.length_unit])
    finished = () if factor is None else _scale(voice.length_unit, middle, factor)
    return {"true": _scale(voice.length_unit, smallest, 1.0), "finished": finished, "words": words}


_STEPS = {"mm": (1.0, 5.0, 10.0), "in": (0.0625, 0.25, 1.0)}
"""Each mark, each longer one and each with a number."""
_UNITS = {"mm": "mm", "in": "inches"}


def _scale(unit: str, step: float, factor: float) -> tuple[Mark, ...]:
    """Return a mark for each step, each so many times as far along the ruler as its number says."""
    _, middle, numbered = _STEPS[unit]
    each = LENGTH_IN_MM[unit] * factor
    steps = [step * place for place in range(int((RULER_MM - 4) / (step * each)) + 1)]
    lengths = [4.0 if one % numbered == 0 else 3.0 if one % middle == 0 else 1.8 for one in steps]
    labels = [f"{one:g}" if one % numbered == 0 else "" for one in steps]
    told = zip(steps, labels, lengths, strict=True)
    return tuple(Mark(round(one * each, 3), label, length) for one, label, length in told)
