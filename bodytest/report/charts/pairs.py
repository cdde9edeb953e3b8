"""Absorption against shrinkage, one dot for each bar: what one costs in the other, and bars that go their own way."""

from functools import partial

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.body_part import BodyPart
from bodytest.report.charts import canvas
from bodytest.report.charts.marks import draw_marks, drawn_bars
from bodytest.report.charts.svg import ACCENT, INK, SOFT, Chart, chart
from bodytest.report.tested import firing_code
from bodytest.report.wording import Voice

_ALONG, _UP = "total_shrinkage", "absorption"
_FEWEST = 4
"""Bars with fewer show nothing of how the two go together."""
_CLEAR = 12.0
"""From the middle of a mark to that of a name beside it, px."""
_LEFT, _RIGHT, _TOP, _HEIGHT = 38.0, 20.0, 34.0, 220.0


def pair_chart(voice: Voice, part: BodyPart) -> Chart | None:
    """Draw absorption against shrinkage of the bars that count; None with too few bars that have both."""
    bars = part.bars[part.bars[_ALONG].notna() & part.bars[_UP].notna() & (part.bars["left_out"] == "")]
    if len(bars) < _FEWEST:
        return None
    shown = bars[drawn_bars(bars["tested"].to_numpy(), np.zeros(len(bars), dtype=bool))]
    description = voice.say("chart.pairs_description", bars=voice.count("bar", len(bars)))
    return chart(partial(_figure, voice, part, shown), "pairs", voice.say("chart.pairs"), description)


def _figure(voice: Voice, part: BodyPart, bars: pd.DataFrame, width: float) -> Figure:
    figure = canvas.new_figure(width, _TOP + _HEIGHT + 44)
    axes = canvas.bare_axes(figure, canvas.Box(_LEFT, _TOP, width - _LEFT - _RIGHT, _HEIGHT))
    limit = part.absorption_limit
    low, high = canvas.widened(bars[_ALONG].tolist(), 0.06)
    bottom, top = canvas.widened([*bars[_UP], *([] if limit is None else [limit])], 0.12)
    axes.set_xlim(low, high)
    axes.set_ylim(bottom, top)
    names = {key: f"{QUANTITY_BY_KEY[key].name}, {QUANTITY_BY_KEY[key].unit}" for key in (_ALONG, _UP)}
    canvas.scale_below(axes, voice, canvas.nice_ticks(low, high), names[_ALONG])
    canvas.scale_left(axes, voice, canvas.nice_ticks(bottom, top), names[_UP])
    answers = [k for k, one in enumerate(part.tested) if one.firing == part.choice.group.firing]
    own = bars["tested"].isin(answers).to_numpy()
    for chosen, shape, colour in ((~own, "^", SOFT), (own, "o", ACCENT)):
        draw_marks(axes, bars[_ALONG].to_numpy(float)[chosen], bars[_UP].to_numpy(float)[chosen], shape, 6.0, colour)
    if limit is not None:
        axes.axhline(limit, color=INK, linewidth=1, linestyle="--", zorder=2)
    _name(axes, voice, part, bars, limit)
    return figure


def _name(axes: Axes, voice: Voice, part: BodyPart, bars: pd.DataFrame, limit: float | None) -> None:
    """Name the limit, and each programme around its bars where fewest marks are covered, as far as there is room."""
    box = axes.get_window_extent()
    marks = axes.transData.transform(bars[[_ALONG, _UP]].to_numpy(float)) - (box.x0, box.y0)
    taken: list[tuple[float, float, float]] = []
    if limit is not None:
        text = voice.say("chart.limit", limit=voice.plain(limit, "%"))
        up = float(axes.transData.transform((0, limit))[1] - box.y0)
        line = np.arange(0, box.width, 6.0)
        marks = np.concatenate([marks, np.column_stack([line, np.full(len(line), up)])])
        ends = (9, box.width - canvas.text_width(text))
        _write(axes, text, [(end, up + side) for side in (_CLEAR, -_CLEAR) for end in ends], marks, taken)
    codes = bars["tested"].map(dict(enumerate(firing_code(voice, one) for one in part.tested)))
    for code in codes.unique():
        text = canvas.shortened(code, 14)
        own, width = marks[: len(codes)][(codes == code).to_numpy()], canvas.text_width(text)
        (left, low), (right, high), (across, up) = own.min(axis=0), own.max(axis=0), own.mean(axis=0)
        above_below = [(across - width / 2, high + _CLEAR), (across - width / 2, low - _CLEAR)]
        _write(axes, text, [*above_below, (right + 8, up), (left - width - 8, up)], marks, taken)


def _write(
    axes: Axes,
    text: str,
    around: list[tuple[float, float]],
    marks: npt.NDArray[np.float64],
    taken: list[tuple[float, float, float]],
) -> None:
    """Write a name at that one of the places, left end and middle in px, where fewest marks are covered."""
    box, width = axes.get_window_extent(), canvas.text_width(text)
    within = [(min(max(left, 0), box.width - width), min(max(up, 8), box.height - 8)) for left, up in around]

    def covered(place: tuple[float, float]) -> int:
        across, up = (marks - place).T
        return int(((across > -4) & (across < width + 4) & (abs(up) < _CLEAR - 1)).sum())

    for left, up in sorted(within, key=covered):
        if canvas.label_clear(taken, left, left + width, up):
            at = axes.transData.inverted().transform((left + box.x0, up + box.y0))
            canvas.write_small(axes, at[0], at[1], text, color=INK)
            return
