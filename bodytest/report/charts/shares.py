"""What limits the certainty: one bar for each source of uncertainty."""

import pandas as pd
import seaborn as sns
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.charts.canvas import Box, bare_axes, new_figure, scale_below, write
from bodytest.report.charts.svg import ACCENT, INK, PAPER, SOFT, Chart, chart
from bodytest.report.sections.certainty import CertaintySection, share_of
from bodytest.report.wording import Voice
from bodytest.results import Group

_WIDTH, _LEFT, _BAR, _GAP = 440.0, 124.0, 13.0, 12.0
_COLOURS = (ACCENT, PAPER, SOFT)
_HATCHES = ("", "////", "")


def share_chart(voice: Voice, section: CertaintySection, group: Group) -> Chart:
    """Draw the share of each source in the variance of each quantity's mean."""
    names = [QUANTITY_BY_KEY[key].name for key in section.quantities]
    shares = _shares(voice, section, group)
    sources = list(dict.fromkeys(shares["source"]))
    row = _BAR * len(names) + _GAP
    figure = new_figure(_WIDTH, 16 + 18 * len(names) + row * len(sources) + 44)
    box = Box(_LEFT, 16 + 18 * len(names), _WIDTH - _LEFT - 44, row * len(sources))
    axes = bare_axes(figure, box)
    sns.barplot(
        shares, x="share", y="place", hue="quantity", hue_order=names, orient="h", errorbar=None, ax=axes,
        palette=list(_COLOURS[: len(names)]), saturation=1, legend=False, width=_BAR * len(names) / row,
        edgecolor=INK, linewidth=0.8, native_scale=True,
    )  # fmt: skip
    for container, hatch in zip(axes.containers, _HATCHES, strict=False):
        for patch in container:
            patch.set_hatch(hatch or None)
    axes.set_xlim(0, 100)
    axes.set_ylim(len(sources) - 0.5, -0.5)
    scale_below(axes, voice, [0, 25, 50, 75, 100], voice.say("chart.share_scale"))
    for place, source in enumerate(sources):
        write(axes, -0.03, place, source, transform=axes.get_yaxis_transform(), ha="right", color=INK)
    _write_values(axes, voice, shares, len(names), row)
    _write_legend(axes, names, box.height)
    return chart(figure, "certainty", section.message, voice.say("chart.share_description"))


def _shares(voice: Voice, section: CertaintySection, group: Group) -> pd.DataFrame:
    results = {key: group.quantities[key] for key in section.quantities}
    sources = list(dict.fromkeys(s.source for r in results.values() if r.certainty for s in r.certainty.shares))
    shown = [source for source in sources if any(share_of(r, source) >= 0.0005 for r in results.values())]
    rows = [
        (place, voice.say(f"source.{source.replace(' ', '_')}"), QUANTITY_BY_KEY[key].name, 100 * share_of(result, source))
        for place, source in enumerate(shown)
        for key, result in results.items()
    ]
    return pd.DataFrame(rows, columns=["place", "source", "quantity", "share"])


def _write_values(axes: Axes, voice: Voice, shares: pd.DataFrame, count: int, row: float) -> None:
    for number, share in enumerate(shares.itertuples()):
        y = share.place + ((number % count) - (count - 1) / 2) * _BAR / row
        write(axes, share.share + 1.5, y, voice.number(share.share, 0, "%"), fontsize=10, ha="left")


def _write_legend(axes: Axes, names: list[str], height: float) -> None:
    """Name the bars above the chart, with a sample of each."""
    for place, name in enumerate(names):
        y = 1 + (18 * (len(names) - place) - 6) / height
        sample = Rectangle(
            (0, y - 5 / height), 0.05, 10 / height, transform=axes.transAxes, clip_on=False,
            facecolor=_COLOURS[place], edgecolor=INK, linewidth=0.8, hatch=_HATCHES[place] or None,
        )  # fmt: skip
        axes.add_patch(sample)
        write(axes, 0.075, y, name, transform=axes.transAxes, ha="left", color=INK)
