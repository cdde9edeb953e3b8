"""Where the names of points go in a picture, so that none covers another name or a point."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodytest.report.charts.canvas import LINE

_DOT, _GAP = 7.0, 3.0
"""Half the room that a point takes, and the least distance between two labels, px."""
_STEP_X, _STEP_Y = 6.0, 3.0
"""How finely places are tried, px."""
_LEAD = 10.0
"""From this distance on a line leads from the point to its name, px."""
_CROSSED = 14.0
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

    Parameters:
        points: x and y of each, px.
        widths: of their names, px.
        room: the picture.
        lines: boxes of lines that a name rather does not stand on.

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
    crossed = (~_clear(left, top + 3, width, lines)).sum(axis=1)
    return tuple(tried[int(np.argmin(far + _CROSSED * crossed + np.where(free, 0.0, 1e6)))].tolist())


def _clear(left: Values, top: Values, width: float, boxes: Boxes) -> npt.NDArray[np.bool_]:
    """Say for each place of a name and each box whether they do not touch."""
    beside = (left[:, None] >= boxes[:, 2] + _GAP) | (left[:, None] + width + _GAP <= boxes[:, 0])
    return beside | (top[:, None] >= boxes[:, 3]) | (top[:, None] + LINE <= boxes[:, 1])
