"""Batches over time: the mean of each batch with its interval and limits, the running average and the newest shift."""

from functools import partial

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from bodytest.over_time import ChartPoint, Timeline
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.charts import canvas
from bodytest.report.charts.marks import draw_marks
from bodytest.report.charts.svg import ACCENT, INK, SOFT, WASH, Chart, chart
from bodytest.report.wording import Voice

_LEFT, _RIGHT, _TOP, _HEIGHT = 38.0, 84.0, 42.0, 170.0


def timeline_chart(voice: Voice, shown: Timeline) -> Chart:
    """Draw the batches of a body in their order."""
    unit = QUANTITY_BY_KEY[shown.quantity].unit
    listed = "; ".join(f"{point.batch}: {voice.number(point.charted, 2, unit)}" for point in shown.points)
    description = voice.say("timeline.description", batches=listed)
    return chart(partial(_figure, voice, shown), "timeline", shown.message, description)


def _figure(voice: Voice, shown: Timeline, width: float) -> Figure:
    quantity = QUANTITY_BY_KEY[shown.quantity]
    figure = canvas.new_figure(width, _TOP + _HEIGHT + 40)
    axes = canvas.bare_axes(figure, _LEFT, _TOP, width - _LEFT - _RIGHT, _HEIGHT)
    axes.set_xlim(-0.5, len(shown.points) - 0.5)
    seen = [v for p in shown.points for v in (p.mean, *_interval(p))]
    low, high = canvas.widened(seen + [value for value in (shown.low, shown.high) if value is not None])
    axes.set_ylim(low, high)
    canvas.scale_left(axes, voice, canvas.nice_ticks(low, high, 4), f"{quantity.name}, {quantity.unit}", above=28.0)
    _draw_limits(axes, voice, shown)
    _draw_shift(axes, voice, shown)
    _draw_points(axes, shown)
    _name_batches(axes, shown)
    return figure


def _interval(point: ChartPoint) -> tuple[float, float]:
    """Return two standard uncertainties around what is charted; the mean itself where none is known."""
    corrected = point.corrected is not None
    u = (point.corrected_uncertainty if corrected else point.measured_uncertainty) or 0.0
    return point.charted - 2 * u, point.charted + 2 * u


def _draw_limits(axes: Axes, voice: Voice, shown: Timeline) -> None:
    labels = []
    lines = ((shown.low, "limit", "--"), (shown.centre, "middle", "-"), (shown.high, "limit", "--"))
    for value, name, style in lines:
        if value is not None:
            axes.axhline(value, color=SOFT, linewidth=1, linestyle=style, zorder=1)
            labels.append((value, voice.say(f"timeline.{name}", at=voice.end(value, 2)), SOFT))
    canvas.labels_right(axes, labels)


def _draw_shift(axes: Axes, voice: Voice, shown: Timeline) -> None:
    """Tint the batches since the newest shift and say since which."""
    if shown.shift is None:
        return
    since = next(k for k, point in enumerate(shown.points) if point.batch == shown.shift.since)
    last = len(shown.points) - 0.5
    axes.axvspan(since - 0.5, last, color=WASH, linewidth=0, zorder=0)
    label = voice.say("timeline.since", batch=canvas.shortened(shown.shift.since, 12))
    across = axes.get_xaxis_transform()
    canvas.write_small(axes, last, 1 + 9 / _HEIGHT, label, transform=across, ha="right", color=INK)


def _draw_points(axes: Axes, shown: Timeline) -> None:
    """Draw means with their intervals, batches that break a rule as diamonds, the running average dotted.

    Beside a mean that is corrected for its loads stands the one that was measured, hollow: between them lies the kiln.
    """
    places = np.arange(len(shown.points), dtype=float)
    means = np.array([p.charted for p in shown.points])
    ends = np.array([_interval(p) for p in shown.points])
    axes.vlines(places, ends[:, 0], ends[:, 1], color=INK, linewidth=1.4, zorder=3)
    for place, point in enumerate(shown.points):
        if point.corrected is not None:
            axes.plot([place - 0.12, place - 0.12], [point.mean, point.corrected], color=SOFT, lw=1, ls=":", zorder=2)
            axes.scatter([place - 0.12], [point.mean], 34, "none", marker="o", lw=1.2, edgecolor=INK, zorder=5)
    axes.plot(places, means, color=ACCENT, linewidth=1, zorder=2)
    odd = np.array([bool(p.signals) for p in shown.points])
    draw_marks(axes, places[~odd], means[~odd], "o", 8.0, ACCENT)
    draw_marks(axes, places[odd], means[odd], "D", 10.0, INK)
    averages = [np.nan if p.average is None else p.average for p in shown.points]
    axes.plot(places, averages, color=INK, linewidth=1.2, linestyle=":", zorder=3)


def _name_batches(axes: Axes, shown: Timeline) -> None:
    """Name batches where there is room, undated if need be: the newest shift or odd one, the ends, then the others."""
    across, px = axes.get_xaxis_transform(), axes.get_window_extent().width / len(shown.points)
    news = shown.shift.since if shown.shift else shown.newest_signal
    odd = [place for place, point in enumerate(shown.points) if point.batch == news]
    taken: list[tuple[float, float, float]] = []
    for place in dict.fromkeys((*odd, 0, len(shown.points) - 1, *range(len(shown.points)))):
        name, date = canvas.shortened(shown.points[place].batch, 10), shown.points[place].date or ""
        for below in dict.fromkeys((date, "")):
            half = max(canvas.text_width(name), canvas.text_width(below)) / 2
            if canvas.label_clear(taken, place * px - half, place * px + half, 0.0):
                canvas.write_small(axes, place, -12 / _HEIGHT, name, transform=across, ha="center", color=INK)
                canvas.write_small(axes, place, -27 / _HEIGHT, below, transform=across, ha="center")
                break
