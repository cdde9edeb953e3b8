"""The response to firing: shrinkage and absorption against temperature, with bands, the limit and the safe window."""

from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.body_part import BodyPart
from bodytest.report.charts import canvas
from bodytest.report.charts.marks import Numbers, draw_marks, drawn_bars
from bodytest.report.charts.svg import ACCENT, INK, SOFT, WASH, Chart, chart
from bodytest.report.tested import firing_code, named_by_direction
from bodytest.report.wording import Voice
from bodytest.responses import CrossingTemperature, FiringResponse
from bodytest.results import Group
from bodytest.units import celsius, degrees

_LEFT, _RIGHT, _PANEL = 38.0, 78.0, 150.0
_TITLE_ABOVE = 46.0
_KEYS = ("total_shrinkage", "firing_shrinkage", "absorption")
_TOP, _NEXT_PANEL = 66.0, 186.0
_COLOURS = (ACCENT, INK, SOFT, ACCENT, INK, SOFT)
_LINES: tuple[Any, ...] = ("-", (0, (4, 2)), (0, (1, 1.5)), (0, (6, 1.5, 1, 1.5)), (0, (2, 1)), (0, (8, 2)))
_MOST_SERIES = 6
_MARKERS = ("o", "s", "^", "D", "v", "P")
_SHAPES = ("●", "■", "▲", "◆", "▼", "✚")
_SLICES = 24
"""Steps in which the strip of the firing range fades."""


@dataclass(frozen=True)
class _Series:
    """One direction of the body."""

    name: str
    response: FiringResponse
    place: int


def response_chart(voice: Voice, part: BodyPart, message: str) -> Chart:
    """Draw the responses of one body; the first one's firing range is marked."""
    named = named_by_direction(voice, part.responses)[:_MOST_SERIES]
    series = [_Series(name, response, k) for k, (name, response) in enumerate(named)]
    points = _points(series, part.groups, part.bars)
    return chart(partial(_figure, voice, part, series, points), "response", message, voice.say("response.description"))


def _figure(voice: Voice, part: BodyPart, series: list[_Series], points: pd.DataFrame, width: float) -> Figure:
    keys = [key for key in _KEYS if any(key in one.response.curves for one in series)]
    figure = canvas.new_figure(width, _TOP + _NEXT_PANEL * (len(keys) - 1) + _PANEL + 44)
    low, high = canvas.widened([t for one in series for t in one.response.temperatures_c], 0.05, 10)
    for panel, key in enumerate(keys):
        axes = canvas.bare_axes(figure, _LEFT, _TOP + _NEXT_PANEL * panel, width - _LEFT - _RIGHT, _PANEL)
        axes.set_xlim(low, high)
        limit = part.absorption_limit if key == "absorption" else None
        _draw_panel(axes, voice, series, points, (key, 13.0 if panel else _TITLE_ABOVE, limit))
        _mark_range(axes, series[0].response)
        if panel == 0:
            _name_programmes(axes, voice, series[0].response, part)
    unit = voice.temperature_unit
    numbers = canvas.nice_ticks(degrees(low, unit), degrees(high, unit))
    ticks = [celsius(number, unit) for number in numbers]
    canvas.scale_below(axes, voice, ticks, voice.say("chart.temperature_scale"), numbers=numbers)
    return figure


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
    points = pd.concat(frames, ignore_index=True)
    odd = np.zeros(len(points), dtype=bool)
    return points.assign(drawn=drawn_bars(points["place"].to_numpy(), odd))


def _draw_panel(
    axes: Axes, voice: Voice, series: list[_Series], points: pd.DataFrame, panel: tuple[str, float, float | None]
) -> None:
    """Draw one quantity: its key, px of its title above, limit."""
    key, title_above, limit = panel
    shown = [one for one in series if key in one.response.curves]
    measured = points[points[key].notna()]
    ends = [v for one in shown for c in _bands(one, key) for v in c]
    low, high = canvas.widened([*measured[key], *ends, *([limit] if limit is not None else [])], 0.06)
    axes.set_ylim(low, high)
    quantity = QUANTITY_BY_KEY[key]
    canvas.scale_left(
        axes, voice, canvas.nice_ticks(low, high, 5), f"{quantity.name}, {quantity.unit}", above=title_above
    )
    for one in shown:
        _draw_curve(axes, one, key)
        _draw_bars(axes, measured[measured["series"] == one.place], one, key)
    labels = [
        (one.response.curves[key][-1], f"{_SHAPES[one.place]} {canvas.shortened(one.name, 9)}", _COLOURS[one.place])
        for one in shown
        if len(shown) > 1 or one.response.direction
    ]
    if limit is not None:
        axes.axhline(limit, color=INK, linewidth=1, linestyle="--", zorder=2)
        labels.append((limit, voice.say("chart.limit", limit=voice.plain(limit, "%")), INK))
    canvas.labels_right(axes, labels)


