"""What limits the certainty: one bar for each source of uncertainty."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.charts.canvas import Box, bare_axes, new_figure, scale_below, write
from bodytest.report.charts.svg import ACCENT, INK, PAPER, SOFT, Chart, chart
from bodytest.report.fired import Tested
from bodytest.report.sections.certainty import WORTH_SHOWING, CertaintySection, share_of
from bodytest.report.wording import Voice
from bodytest.results import QuantityResult

_WIDTH, _LEFT, _BAR, _GAP = 440.0, 132.0, 13.0, 12.0
_COLOURS = (ACCENT, PAPER, SOFT)
_HATCHES = (None, "////", None)
_EDGE: dict[str, Any] = {"edgecolor": INK, "linewidth": 0.8}


def share_chart(voice: Voice, section: CertaintySection, group: Tested) -> Chart:
    """Draw the share of each source in the variance of each quantity's mean."""
    names = [QUANTITY_BY_KEY[key].name for key in section.quantities]
    results = [group.quantities[key] for key in section.quantities]
    sources = _sources(results)
    row, legend = _BAR * len(names) + _GAP, 16 + 18 * len(names)
    figure = new_figure(_WIDTH, legend + row * len(sources) + 44)
    axes = bare_axes(figure, Box(_LEFT, legend, _WIDTH - _LEFT - 44, row * len(sources)))
    axes.set_xlim(0, 100)
    axes.set_ylim(len(sources) - 0.5, -0.5)
    scale_below(axes, voice, [0, 25, 50, 75, 100], voice.say("chart.share_scale"))
    for number, result in enumerate(results):
        shares = [100 * share_of(result, source) for source in sources]
        middle = np.arange(len(sources)) + (number - (len(names) - 1) / 2) * _BAR / row
        axes.barh(middle, shares, _BAR / row, color=_COLOURS[number], hatch=_HATCHES[number], **_EDGE)
        for share, y in zip(shares, middle, strict=True):
            write(axes, share + 1.5, y, voice.number(share, 0, "%"), fontsize=10, ha="left")
    for place, source in enumerate(sources):
        label = voice.say(f"source.{source.replace(' ', '_')}")
        write(axes, -0.03, place, label, transform=axes.get_yaxis_transform(), ha="right", color=INK)
    _write_legend(axes, names, row * len(sources))
    return chart(figure, "certainty", section.message, voice.say("chart.share_description"))


def _sources(results: list[QuantityResult]) -> list[str]:
    sources = dict.fromkeys(s.source for r in results if r.certainty for s in r.certainty.shares)
    return [source for source in sources if any(share_of(r, source) >= WORTH_SHOWING for r in results)]


def _write_legend(axes: Axes, names: list[str], height: float) -> None:
    """Name the bars above the chart, with a sample of each."""
    look: dict[str, Any]
    for place, name in enumerate(names):
        y = 1 + (18 * (len(names) - place) - 6) / height
        corner, look = (0.0, y - 5 / height), {"facecolor": _COLOURS[place], "hatch": _HATCHES[place], **_EDGE}
        axes.add_patch(Rectangle(corner, 0.05, 10 / height, transform=axes.transAxes, clip_on=False, **look))
        write(axes, 0.075, y, name, transform=axes.transAxes, ha="left", color=INK)
