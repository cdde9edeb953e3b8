"""From wet to fired: the length of 100 mm at each stage as one falling line, and a wet and a fired piece to scale."""

from dataclasses import dataclass
from functools import partial

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from bodytest.report.charts.canvas import Box, bare_axes, new_figure, nice_ticks, scale_left, widened, write_small
from bodytest.report.charts.marks import draw_marks
from bodytest.report.charts.svg import ACCENT, INK, SOFT, WASH, Chart, chart
from bodytest.report.wording import Voice

_LEFT, _TOP, _HEIGHT, _GAP = 38.0, 34.0, 150.0, 30.0


@dataclass(frozen=True)
class StageLength:
    """The length of 100 mm of wet clay at one stage."""

    name: str
    """The stage."""
    mm: float
    """Length, mm."""
    low: float
    """Two standard uncertainties below it, mm."""
    high: float
    """Two standard uncertainties above it, mm."""


def stage_chart(voice: Voice, lengths: tuple[StageLength, ...], message: str) -> Chart:
    """Draw the lengths of one body at each stage."""
    told = "; ".join(f"{one.name} {voice.number(one.mm, 1, 'mm')}" for one in lengths)
    description = voice.say("stages.description", lengths=told)
    return chart(partial(_figure, voice, lengths), "stages", message, description)


def _figure(voice: Voice, lengths: tuple[StageLength, ...], width: float) -> Figure:
    figure = new_figure(width, _TOP + _HEIGHT + 34)
    across = (width - _LEFT - _GAP) * 0.6
    axes = bare_axes(figure, Box(_LEFT, _TOP, across, _HEIGHT))
    low, high = widened([v for one in lengths for v in (one.mm, one.low, one.high)], 0.12)
    axes.set_ylim(low, high)
    axes.set_xlim(-0.5, len(lengths) - 0.5)
    scale_left(axes, voice, nice_ticks(low, high, 4), voice.say("stages.scale"))
    _draw_line(axes, voice, lengths)
    beside = width - _LEFT - across - _GAP
    pieces = bare_axes(figure, Box(_LEFT + across + _GAP, _TOP, beside, _HEIGHT))
    _draw_pieces(pieces, voice, lengths, max(130.0 / _HEIGHT, 104.0 / beside))
    return figure


def _draw_line(axes: Axes, voice: Voice, lengths: tuple[StageLength, ...]) -> None:
    places, mm = np.arange(len(lengths), dtype=float), np.array([one.mm for one in lengths])
    axes.plot(places, mm, color=ACCENT, linewidth=1.8, zorder=2)
    axes.vlines(places, [one.low for one in lengths], [one.high for one in lengths], color=INK, linewidth=2.2, zorder=3)
    draw_marks(axes, places, mm, "o", 7.0, ACCENT)
    for place, one in zip(places, lengths, strict=True):
        across = axes.get_xaxis_transform()
        y = -(12 if place % 2 == 0 or len(lengths) < 4 else 26) / _HEIGHT
        write_small(axes, place, y, one.name, transform=across, ha="center", color=INK)
        up = 12 * (axes.get_ylim()[1] - axes.get_ylim()[0]) / _HEIGHT
        write_small(axes, place + 0.08, one.high + up, voice.number(one.mm, 1), ha="center")


def _draw_pieces(axes: Axes, voice: Voice, lengths: tuple[StageLength, ...], mm_each_px: float) -> None:
    """Draw a square of 100 mm wet and what becomes of it, to one scale, standing on one line."""
    box = axes.get_window_extent()
    axes.set_xlim(-1, box.width * mm_each_px - 1)
    axes.set_ylim(-1, box.height * mm_each_px - 1)
    last = lengths[-1]
    axes.add_patch(Rectangle((0, 0), 100, 100, facecolor="none", edgecolor=SOFT, linestyle="--", linewidth=1.2))
    axes.add_patch(Rectangle((0, 0), last.mm, last.mm, facecolor=WASH, edgecolor=INK, linewidth=1.2))
    write_small(axes, 0, 100 + 11 * mm_each_px, f"{lengths[0].name} {voice.plain(100.0, 'mm')}")
    write_small(axes, 6, last.mm / 2, f"{last.name} {voice.number(last.mm, 1)}", color=INK)
