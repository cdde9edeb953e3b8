"""Absorption against shrinkage, one dot for each bar: what one costs in the other, and bars that go their own way."""

from functools import partial

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.body_part import BodyPart
from bodytest.report.charts import canvas
from bodytest.report.charts.marks import draw_marks, drawn_bars
from bodytest.report.charts.svg import ACCENT, INK, SOFT, Chart, chart
from bodytest.report.naming import firing_code
from bodytest.report.wording import Voice

_ALONG, _UP = "total_shrinkage", "absorption"
_FEWEST = 4
"""Bars with fewer show nothing of how the two go together."""
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
    limit = next((r.limit for g in part.groups if (r := g.quantities.get(_UP)) and r.limit is not None), None)
    low, high = canvas.widened(bars[_ALONG].tolist(), 0.06)
    bottom, top = canvas.widened([*bars[_UP], *([] if limit is None else [limit])], 0.06)
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
    """Name the limit, and the programmes beside the middle of their bars, as far as there is room."""
    to_px, box = axes.transData, axes.get_window_extent()
    taken: list[tuple[float, float, float]] = []
    labels = []
    codes = bars["tested"].map(dict(enumerate(firing_code(voice, one) for one in part.tested)))
    for code in codes.unique():
        middle = bars.loc[codes == code, [_ALONG, _UP]].mean()
        labels.append((middle[_ALONG], middle[_UP], canvas.shortened(code, 14)))
    if limit is not None:
        labels.insert(0, (axes.get_xlim()[0], limit, voice.say("chart.limit", limit=voice.plain(limit, "%"))))
    for x, y, text in labels:
        left, up = to_px.transform((x, y)) - (box.x0, 0)
        left = min(left + 9, box.width - canvas.text_width(text))
        if canvas.label_clear(taken, left, left + canvas.text_width(text), up + 9):
            at = to_px.inverted().transform((left + box.x0, up + 9))
            canvas.write_small(axes, at[0], at[1], text, color=INK)
