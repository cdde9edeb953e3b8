"""From wet to fired: the length of a piece at each stage as one falling line, and a wet and a fired piece to scale."""

from dataclasses import dataclass
from functools import partial

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from bodytest.report.charts.canvas import bare_axes, new_figure, nice_ticks, scale_left, widened, write_small
from bodytest.report.charts.marks import draw_marks
from bodytest.report.charts.svg import ACCENT, INK, SOFT, WASH, Chart, chart
from bodytest.report.wording import Voice
from bodytest.units import LENGTH_DECIMALS

_LEFT, _TOP, _HEIGHT, _GAP = 38.0, 34.0, 150.0, 30.0


@dataclass(frozen=True)
class StageLength:
    """The length of a piece of wet clay at one stage, in the unit that is shown."""

    name: str
    """The stage."""
    length: float
    """Length."""
    low: float
    """Two standard uncertainties below it."""
    high: float
    """Two standard uncertainties above it."""


def stage_chart(voice: Voice, lengths: tuple[StageLength, ...], message: str) -> Chart:
    """Draw the lengths of one body at each stage."""
    told = "; ".join(f"{one.name} {voice.length(one.length)}" for one in lengths)
    description = voice.say("stages.description", lengths=told)
    return chart(partial(_figure, voice, lengths), "stages", message, description)


def _figure(voice: Voice, lengths: tuple[StageLength, ...], width: float) -> Figure:
    figure = new_figure(width, _TOP + _HEIGHT + 34)
    across = (width - _LEFT - _GAP) * 0.6
    axes = bare_axes(figure, _LEFT, _TOP, across, _HEIGHT)
    low, high = widened([v for one in lengths for v in (one.length, one.low, one.high)], 0.12)
    axes.set_ylim(low, high)
    axes.set_xlim(-0.5, len(lengths) - 0.5)
    unit = voice.length_unit
    scale = voice.say("stages.scale", wet=voice.plain(lengths[0].length, unit), unit=unit)
    scale_left(axes, voice, nice_ticks(low, high, 4), scale)
    _draw_line(axes, voice, lengths)
    beside = width - _LEFT - across - _GAP
    pieces = bare_axes(figure, _LEFT + across + _GAP, _TOP, beside, _HEIGHT)
    _draw_pieces(pieces, voice, lengths, lengths[0].length * max(1.3 / _HEIGHT, 1.04 / beside))
    return figure


def _draw_line(axes: Axes, voice: Voice, lengths: tuple[StageLength, ...]) -> None:
    places, drawn = np.arange(len(lengths), dtype=float), np.array([one.length for one in lengths])
    axes.plot(places, drawn, color=ACCENT, linewidth=1.8, zorder=2)
    axes.vlines(places, [one.low for one in lengths], [one.high for one in lengths], color=INK, linewidth=2.2, zorder=3)
    draw_marks(axes, places, drawn, "o", 7.0, ACCENT)
    for place, one in zip(places, lengths, strict=True):
        across = axes.get_xaxis_transform()
        y = -(12 if place % 2 == 0 or len(lengths) < 4 else 26) / _HEIGHT
        write_small(axes, place, y, one.name, transform=across, ha="center", color=INK)
        up = 12 * (axes.get_ylim()[1] - axes.get_ylim()[0]) / _HEIGHT
        write_small(axes, place + 0.08, one.high + up, _bare(voice, one), ha="center")


def _draw_pieces(axes: Axes, voice: Voice, lengths: tuple[StageLength, ...], each_px: float) -> None:
    """Draw the wet square and what becomes of it, to one scale, standing on one line."""
    box = axes.get_window_extent()
    wet, last = lengths[0].length, lengths[-1]
    axes.set_xlim(-0.01 * wet, box.width * each_px - 0.01 * wet)
    axes.set_ylim(-0.01 * wet, box.height * each_px - 0.01 * wet)
    axes.add_patch(Rectangle((0, 0), wet, wet, facecolor="none", edgecolor=SOFT, linestyle="--", linewidth=1.2))
    axes.add_patch(Rectangle((0, 0), last.length, last.length, facecolor=WASH, edgecolor=INK, linewidth=1.2))
    write_small(axes, 0, wet + 11 * each_px, f"{lengths[0].name} {voice.plain(wet, voice.length_unit)}")
    write_small(axes, 0.06 * wet, last.length / 2, f"{last.name} {_bare(voice, last)}", color=INK)


def _bare(voice: Voice, one: StageLength) -> str:
    return voice.number(one.length, LENGTH_DECIMALS[voice.length_unit])
