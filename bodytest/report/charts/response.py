"""The response to firing: shrinkage and absorption against temperature, with bands, the limit and the firing range."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd
import seaborn as sns
from matplotlib.axes import Axes

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.charts.canvas import (
    SMALL_SIZE,
    Box,
    apart,
    bare_axes,
    new_figure,
    nice_ticks,
    scale_below,
    scale_left,
    shortened,
    widened,
    write,
)
from bodytest.report.charts.svg import ACCENT, INK, PAPER, SOFT, WASH, Chart, chart
from bodytest.report.wording import Voice
from bodytest.results import FiringResponse, Group

if TYPE_CHECKING:
    from collections.abc import Sequence

_WIDTH, _LEFT, _RIGHT, _PANEL = 440.0, 44.0, 64.0, 150.0
_TOPS = {"total_shrinkage": 62.0, "absorption": 246.0}
_COLOURS = (ACCENT, INK, SOFT, ACCENT, INK, SOFT)
_DASHES: tuple[object, ...] = ("", (4, 2), (1, 1.5), (6, 1.5, 1, 1.5), (2, 1), (8, 2))
_MARKERS = ("o", "s", "^", "D", "v", "P")
_SHAPES = ("●", "■", "▲", "◆", "▼", "✚")


@dataclass(frozen=True)
class _Series:
    """One direction of the body."""

    name: str
    response: FiringResponse
    place: int


def response_chart(
    voice: Voice, responses: "Sequence[FiringResponse]", groups: tuple[Group, ...], bars: pd.DataFrame, message: str
) -> Chart:
    """Draw the responses of one body; the first one's firing range is marked."""
    series = [_Series(r.direction or voice.say("name.no_direction"), r, k) for k, r in enumerate(responses[:6])]
    keys = [key for key in _TOPS if any(key in r.curves for r in responses)]
    points = _points(series, groups, bars)
    height = _TOPS[keys[-1]] + _PANEL + 44 if len(keys) > 1 else _TOPS["total_shrinkage"] + _PANEL + 44
    figure = new_figure(_WIDTH, height)
    celsius = [t for r in responses for t in r.temperatures_c]
    low, high = widened(celsius, 0.05, 10)
    for panel, key in enumerate(keys):
        top = list(_TOPS.values())[panel]
        axes = bare_axes(figure, Box(_LEFT, top, _WIDTH - _LEFT - _RIGHT, _PANEL))
        axes.set_xlim(low, high)
        limit = _stated_limit(groups) if key == "absorption" else None
        _draw_panel(axes, voice, series, points, key, limit)
        _mark_range(axes, responses[0])
        if panel == 0:
            _name_firings(axes, voice, responses[0], groups)
    scale_below(axes, voice, nice_ticks(low, high), voice.say("chart.temperature_scale"))
    return chart(figure, "response", message, " ".join(r.summary for r in responses))


def _points(series: list[_Series], groups: tuple[Group, ...], bars: pd.DataFrame) -> pd.DataFrame:
    """Return the bars of the firings on the chart, with their temperature and direction."""
    frames = []
    for one in series:
        celsius = dict(zip(one.response.firings, one.response.temperatures_c, strict=True))
        places = [
            place
            for place, group in enumerate(groups)
            if group.direction == one.response.direction and group.firing in celsius
        ]
        chosen = bars[bars["place"].isin(places) & (bars["left_out"] == "")]
        frames.append(chosen.assign(celsius=chosen["firing"].map(celsius).astype(float), series=one.name))
    return pd.concat(frames, ignore_index=True)


def _stated_limit(groups: tuple[Group, ...]) -> float | None:
    absorbed = [group.quantities["absorption"] for group in groups if "absorption" in group.quantities]
    return next((result.limit for result in absorbed if result.limit is not None), None)


