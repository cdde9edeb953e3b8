"""Every bar of a body as a dot, group by group, with the mean and where the next bar would fall."""

from collections.abc import Sequence
from functools import partial

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.charts import canvas
from bodytest.report.charts.marks import Numbers, draw_marks, drawn_bars
from bodytest.report.charts.svg import ACCENT, INK, SOFT, WASH, Chart, chart
from bodytest.report.tested import Tested, named_groups
from bodytest.report.wording import Voice
from bodytest.results import QuantityResult

_ROW, _TOP, _BELOW = 34.0, 34.0, 44.0
_LONGEST_NAME = 18
_CROWDED = 60
"""Bars in a row from which on they are drawn smaller."""
_GOLDEN = 0.618034
_MOST_NAMED = 40
"""Flagged bars whose names are tried to be written."""
_KINDS = {"counted": ("o", ACCENT, 6.0), "flagged": ("D", INK, 7.5), "left out": ("X", SOFT, 7.5)}


_Rows = Sequence[tuple[str, QuantityResult]]
"""Name and figure of each group shown, from top to bottom."""


def bar_chart(voice: Voice, groups: tuple[Tested, ...], bars: pd.DataFrame, key: str) -> Chart | None:
    """Draw one quantity of each bar; ``bars`` are those of the groups, with ``place`` = position of the group."""
    shown = [(name, group) for name, group in named_groups(voice, groups) if key in group.quantities]
    points = _points(groups, bars, key, [g for _, g in shown])
    if not len(points):
        return None
    rows = [(name, group.quantities[key]) for name, group in shown]
    name, unit = f"bars-{key.replace('_', '-')}", QUANTITY_BY_KEY[key].unit
    words = _message(voice, rows, key), _description(voice, rows, key)
    return chart(partial(_figure, voice, rows, points, unit), name, *words)


def _figure(voice: Voice, rows: _Rows, points: pd.DataFrame, unit: str, width: float) -> Figure:
    left = 12 + max(canvas.text_width(canvas.shortened(name, _LONGEST_NAME), canvas.TEXT_SIZE) for name, _ in rows)
    height = _ROW * len(rows)
    figure = canvas.new_figure(width, _TOP + height + _BELOW)
    axes = canvas.bare_axes(figure, left, _TOP, width - left - 14, height)
    _draw(axes, voice, rows, points, unit)
    return figure


def _points(groups: tuple[Tested, ...], bars: pd.DataFrame, key: str, shown: list[Tested]) -> pd.DataFrame:
    """Return value, row and kind of each bar that has a value, bars of a batch side by side."""
    place_of = {groups.index(group): place for place, group in enumerate(shown)}
    kept = bars[bars[key].notna() & bars["place"].isin(list(place_of))]
    flagged = {(f.sheet, f.row) for group in shown for f in group.quantities[key].flagged}
    lane, spread = _lanes(kept), _spread(kept)
    points = kept[["bar"]].assign(
        value=kept[key].to_numpy(float),
        row=kept["place"].map(place_of).to_numpy(float) + lane + spread,
    )
    apart = [(sheet, row) in flagged for sheet, row in zip(kept["sheet"], kept["row"], strict=True)]
    left_out = kept["left_out"].to_numpy() != ""
    drawn = drawn_bars(kept["place"].to_numpy(), left_out | np.array(apart, dtype=bool))
    kind = np.where(left_out, "left out", np.where(apart, "flagged", "counted"))
    return points.assign(kind=kind, drawn=drawn, place=kept["place"].map(place_of))


def _spread(kept: pd.DataFrame) -> Numbers:
    """Return how far each bar lies off the lane of its batch: the wider the more bars share the lane."""
    lane = kept.groupby(["place", "batch"], sort=False)["batch"]
    number, count = lane.cumcount().to_numpy(), lane.transform("size").to_numpy(float)
    lanes = kept.groupby("place", sort=False)["batch"].transform("nunique").to_numpy(float)
    width = np.minimum(0.12 + count / 100, 0.6 / lanes)
    return np.asarray(width * ((number * _GOLDEN) % 1 - 0.5), dtype=np.float64)


