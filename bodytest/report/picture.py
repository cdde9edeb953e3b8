"""The picture to choose by: absorption against shrinkage, each body with its name and both intervals."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.report.charts.canvas import LINE, TEXT_SIZE, nice_ticks, text_width
from bodytest.report.wording import Voice
from bodytest.shown import clipped

_DOT, _GAP = 7.0, 3.0
"""Half the room that a point takes, and the least distance between two labels, px."""
_STEP_X, _STEP_Y = 6.0, 3.0
"""How finely places are tried, px."""
_LEAD = 10.0
"""From this distance on a line leads from the point to its name, px."""
_CROSSED = 30.0
"""So much further away a name rather stands than on a line, px."""

Values = npt.NDArray[np.float64]
Boxes = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Place:
    """Where one name stands."""

    left: float
    """Left end, px."""
    base: float
    """Line that the letters stand on, px from the top."""
    lead: tuple[float, float] | None
    """Where a line from the point ends at the name; None where the name stands beside its point."""


Box = tuple[float, float, float, float]
"""Left, top, right and bottom, px."""


def places(
    points: Sequence[tuple[float, float]], widths: Sequence[float], room: Box, lines: Sequence[Box] = ()
) -> tuple[Place, ...]:
    """Return a place for each name: the nearest to its point that is free, or else the nearest.

    ``points`` are x and y of each, ``widths`` those of the names, ``lines`` what a name rather does not stand on [px].

    >>> [place.left for place in places([(50, 50), (60, 50)], [40, 40], (0, 0, 200, 100))]
    [2.0, 68.0]
    """
    taken = [(x - _DOT, y - _DOT, x + _DOT, y + _DOT) for x, y in points]
    found = []
    for (x, y), width in zip(points, widths, strict=True):
        left, top = _nearest_free((x, y), width, (np.array(taken), np.array(lines).reshape(-1, 4)), room)
        taken.append((left - _GAP, top, left + width + _GAP, top + LINE))
        end = (min(max(x, left), left + width), min(max(y, top), top + LINE))
        far = max(abs(end[0] - x), abs(end[1] - y)) > _LEAD
        found.append(Place(left, top + 0.77 * LINE, end if far else None))
    return tuple(found)


def _nearest_free(
    point: tuple[float, float], width: float, drawn: tuple[Boxes, Boxes], room: Box
) -> tuple[float, float]:
    (x, y), (taken, lines) = point, drawn
    beside = [(x + _DOT + 1, y - LINE / 2), (x - _DOT - 1 - width, y - LINE / 2)]
    across = np.arange(room[0], max(room[2] - width, room[0] + 1), _STEP_X)
    down = np.arange(room[1], max(room[3] - LINE, room[1] + 1), _STEP_Y)
    grid = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    tried = np.concatenate([np.array(beside), grid])
    left, top = tried.T
    inside = (left >= room[0]) & (left + width <= room[2]) & (top >= room[1]) & (top + LINE <= room[3])
    clear = _clear(left, top, width, taken)
    own = (taken == (x - _DOT, y - _DOT, x + _DOT, y + _DOT)).all(axis=1)
    free = inside & (clear | own & (np.arange(len(tried)) < len(beside))[:, None]).all(axis=1)
    far = np.hypot(np.clip(x, left, left + width) - x, 2 * (np.clip(y, top, top + LINE) - y))
    crossed = (~_clear(left, top, width, lines)).sum(axis=1)
    return tuple(tried[int(np.argmin(far + _CROSSED * crossed + np.where(free, 0.0, 1e6)))].tolist())


def _clear(left: Values, top: Values, width: float, boxes: Boxes) -> npt.NDArray[np.bool_]:
    """Say for each place of a name and each box whether they do not touch."""
    beside = (left[:, None] >= boxes[:, 2] + _GAP) | (left[:, None] + width + _GAP <= boxes[:, 0])
    return beside | (top[:, None] >= boxes[:, 3]) | (top[:, None] + LINE <= boxes[:, 1])


_LEFT, _RIGHT, _TOP, _BOTTOM = 42.0, 8.0, 30.0, 42.0
_SHAPES = {"meets": "yes", "does not meet": "no", "": "none"}

Interval = tuple[float, float | None, float | None]
"""Mean with the ends of its interval."""
Line = tuple[float, float, float, float]
"""x and y of both ends, px."""


@dataclass(frozen=True)
class Point:
    """What is drawn of one body."""

    key: str
    """Key of the body for the script."""
    name: str
    """Its name."""
    across: Interval
    """Shrinkage, %."""
    up: Interval
    """Absorption, %."""
    bounds: tuple[tuple[float, str], ...]
    """Lowest and highest allowed absorption, %, each with its kind: lowest or limit."""
    verdict: str
    """Verdict on the limit, ``""`` without one."""


Drawn = dict[str, object]


def picture(voice: Voice, points: Sequence[Point]) -> list[Drawn]:
    """Return the picture of one or more bodies for a wide page and for a phone, all places in px."""
    more = max(len(points) - 6, 0)
    sizes = {"wide": (720.0, 360.0 + 8 * more), "narrow": (340.0, 360.0 + 14 * more)}
    return [_picture(voice, points, room, size) for room, size in sizes.items()]


@dataclass(frozen=True)
class _Axis:
    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Return the place of a value, px; one outside stands at the edge."""
        inside = min(max(value, self.low), self.high)
        return round(self.start + (self.end - self.start) * (inside - self.low) / (self.high - self.low), 1)

    def interval(self, figure: Interval) -> tuple[float, ...]:
        """Return the ends of an interval, none where it has none."""
        _, low, high = figure
        return () if low is None or high is None else (self.at(low), self.at(high))

    def beyond(self, figure: Interval) -> tuple[bool, bool]:
        """Say at which ends an interval leaves the picture."""
        _, low, high = figure
        return low is not None and low < self.low, high is not None and high > self.high

    def ticks(self, voice: Voice) -> tuple[tuple[float, str], ...]:
        """Return place and number of each tick."""
        return tuple((self.at(tick), voice.plain(tick)) for tick in nice_ticks(self.low, self.high))