def _draw_panel(
    axes: Axes, voice: Voice, series: list[_Series], points: pd.DataFrame, key: str, limit: float | None
) -> None:
    shown = [one for one in series if key in one.response.curves]
    measured = points[points[key].notna()]
    ends = [v for one in shown for c in _bands(one, key) for v in c]
    low, high = widened([*measured[key], *ends, *([limit] if limit is not None else [])], 0.06)
    axes.set_ylim(low, high)
    quantity = QUANTITY_BY_KEY[key]
    scale_left(axes, voice, nice_ticks(low, high, 4), f"{quantity.name}, {quantity.unit}")
    for one in shown:
        band_low, band_high = _bands(one, key)
        axes.fill_between(one.response.grid_c, band_low, band_high, color=_COLOURS[one.place], alpha=0.16, lw=0, zorder=1)
    _draw_curves(axes, shown, key)
    names = [one.name for one in shown]
    sns.scatterplot(
        measured, x="celsius", y=key, style="series", hue="series", style_order=names, hue_order=names, s=20,
        markers=list(_MARKERS[: len(names)]), palette=list(_COLOURS[: len(names)]), alpha=0.75, edgecolor=PAPER,
        linewidth=0.5, ax=axes, legend=False, zorder=3,
    )  # fmt: skip
    _name_series(axes, shown, key)
    if limit is not None:
        axes.hlines(limit, 0, 1, transform=axes.get_yaxis_transform(), color=INK, linewidth=1, linestyles="--", zorder=2)
        label = voice.say("chart.limit", limit=voice.plain(limit, "%"))
        write(axes, 1.015, limit, label, transform=axes.get_yaxis_transform(), ha="left", fontsize=SMALL_SIZE, color=INK)


def _bands(one: _Series, key: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    curve = one.response.curves[key]
    return one.response.bands_low.get(key, curve), one.response.bands_high.get(key, curve)


def _draw_curves(axes: Axes, shown: list[_Series], key: str) -> None:
    curves = pd.concat(
        [
            pd.DataFrame({"celsius": one.response.grid_c, "value": one.response.curves[key], "series": one.name})
            for one in shown
        ],
        ignore_index=True,
    )
    names = [one.name for one in shown]
    sns.lineplot(
        curves, x="celsius", y="value", style="series", hue="series", style_order=names, hue_order=names,
        dashes=list(_DASHES[: len(names)]), palette=list(_COLOURS[: len(names)]), estimator=None, errorbar=None,
        linewidth=1.8, ax=axes, legend=False, zorder=4,
    )  # fmt: skip


def _name_series(axes: Axes, shown: list[_Series], key: str) -> None:
    """Write each direction at the right end of its curve."""
    low, high = axes.get_ylim()
    least = 13 * (high - low) / _PANEL
    ends = apart([one.response.curves[key][-1] for one in shown], least)
    for one, end in zip(shown, ends, strict=True):
        text = f"{_SHAPES[one.place]} {shortened(one.name, 9)}"
        colour = _COLOURS[one.place]
        write(axes, 1.015, end, text, transform=axes.get_yaxis_transform(), ha="left", fontsize=SMALL_SIZE, color=colour)


def _mark_range(axes: Axes, response: FiringResponse) -> None:
    if response.firing_range is not None:
        axes.axvspan(*response.firing_range, color=WASH, zorder=0, linewidth=0)
    for crossing in (response.at_limit, response.densest):
        if crossing is not None and crossing.celsius is not None:
            axes.axvline(crossing.celsius, color=INK, linewidth=0.9, linestyle=":", zorder=2)


def _name_firings(axes: Axes, voice: Voice, response: FiringResponse, groups: tuple[Group, ...]) -> None:
    """Write code and cone of each firing above the chart, on two levels where they stand close."""
    cones = {group.firing: group.cone for group in groups}
    low, high = axes.get_xlim()
    pixels = (_WIDTH - _LEFT - _RIGHT) / (high - low)
    axes.set_clip_on(False)
    level, before = 0, float("-inf")
    for code, celsius in zip(response.firings, response.temperatures_c, strict=True):
        cone = cones.get(code)
        label = shortened(code, 8) + (f" · {voice.say('name.cone', cone=cone)}" if cone else "")
        close = (celsius - before) * pixels < 6.4 * len(label)
        level = 1 - level if close else 0
        before = celsius
        write(axes, celsius, 1 + (29 + 13 * level) / _PANEL, label, transform=axes.get_xaxis_transform(),
              ha="center", fontsize=SMALL_SIZE)  # fmt: skip
        axes.vlines(celsius, 1, 1 + (22 + 13 * level) / _PANEL, transform=axes.get_xaxis_transform(), color=SOFT,
                    linewidth=0.5, clip_on=False)  # fmt: skip
