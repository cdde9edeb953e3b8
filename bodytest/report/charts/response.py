"""The response to firing: shrinkage and absorption against temperature, with bands, the limit and the safe window."""

from dataclasses import dataclass
from typing import Any

import pandas as pd
from matplotlib.axes import Axes

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.body_part import BodyPart
from bodytest.report.charts.canvas import (
    SMALL_SIZE,
    Box,
    apart,
    bare_axes,
    fitting_labels,
    new_figure,
    nice_ticks,
    scale_below,
    scale_left,
    shortened,
    widened,
    write,
)
from bodytest.report.charts.svg import ACCENT, INK, PAPER, SOFT, WASH, Chart, chart
from bodytest.report.naming import direction_names, firing_code
from bodytest.report.wording import Voice
from bodytest.responses import FiringResponse
from bodytest.results import Group, Programme

_WIDTH, _LEFT, _RIGHT, _PANEL = 440.0, 38.0, 66.0, 150.0
_TITLE_ABOVE = 46.0
_KEYS = ("total_shrinkage", "firing_shrinkage", "absorption")
_TOP, _NEXT_PANEL = 66.0, 186.0
_COLOURS = (ACCENT, INK, SOFT, ACCENT, INK, SOFT)
_LINES: tuple[Any, ...] = ("-", (0, (4, 2)), (0, (1, 1.5)), (0, (6, 1.5, 1, 1.5)), (0, (2, 1)), (0, (8, 2)))
_MOST_SERIES = 6
_MARKERS = ("o", "s", "^", "D", "v", "P")
_SHAPES = ("●", "■", "▲", "◆", "▼", "✚")


@dataclass(frozen=True)
class _Panel:
    """One quantity."""

    key: str
    title_above: float
    limit: float | None


@dataclass(frozen=True)
class _Series:
    """One direction of the body."""

    name: str
    response: FiringResponse
    place: int


def response_chart(voice: Voice, part: BodyPart, message: str) -> Chart:
    """Draw the responses of one body; the first one's safe window is marked."""
    responses, groups, bars = part.responses, part.groups, part.bars
    series = [
        _Series(name, r, k)
        for k, (name, r) in enumerate(zip(direction_names(voice, responses), responses, strict=True))
    ]
    series = series[:_MOST_SERIES]
    keys = [key for key in _KEYS if any(key in r.curves for r in responses)]
    points = _points(series, groups, bars)
    figure = new_figure(_WIDTH, _TOP + _NEXT_PANEL * (len(keys) - 1) + _PANEL + 44)
    celsius = [t for r in responses for t in r.temperatures_c]
    low, high = widened(celsius, 0.05, 10)
    for panel, key in enumerate(keys):
        axes = bare_axes(figure, Box(_LEFT, _TOP + _NEXT_PANEL * panel, _WIDTH - _LEFT - _RIGHT, _PANEL))
        axes.set_xlim(low, high)
        limit = _stated_limit(groups) if key == "absorption" else None
        _draw_panel(axes, voice, series, points, _Panel(key, 13.0 if panel else _TITLE_ABOVE, limit))
        _mark_range(axes, responses[0])
        if panel == 0:
            _name_programmes(axes, voice, responses[0], part)
    scale_below(axes, voice, nice_ticks(low, high), voice.say("chart.temperature_scale"))
    return chart(figure, "response", message, " ".join(r.summary for r in responses))


def _points(series: list[_Series], groups: tuple[Group, ...], bars: pd.DataFrame) -> pd.DataFrame:
    """Return the bars of the firings on the chart, the directions side by side at each temperature."""
    frames = []
    for one in series:
        celsius = dict(zip(one.response.firings, one.response.temperatures_c, strict=True))
        places = [
            place
            for place, group in enumerate(groups)
            if group.firing in celsius
            and group.direction == one.response.direction
            and group.absorption_method == one.response.absorption_method
        ]
        chosen = bars[bars["place"].isin(places) & (bars["left_out"] == "")]
        beside = 2.0 * (one.place - (len(series) - 1) / 2)
        frames.append(chosen.assign(celsius=chosen["firing"].map(celsius).astype(float) + beside, series=one.place))
    return pd.concat(frames, ignore_index=True)


def _stated_limit(groups: tuple[Group, ...]) -> float | None:
    absorbed = [group.quantities["absorption"] for group in groups if "absorption" in group.quantities]
    return next((result.limit for result in absorbed if result.limit is not None), None)