def _lanes(kept: pd.DataFrame) -> Numbers:
    """Return how far above or below the middle of its row each batch lies."""
    lane = np.zeros(len(kept))
    for place in kept["place"].unique():
        here = (kept["place"] == place).to_numpy()
        names = list(dict.fromkeys(kept["batch"][here]))
        offset = np.linspace(-0.26, 0.26, len(names)) if len(names) > 1 else np.zeros(1)
        lane[here] = [offset[names.index(batch)] for batch in kept["batch"][here]]
    return lane


def _draw(axes: Axes, voice: Voice, rows: _Rows, points: pd.DataFrame, unit: str) -> None:
    results = [result for _, result in rows]
    ends = [v for r in results for v in (r.next_low, r.next_high, r.mean, r.lowest, r.limit) if v is not None]
    low, high = canvas.widened([*points["value"], *_near(ends, points)], 0.05)
    axes.set_xlim(low, high)
    axes.set_ylim(len(rows) - 0.5, -0.5)
    canvas.scale_below(axes, voice, canvas.nice_ticks(low, high), unit)
    _draw_summaries(axes, results)
    for place, (name, _) in enumerate(rows):
        label = canvas.shortened(name, _LONGEST_NAME)
        canvas.write(axes, -0.02, place, label, transform=axes.get_yaxis_transform(), ha="right", color=INK)
    _draw_limit(axes, voice, results)
    shrunk = 0.6 if len(points) > _CROWDED * len(rows) else 1.0
    _draw_density(axes, points)
    for kind, (marker, colour, size) in _KINDS.items():
        some = points[(points["kind"] == kind) & points["drawn"]]
        draw_marks(axes, some["value"].to_numpy(float), some["row"].to_numpy(float), marker, size * shrunk, colour)
    _draw_ends_beyond(axes, voice, results)
    _name_flagged(axes, points[points["kind"] == "flagged"].head(_MOST_NAMED))


def _draw_density(axes: Axes, points: pd.DataFrame) -> None:
    """Draw behind a row of which not all bars are drawn how densely they lie."""
    edges = np.linspace(*axes.get_xlim(), 61)
    for place in points["place"].unique().astype(float):
        own = points[points["place"] == place]
        if own["drawn"].all():
            continue
        counts, _ = np.histogram(own["value"], edges)
        half = 0.42 * np.repeat(counts / counts.max(), 2)
        along = np.repeat(edges, 2)[1:-1]
        axes.fill_between(along, place - half, place + half, color=SOFT, alpha=0.35, lw=0, zorder=2)


def _name_flagged(axes: Axes, flagged: pd.DataFrame) -> None:
    """Write the codes of the bars that stand apart, as far as there is room; the table names all."""
    low, high = axes.get_xlim()
    px = axes.get_window_extent().width / (high - low)
    taken: list[tuple[float, float, float]] = []
    who = zip(flagged["value"].to_numpy(float), flagged["row"].to_numpy(float), flagged["bar"], strict=True)
    for value, row, bar in who:
        name = canvas.shortened(str(bar), 12)
        left = (value - low) * px + 8 + canvas.text_width(name) > (high - low) * px
        start = (value - low) * px + (-8 - canvas.text_width(name) if left else 8)
        if start >= 0 and canvas.label_clear(taken, start, start + canvas.text_width(name), row * _ROW):
            place = value + (-8 if left else 8) / px
            canvas.write_small(axes, place, row, name, ha="right" if left else "left", color=INK)


def _draw_ends_beyond(axes: Axes, voice: Voice, results: Sequence[QuantityResult]) -> None:
    """Say with an arrow how far the place of one further bar reaches where it leaves the frame."""
    low, high = axes.get_xlim()
    for place, one in enumerate(results):
        if one.next_low is not None and one.next_low < low:
            label = voice.say("chart.down_to", end=voice.end(one.next_low, 1))
            canvas.write_small(axes, low, place + 0.36, label, ha="left", color=INK)
        if one.next_high is not None and one.next_high > high:
            label = voice.say("chart.up_to", end=voice.number(one.next_high, 1))
            canvas.write_small(axes, high, place + 0.36, label, ha="right", color=INK)


