"""Marks of many bars in little space: those of one kind are one path, and of very many bars only some are drawn."""

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.transforms import IdentityTransform

from bodytest.report.charts.svg import PAPER

MOST_IN_A_GROUP = 500
"""Bars of a group that are drawn one by one; what more there are shows as a density."""
_MOST, _FEWEST = 2000, 40
"""Bars of a chart that are drawn one by one, unless its groups are many; bars that a group has drawn at least."""
Numbers = npt.NDArray[np.float64]
Chosen = npt.NDArray[np.bool_]
_OUTLINES = {
    "^": ((0.0, 1.0), (0.9, -0.7), (-0.9, -0.7)),
    "v": ((0.0, -1.0), (0.9, 0.7), (-0.9, 0.7)),
    "D": ((0.0, 1.1), (1.1, 0.0), (0.0, -1.1), (-1.1, 0.0)),
}
_STROKES = {
    "P": ((-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)),
    "X": ((-1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (1.0, -1.0)),
}
_CAPS = {"o": "round", "s": "projecting"}


def drawn_bars(group: npt.NDArray[np.int64], odd: Chosen) -> Chosen:
    """Say which bars are drawn one by one: those that are flagged or left out first, of the others every so many.

    >>> drawn_bars(np.array([1, 1, 1, 2]), np.array([False, True, False, False])).tolist()
    [True, True, True, True]
    """
    groups = np.unique(group)
    most = min(MOST_IN_A_GROUP, max(_FEWEST, _MOST // max(len(groups), 1)))
    chosen = np.zeros(len(group), dtype=bool)
    for one in groups:
        mine = np.flatnonzero(group == one)
        first, rest = mine[odd[mine]][:MOST_IN_A_GROUP], mine[~odd[mine]]
        room = min(max(most - len(first), 0), len(rest))
        chosen[first] = True
        chosen[rest[np.linspace(0, len(rest) - 1, room).astype(int)] if room else []] = True
    return chosen


def draw_marks(axes: Axes, x: Numbers, y: Numbers, shape: str, size: float, colour: str) -> None:
    """Draw all marks of one kind as one path, after the limits of the axes are set.

    ``x`` and ``y`` are in data; ``shape`` is ``o``, ``s``, ``^``, ``v``, ``D``, ``P`` or ``X``; ``size`` in px, across.
    """
    if not len(x):
        return
    middles = axes.transData.transform(np.column_stack([x, y]))[:, None, :]
    stroked = shape not in _OUTLINES
    around = np.array(_OUTLINES.get(shape) or _STROKES.get(shape) or ((0.0, 0.0), (0.0, 0.0))) * size / 2
    corners = middles + around[None]
    codes = np.full(corners.shape[:2], Path.LINETO, dtype=Path.code_type)
    codes[:, :: 2 if stroked else len(around)] = Path.MOVETO
    path = Path(corners.reshape(-1, 2), codes.ravel())
    path.should_simplify = False
    look: dict[str, object] = {"facecolor": colour, "edgecolor": PAPER, "linewidth": 0.5}
    if stroked:
        width = size if shape in _CAPS else max(size / 3.5, 1.4)
        look = {"fill": False, "edgecolor": colour, "linewidth": width, "capstyle": _CAPS.get(shape, "butt")}
    patch = PathPatch(path, transform=IdentityTransform(), clip_on=False, zorder=4, **look)
    axes.add_patch(patch)