def _draw_bars(axes: Axes, own: pd.DataFrame, one: _Series, key: str) -> None:
    """Draw the bars of one direction as dots; where not all are drawn, a stroke from the lowest to the highest."""
    drawn = own[own["drawn"]]
    colour = _COLOURS[one.place]
    draw_marks(axes, drawn["celsius"].to_numpy(float), drawn[key].to_numpy(float), _MARKERS[one.place], 4.5, colour)
    if len(drawn) < len(own):
        ends = own.groupby("celsius")[key].agg(["min", "max"])
        axes.vlines(ends.index, ends["min"], ends["max"], color=colour, linewidth=7, alpha=0.3, zorder=3)


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


def _mark_range(axes: Axes, response: FiringResponse) -> None:
    """Tint the firing range, fading where its ends are uncertain, and mark the likeliest temperatures."""
    tight, densest = response.at_limit, response.densest
    for crossing in (tight, densest):
        if crossing is not None and crossing.celsius is not None:
            axes.axvline(crossing.celsius, color=INK, linewidth=0.9, linestyle=":", zorder=2)
    if tight is None or tight.celsius is None or densest is None:
        return
    edges = np.linspace(response.grid_c[0], response.grid_c[-1], _SLICES + 1)
    middles = (edges[:-1] + edges[1:]) / 2
    within = _chance_below(middles, tight, response) - _chance_below(middles, densest, response)
    seen, (low, high) = within > 0, axes.get_ylim()
    strips = [((a, low), (b, low), (b, high), (a, high)) for a, b in pairwise(edges)]
    drawn = [strip for strip, is_seen in zip(strips, seen, strict=True) if is_seen]
    if drawn:
        axes.add_collection(PolyCollection(drawn, facecolor=WASH, alpha=within[seen].round(2), linewidth=0, zorder=0))


def _chance_below(celsius: Numbers, end: CrossingTemperature, response: FiringResponse) -> Numbers:
    """Return, roughly, how surely an end lies below temperatures: 0 up to its low limit, 1 from its high limit on."""
    low = response.grid_c[0] if end.low is None else end.low
    high = response.grid_c[-1] if end.high is None else end.high
    likeliest = high if end.celsius is None else end.celsius
    sure_at_last = 0.5 if end.high is None else 1.0
    return np.interp(celsius, [low, min(max(likeliest, low), high), high], [0.0, 0.5, sure_at_last], left=0.0)


def _name_programmes(axes: Axes, voice: Voice, response: FiringResponse, part: BodyPart) -> None:
    """Name each programme above the chart where its loads stand, as far as there is room; the table names all."""
    celsius = dict(zip(response.firings, response.temperatures_c, strict=True))
    stands: dict[str, list[float]] = {}
    for one in part.tested:
        if one.direction == response.direction:
            here = [celsius[code] for code in one.loads if code in celsius]
            stands.setdefault(firing_code(voice, one), []).extend(here)
    firings = sorted((sum(at) / len(at), name) for name, at in stands.items() if at)
    low, high = axes.get_xlim()
    pixels = axes.get_window_extent().width / (high - low)
    across = axes.get_xaxis_transform()
    wordings = [(canvas.shortened(name, 20), canvas.shortened(name, 8)) for _, name in firings]
    places = [at * pixels for at, _ in firings]
    for (at, _), (level, label) in zip(firings, canvas.fitting_labels(places, wordings), strict=True):
        canvas.write_small(axes, at, 1 + (12 + 13 * level) / _PANEL, label, transform=across, ha="center")
        end = 1 + (5 + 13 * level) / _PANEL
        axes.vlines(at, 1, end, transform=across, color=SOFT, linewidth=0.8, clip_on=False)
