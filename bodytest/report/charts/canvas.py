"""Bare figures and axes in page pixels, with scales drawn by hand: many times faster than automatic ticks."""

from collections.abc import Sequence
from itertools import pairwise
from unicodedata import east_asian_width

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from bodytest.report.charts.svg import INK, RULE, SOFT
from bodytest.report.wording import Voice
from bodytest.shown import visible

TEXT_SIZE = 12.0
_SMALL_SIZE = 11.0
LINE = 15.0
"""Least distance of two lines of text, px."""
_LABEL_GAP = 5.0
"""Least distance between two labels on a line, px."""
_EMS = {0.4: "iljtfI.,:;'|()[]! ", 1.0: "MWmw@%…—"}
"""Widths of letters that are not about 0.65 times as wide as the text is high, with some room for the reader's font."""
_EM = {letter: width for width, letters in _EMS.items() for letter in letters}


def new_figure(width: float, height: float) -> Figure:
    """Return an empty, transparent figure of that many px (the SVG's own units)."""
    figure = Figure(figsize=(width / 72, height / 72), dpi=72)
    figure.patch.set_visible(False)
    return figure


def bare_axes(figure: Figure, left: float, top: float, width: float, height: float) -> Axes:
    """Add axes without frame and ticks, placed in px from the figure's left and top edge."""
    across, down = figure.get_size_inches() * 72
    axes = figure.add_axes((left / across, 1 - (top + height) / down, width / across, height / down))
    axes.set_axis_off()
    return axes


def nice_ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Return round numbers within the range.

    >>> nice_ticks(9.3, 12.8)
    [10.0, 11.0, 12.0]
    """
    ticks = MaxNLocator(nbins=most, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    return [float(tick) for tick in np.round(ticks, 9) if low <= tick <= high]


def widened(values: Sequence[float], share: float = 0.06, least: float = 0.5) -> tuple[float, float]:
    """Return the range of the values with some room on both sides."""
    low, high = min(values), max(values)
    room = max((high - low) * share, least / 2 if high - low < least else 0.0)
    return low - room, high + room


def write(axes: Axes, x: float, y: float, text: str, **settings: object) -> None:
    """Write text that stays text: no mathematics, not cut off at the edge of the axes."""
    chosen = {"fontsize": TEXT_SIZE, "color": SOFT, "va": "center", "clip_on": False, **settings}
    axes.text(x, y, visible(text), parse_math=False, **chosen)  # type: ignore[arg-type]


def write_small(axes: Axes, x: float, y: float, text: str, **settings: object) -> None:
    """Write text in the smaller size."""
    write(axes, x, y, text, fontsize=_SMALL_SIZE, **settings)


def scale_below(axes: Axes, voice: Voice, ticks: Sequence[float], title: str, *, numbers: Sequence[float] = ()) -> None:
    """Draw vertical rules with numbers below, and the title of the scale below them.

    ``numbers`` are what the ticks are in the unit that they are told in, where that is another one.
    """
    across = axes.get_xaxis_transform()
    axes.vlines(ticks, 0, 1, transform=across, color=RULE, linewidth=0.8, zorder=0)
    height = axes.get_window_extent().height
    for tick, number in zip(ticks, numbers or ticks, strict=True):
        write_small(axes, tick, -11 / height, voice.plain(number), transform=across, ha="center")
    write(axes, 0.5, -27 / height, title, transform=axes.transAxes, ha="center")


def scale_left(axes: Axes, voice: Voice, ticks: Sequence[float], title: str, *, above: float = 13.0) -> None:
    """Draw horizontal rules with numbers at their left, and the title so many px above."""
    along = axes.get_yaxis_transform()
    axes.hlines(ticks, 0, 1, transform=along, color=RULE, linewidth=0.8, zorder=0)
    extent = axes.get_window_extent()
    for tick in ticks:
        write_small(axes, -7 / extent.width, tick, voice.plain(tick), transform=along, ha="right")
    left, top = -34 / extent.width, 1 + above / extent.height
    write(axes, left, top, title, transform=axes.transAxes, color=INK, fontweight="bold")


def apart(positions: Sequence[float], least: float) -> list[float]:
    """Move labels apart so that neighbours keep a distance; order is kept.

    >>> apart([10.0, 10.5, 30.0], 2.0)
    [9.25, 11.25, 30.0]
    """
    order = sorted(range(len(positions)), key=lambda place: positions[place])
    moved = list(positions)
    for _ in range(9 * len(positions)):
        for lower, upper in pairwise(order):
            missing = least - (moved[upper] - moved[lower])
            if missing > 1e-9:
                moved[lower] -= missing / 2
                moved[upper] += missing / 2
    return moved


def labels_right(axes: Axes, labels: Sequence[tuple[float, str, str]]) -> None:
    """Write labels (height, text, colour) at the right of the axes, moved apart and kept beside them."""
    low, high = axes.get_ylim()
    px = (high - low) / axes.get_window_extent().height
    places = apart([min(max(y, low), high) for y, _, _ in labels], LINE * px)
    up = max(0.0, low + 4 * px - min(places, default=high))
    for place, (_, text, colour) in zip(places, labels, strict=True):
        along = axes.get_yaxis_transform()
        write_small(axes, 1.015, place + up, text, transform=along, ha="left", color=colour)


def label_clear(taken: list[tuple[float, float, float]], left: float, right: float, middle: float) -> bool:
    """Take a place for a label, px; False where another one stands there already."""
    for start, end, y in taken:
        if left < end + _LABEL_GAP and start < right + _LABEL_GAP and abs(middle - y) < LINE:
            return False
    taken.append((left, right, middle))
    return True


def fitting_labels(places: Sequence[float], wordings: Sequence[Sequence[str]]) -> list[tuple[int, str]]:
    """Return level and wording of labels along a line, so that none runs into another.

    Each label takes the first of its wordings that fits on the lower or the upper level; one that fits on neither is
    ``""``. ``places`` are the middles of the labels [px], rising; ``wordings`` what each may say, the best first.

    >>> fitting_labels([0, 40, 54, 58], [["one long"], ["two long", "2"], ["3"], ["four long", "4"]])
    [(0, 'one long'), (1, 'two long'), (0, '3'), (0, '')]
    """
    ends = [float("-inf"), float("-inf")]
    chosen = []
    for place, possible in zip(places, wordings, strict=True):
        halves = {words: text_width(words) / 2 for words in possible}
        level, label = next(
            ((level, words) for words, half in halves.items() for level in (0, 1) if place - half > ends[level]),
            (0, ""),
        )
        if label:
            ends[level] = place + halves[label] + _LABEL_GAP
        chosen.append((level, label))
    return chosen


def text_width(words: str, size: float = _SMALL_SIZE) -> float:
    """Return about how wide a text becomes, px, rather too wide than too narrow.

    >>> text_width("cone 6"), text_width("粘土")
    (40.15, 22.0)
    """
    return round(size * sum(_ems(letter) for letter in words), 6)


def _ems(letter: str) -> float:
    if east_asian_width(letter) in "WF":
        return 1.0
    return _EM.get(letter, 0.8 if letter.isupper() else 0.65)


def shortened(text: str, most: int) -> str:
    """Cut a long name; tables carry it whole.

    >>> shortened("across the grain", 10)
    'across th…'
    """
    return text if len(text) <= most else text[: most - 1] + "…"