def _near(ends: list[float], points: pd.DataFrame) -> list[float]:
    """Return the ends that do not squeeze the bars into less than half of the chart."""
    low, high = float(points["value"].min()), float(points["value"].max())
    room = max(high - low, 0.5)
    return [end for end in ends if low - room / 2 <= end <= high + room / 2]


def _draw_summaries(axes: Axes, results: Sequence[QuantityResult]) -> None:
    """Draw where one further bar would fall, the interval of the mean, and the mean of each row."""
    summaries = [(k, r) for k, r in enumerate(results) if r.mean is not None]
    next_bars = [(k, r.next_low, r.next_high) for k, r in summaries if r.next_low is not None]
    intervals = [(k, r.low, r.high) for k, r in summaries if r.low is not None]
    if next_bars:
        places, low, high = np.array(next_bars, dtype=float).T
        axes.add_collection(PolyCollection(list(_boxes(places, low, high)), facecolor=WASH, linewidth=0, zorder=1))
    if intervals:
        axes.hlines(*np.array(intervals, dtype=float).T, color=INK, linewidth=2.2, zorder=3)
    at = np.array([k for k, _ in summaries], dtype=float)
    axes.vlines(
        np.array([r.mean for _, r in summaries], dtype=float), at - 0.36, at + 0.36, color=INK, linewidth=1.6, zorder=5
    )


def _boxes(places: Numbers, low: Numbers, high: Numbers) -> Numbers:
    """Return the corners of a box for each row."""
    above, below = places - 0.36, places + 0.36
    corners = ((low, above), (high, above), (high, below), (low, below))
    return np.stack([np.column_stack(corner) for corner in corners], axis=1)


def _draw_limit(axes: Axes, voice: Voice, results: Sequence[QuantityResult]) -> None:
    """Draw each limit, both ends of a window, through the rows that it holds for."""
    low, high = axes.get_xlim()
    limits = [(result.lowest, result.limit) for result in results]
    shown = sorted({end for ends in limits for end in ends if end is not None and low < end < high})
    px = axes.get_window_extent().width / (high - low)
    lowest = {low for low, _ in limits}
    keys = ["choosing.lowest" if limit in lowest else "chart.limit" for limit in shown]
    words = [voice.say(key, limit=voice.plain(limit, "%")) for key, limit in zip(keys, shown, strict=True)]
    labels = canvas.fitting_labels([(limit - low) * px for limit in shown], [[one] for one in words])
    for limit, (level, label) in zip(shown, labels, strict=True):
        mine = np.array([place for place, ends in enumerate(limits) if limit in ends])
        axes.vlines(
            np.full(len(mine), limit), mine - 0.5, mine + 0.5, color=INK, linewidth=1, linestyles="--", zorder=2
        )
        canvas.write_small(axes, limit, -0.5 - (9 + 14 * level) / _ROW, label, ha="center", color=INK)


def _message(voice: Voice, rows: _Rows, key: str) -> str:
    quantity = QUANTITY_BY_KEY[key]
    scatter = [result.bar_sd or result.sd for _, result in rows]
    known = [float(sd) for sd in scatter if sd is not None]
    if not known:
        return voice.say("chart.bars_alone", quantity=quantity.name)
    middle = voice.number(float(np.median(known)), 2)
    return voice.say("chart.bars_scatter", quantity=quantity.name, sd=middle)


def _description(voice: Voice, rows: _Rows, key: str) -> str:
    digits = QUANTITY_BY_KEY[key].digits
    means = [
        voice.say("chart.group_mean", name=name, mean=voice.mean(result, digits), bars=voice.count("bar", result.n))
        for name, result in rows
    ]
    return voice.say("chart.bars_description", means="; ".join(means))