def _picture(voice: Voice, points: Sequence[Point], room: str, size: tuple[float, float]) -> Drawn:
    frame = (_LEFT, _TOP, size[0] - _RIGHT, size[1] - _BOTTOM)
    bounds = sorted({bound for point in points for bound in point.bounds})
    across = _axis([point.across for point in points], (), frame[0], frame[2])
    up = _axis([point.up for point in points], [bound for bound, _ in bounds], frame[3], frame[1])
    heights = [up.at(bound) for bound, _ in bounds]
    said = [voice.say(f"choosing.{kind}", limit=voice.plain(bound, "%")) for bound, kind in bounds]
    labels = [clipped(point.name, 24 if room == "wide" else 16) for point in points]
    lines = [_lines(point, across, up) for point in points]
    found = places(
        [*((frame[2], y - LINE) for y in heights), *((across.at(one.across[0]), up.at(one.up[0])) for one in points)],
        [text_width(words, TEXT_SIZE) for words in (*said, *labels)],
        frame,
        [*((frame[0], y - 1, frame[2], y + 1) for y in heights), *(_box(line) for some in lines for line in some)],
    )
    drawn = zip(points, labels, lines, found[len(bounds) :], strict=True)
    return {
        "room": room,
        "width": size[0],
        "height": size[1],
        "frame": frame,
        "across": across.ticks(voice),
        "up": up.ticks(voice),
        "limits": list(zip(heights, said, found, strict=False)),
        "bodies": [_drawn(one, label, some, place, (across, up)) for one, label, some, place in drawn],
    }


def _axis(figures: Sequence[Interval], bounds: Sequence[float], start: float, end: float) -> _Axis:
    """Return an axis for all means and limits, and for the intervals unless they are far wider than that."""
    means = [*(mean for mean, _, _ in figures), *bounds]
    room = max(0.35 * (max(means) - min(means)), 0.6)
    ends = [end for _, low, high in figures for end in (low, high) if end is not None]
    low = max(min([*means, *ends]), min(means) - room)
    high = min(max([*means, *ends]), max(means) + room)
    edge = max(0.06 * (high - low), 0.3)
    return _Axis(low - edge, high + edge, start, end)


def _lines(point: Point, across: _Axis, up: _Axis) -> tuple[Line, ...]:
    x, y = across.at(point.across[0]), up.at(point.up[0])
    level, upright = across.interval(point.across), up.interval(point.up)
    lines = [(level[0], y, level[1], y)] if level else []
    return (*lines, *([(x, upright[0], x, upright[1])] if upright else []))


def _box(line: Line) -> Line:
    x1, y1, x2, y2 = line
    return min(x1, x2) - 1, min(y1, y2) - 1, max(x1, x2) + 1, max(y1, y2) + 1


def _drawn(point: Point, label: str, lines: tuple[Line, ...], place: Place, axes: tuple[_Axis, _Axis]) -> Drawn:
    """Return one body: its name, whole and cut to what fits, intervals, and arrows where they end outside, degrees."""
    across, up = axes
    x, y = across.at(point.across[0]), up.at(point.up[0])
    ways = zip((*across.beyond(point.across), *up.beyond(point.up)), (180, 0, 90, -90), strict=True)
    ends = ((across.start, y), (across.end, y), (x, up.start), (x, up.end))
    arrows = [(*end, way) for end, (outside, way) in zip(ends, ways, strict=True) if outside]
    shape = _SHAPES.get(point.verdict, "open")
    return {
        "key": point.key, "name": point.name, "label": label, "x": x, "y": y, "lines": lines, "arrows": arrows,
        "place": place, "shape": shape,
    }  # fmt: skip