def _draw_panel(axes: Axes, voice: Voice, series: list[_Series], points: pd.DataFrame, panel: _Panel) -> None:
    key, limit = panel.key, panel.limit
    shown = [one for one in series if key in one.response.curves]
    measured = points[points[key].notna()]
    ends = [v for one in shown for c in _bands(one, key) for v in c]
    low, high = widened([*measured[key], *ends, *([limit] if limit is not None else [])], 0.06)
    axes.set_ylim(low, high)
    quantity = QUANTITY_BY_KEY[key]
    scale_left(axes, voice, nice_ticks(low, high, 5), f"{quantity.name}, {quantity.unit}", above=panel.title_above)
    for one in shown:
        _draw_curve(axes, one, key)
        own = measured[measured["series"] == one.place]
        colour, marker = _COLOURS[one.place], _MARKERS[one.place]
        axes.scatter(own["celsius"], own[key], 20, colour, marker=marker, alpha=0.75, lw=0.5, edgecolor=PAPER, zorder=3)
    _name_series(axes, shown, key)
    if limit is not None:
        axes.axhline(limit, color=INK, linewidth=1, linestyle="--", zorder=2)
        _write_right(axes, limit, voice.say("chart.limit", limit=voice.plain(limit, "%")), INK)


def _bands(one: _Series, key: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    curve = one.response.curves[key]
    return one.response.bands_low.get(key, curve), one.response.bands_high.get(key, curve)


def _draw_curve(axes: Axes, one: _Series, key: str) -> None:
    """Draw the curve of one direction in its band."""
    band_low, band_high = _bands(one, key)
    colour = _COLOURS[one.place]
    axes.fill_between(one.response.grid_c, band_low, band_high, color=colour, alpha=0.16, lw=0, zorder=1)
    axes.plot(
        one.response.grid_c,
        one.response.curves[key],
        color=colour,
        linewidth=1.8,
        linestyle=_LINES[one.place],
        zorder=4,
    )


def _name_series(axes: Axes, shown: list[_Series], key: str) -> None:
    """Write each direction at the right end of its curve."""
    low, high = axes.get_ylim()
    least = 13 * (high - low) / _PANEL
    ends = apart([one.response.curves[key][-1] for one in shown], least)
    for one, end in zip(shown, ends, strict=True):
        _write_right(axes, end, f"{_SHAPES[one.place]} {shortened(one.name, 10)}", _COLOURS[one.place])


def _write_right(axes: Axes, y: float, text: str, colour: str) -> None:
    write(axes, 1.015, y, text, transform=axes.get_yaxis_transform(), ha="left", fontsize=SMALL_SIZE, color=colour)


def _mark_range(axes: Axes, response: FiringResponse) -> None:
    """Tint the safe window, more softly where one of its ends is only likely, and mark the likeliest temperatures."""
    for strip, strength in ((response.firing_range, 0.45), (response.safe_window, 1.0)):
        if strip is not None:
            axes.axvspan(*strip, color=WASH, alpha=strength, zorder=0, linewidth=0)
    for crossing in (response.at_limit, response.densest):
        if crossing is not None and crossing.celsius is not None:
            axes.axvline(crossing.celsius, color=INK, linewidth=0.9, linestyle=":", zorder=2)


def _name_programmes(axes: Axes, voice: Voice, response: FiringResponse, part: BodyPart) -> None:
    """Name each programme above the chart where its loads stand, as far as there is room; the table names all."""
    celsius = dict(zip(response.firings, response.temperatures_c, strict=True))
    stands: dict[str, list[float]] = {}
    for one in part.tested:
        loads = one.loads if isinstance(one, Programme) else (one.firing,)
        if one.direction == response.direction:
            stands.setdefault(firing_code(voice, one), []).extend(celsius[code] for code in loads if code in celsius)
    firings = sorted((sum(at) / len(at), name) for name, at in stands.items() if at)
    low, high = axes.get_xlim()
    pixels = (_WIDTH - _LEFT - _RIGHT) / (high - low)
    across = axes.get_xaxis_transform()
    wordings = [(shortened(name, 20), shortened(name, 8)) for _, name in firings]
    places = [at * pixels for at, _ in firings]
    for (at, _), (level, label) in zip(firings, fitting_labels(places, wordings), strict=True):
        write(axes, at, 1 + (12 + 13 * level) / _PANEL, label, transform=across, ha="center", fontsize=SMALL_SIZE)
        end = 1 + (5 + 13 * level) / _PANEL
        axes.vlines(at, 1, end, transform=across, color=SOFT, linewidth=0.8, clip_on=False)
