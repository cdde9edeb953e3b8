"""Batches over time: the mean of each batch with its limits, and the running average."""

import numpy as np
import pandas as pd
from matplotlib.axes import Axes

from bodytest.over_time import Timeline
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.charts.canvas import (
    SMALL_SIZE,
    Box,
    bare_axes,
    new_figure,
    nice_ticks,
    scale_left,
    shortened,
    widened,
    write,
)
from bodytest.report.charts.svg import ACCENT, INK, PAPER, SOFT, Chart, chart
from bodytest.report.sections.timeline import TimelineSection
from bodytest.report.wording import Voice

_WIDTH, _LEFT, _RIGHT, _TOP, _HEIGHT = 440.0, 38.0, 78.0, 30.0, 170.0


def timeline_chart(voice: Voice, section: TimelineSection) -> Chart:
    """Draw the batches of a body in their order."""
    shown = section.timeline
    quantity = QUANTITY_BY_KEY[shown.quantity]
    figure = new_figure(_WIDTH, _TOP + _HEIGHT + 40)
    axes = bare_axes(figure, Box(_LEFT, _TOP, _WIDTH - _LEFT - _RIGHT, _HEIGHT))
    count = len(shown.points)
    axes.set_xlim(-0.5, count - 0.5)
    seen = [value for p in shown.points for value in (p.charted, p.mean)]
    low, high = widened(seen + [value for value in (shown.low, shown.high) if value is not None])
    axes.set_ylim(low, high)
    scale_left(axes, voice, nice_ticks(low, high, 4), f"{quantity.name}, {quantity.unit}")
    _draw_limits(axes, voice, shown)
    _draw_points(axes, shown)
    _name_batches(axes, shown)
    description = voice.say("timeline.description", batches=_listed(voice, shown, quantity.unit))
    return chart(figure, "timeline", section.message, description)


def _draw_limits(axes: Axes, voice: Voice, shown: Timeline) -> None:
    lines = ((shown.low, "limit", "--"), (shown.centre, "middle", "-"), (shown.high, "limit", "--"))
    for value, name, style in lines:
        if value is not None:
            axes.axhline(value, color=SOFT, linewidth=1, linestyle=style, zorder=1)
            label = voice.say(f"timeline.{name}")
            write(axes, 1.015, value, label, transform=axes.get_yaxis_transform(), ha="left", fontsize=SMALL_SIZE)


def _draw_points(axes: Axes, shown: Timeline) -> None:
    """Draw means joined by a thin line, batches that break a rule as diamonds, the running average dotted.

    Beside a mean that is corrected for its loads stands the one that was measured, hollow: between them lies the kiln.
    """
    apart = [(place, p.mean) for place, p in enumerate(shown.points) if p.corrected is not None]
    for place, mean in apart:
        axes.scatter([place], [mean], 34, "none", marker="o", lw=1.2, edgecolor=INK, zorder=5)
    points = pd.DataFrame(
        {
            "place": np.arange(len(shown.points)),
            "mean": [p.charted for p in shown.points],
            "odd": [bool(p.signals) for p in shown.points],
        }
    )
    axes.plot(points["place"], points["mean"], color=ACCENT, linewidth=1, zorder=2)
    for odd, marker, colour in ((False, "o", ACCENT), (True, "D", INK)):
        some = points[points["odd"] == odd]
        if len(some):
            axes.scatter(some["place"], some["mean"], 52, colour, marker=marker, lw=0.577, edgecolor=PAPER, zorder=4)
    averages = [np.nan if p.average is None else p.average for p in shown.points]
    axes.plot(points["place"], averages, color=INK, linewidth=1.2, linestyle=":", zorder=3)


def _name_batches(axes: Axes, shown: Timeline) -> None:
    """Name the batches that there is room for: the newest shift or odd one, the ends, then those between."""
    names = [shortened(point.batch, 10) for point in shown.points]
    dates = [point.date or "" for point in shown.points]
    room = max(len(text) for text in (*names, *dates)) * 6.2 + 8
    least = room / ((_WIDTH - _LEFT - _RIGHT) / len(names))
    news = shown.shift.since if shown.shift else shown.newest_signal
    odd = [place for place, point in enumerate(shown.points) if point.batch == news]
    named: list[int] = []
    for place in (*odd, 0, len(names) - 1, *range(len(names))):
        if all(abs(place - other) >= least for other in named):
            named.append(place)
    for place in named:
        across = axes.get_xaxis_transform()
        write(axes, place, -12 / _HEIGHT, names[place], transform=across, ha="center", color=INK)
        write(axes, place, -26 / _HEIGHT, dates[place], transform=across, ha="center", fontsize=9)


def _listed(voice: Voice, shown: Timeline, unit: str) -> str:
    return "; ".join(f"{point.batch}: {voice.number(point.charted, 2, unit)}" for point in shown.points)
