"""Labels to lay with the bars, between lines to cut along."""

from collections.abc import Iterator
from typing import Any

import pandas as pd

from bodytest.plan.drawing import Line, Page, Text
from bodytest.trial.bench_forms import natural
from bodytest.trial.form_pages import EDGE, HEAD, upright
from bodytest.trial.lettering import put, put_code

_COLUMNS, _HEIGHT = 3, 24.0


def label_pages(bars: pd.DataFrame, sheet: str, paper: str) -> Iterator[Page]:
    """Yield pages of labels, one for each bar and firing, in the order of codes."""
    labels = sorted(bars.to_dict("records"), key=lambda bar: natural(bar["bar"]))
    told = f"{sheet} · cut along the lines · scratch codes as they stand here, with a line below each 6 and 9"
    first = 0
    while first < len(labels):
        page = upright(paper, "Labels to lay with the bars", told)
        down = int((page.height - HEAD - EDGE) // _HEIGHT)
        wide = (page.width - 2 * EDGE) / _COLUMNS
        shown = labels[first : first + _COLUMNS * down]
        for place, bar in enumerate(shown):
            _label(page, bar, EDGE + place % _COLUMNS * wide, HEAD + place // _COLUMNS * _HEIGHT, wide)
        _cuts(page, -(-len(shown) // _COLUMNS), wide)
        first += len(shown)
        yield page


def _label(page: Page, bar: dict[Any, Any], left: float, top: float, wide: float) -> None:
    firing = f"firing {bar['firing']}" if bar["firing"] else ""
    room = wide - 6.0
    put_code(page, Text(left + 3.0, top + 9.0, bar["bar"], 8.0, bold=True), room)
    lines = (
        " · ".join(filter(None, (bar["body"], bar["batch"], bar["direction"]))),
        " · ".join(filter(None, (firing, bar["position"]))),
        bar["notes"],
    )
    for number, line in enumerate(lines):
        put(page, Text(left + 3.0, top + 14.0 + 4.2 * number, line, 3.2), room)


def _cuts(page: Page, rows: int, wide: float) -> None:
    for row in range(rows + 1):
        y = HEAD + row * _HEIGHT
        page.lines.append(Line(EDGE, y, page.width - EDGE, y, 0.1, dashed=True))
    for column in range(_COLUMNS + 1):
        x = EDGE + column * wide
        page.lines.append(Line(x, HEAD, x, HEAD + rows * _HEIGHT, 0.1, dashed=True))
