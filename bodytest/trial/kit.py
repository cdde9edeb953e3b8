"""The bench kit: forms by stage and load, labels, a template and a card of cautions, as one PDF true to scale."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bodytest.errors import UnusableRequest
from bodytest.plan.drawing import Line, Page, Text
from bodytest.plan.ruler import MARGIN, PAPERS
from bodytest.plan.ruler_pages import check_line
from bodytest.quantities import READINGS
from bodytest.sheet.bar_codes import easily_confused
from bodytest.sheet.guide import guide_text
from bodytest.tables import CheckedSheets
from bodytest.trial.bar_size import BarSize
from bodytest.trial.bench_forms import STAGES_OF_FORMS, bench_forms, natural
from bodytest.trial.form_pages import EDGE, HEAD, form_pages, put, put_code, upright, wrapped

OUTLINE_TOP = 40.0
"""Upper edge of the bar seen from above, mm from the top."""
_GAP = 16.0
_STRIP = 14.0
_FOOT = 28.0


def template_page(bar: BarSize, sheet: str, paper: str) -> Page:
    """Return the page: the bar from above, a strip with the marks alone, and the thickness.

    Raises:
        UnusableRequest: the bar is larger than the paper.
    """
    width, height = PAPERS[paper]
    room, down = width - 2 * MARGIN, height - OUTLINE_TOP - _STRIP - 2 * _GAP - _FOOT
    if bar.length > room or bar.width + bar.thickness > down:
        most = f"{room:.0f} mm long, {down:.0f} mm wide and thick together"
        raise UnusableRequest("kit-bar-paper", value=bar.words, paper=paper, most=most)
    page = Page(width, height, f"Template for a bar of {bar.words}, marks {bar.told(bar.gauge)} apart")
    page.texts.append(Text(MARGIN, 15.0, page.title, 5.0, bold=True))
    put(page, Text(MARGIN, 20.0, sheet, 2.8), room)
    for row, text in enumerate(_HOW):
        put(page, Text(MARGIN, 26.0 + 4.0 * row, text, 2.8), room)
    tops = [OUTLINE_TOP, OUTLINE_TOP + bar.width + _GAP, OUTLINE_TOP + bar.width + _STRIP + 2 * _GAP]
    _outline(page, bar, tops[0], bar.width, f"from above: {bar.told(bar.width, bar.length)}")
    _marks(page, bar, tops[0], bar.width)
    _outline(page, bar, tops[1], _STRIP, f"strip for the marks: {bar.told(bar.gauge)} apart")
    _marks(page, bar, tops[1], _STRIP)
    _outline(page, bar, tops[2], bar.thickness, f"from the side: {bar.told(bar.thickness)} thick")
    check_line(page)
    return page


_HOW = (
    "First check the 100 mm line below with a steel rule. Sizes are of the wet bar: roll the slab as thick as shown",
    "and cut along the outline. Then lay the paper or the strip on the bar and prick through both marks.",
)


def _outline(page: Page, bar: BarSize, top: float, high: float, told: str) -> None:
    """Draw the bar, or the strip, with what it is."""
    page.box(MARGIN, top, MARGIN + bar.length, top + high, 0.2)
    page.texts.append(Text(MARGIN, top - 4.0, told, 2.8))


def _marks(page: Page, bar: BarSize, top: float, high: float) -> None:
    """Draw both marks; they reach beyond the outline, so that they are seen when it lies on clay."""
    begin = MARGIN + (bar.length - bar.gauge) / 2
    for x in (begin, begin + bar.gauge):
        page.lines.append(Line(x, top - 3.0, x, top + high + 3.0, 0.15))


_COLUMNS, _HEIGHT = 3, 24.0


def label_pages(bars: pd.DataFrame, sheet: str, paper: str) -> Iterator[Page]:
    """Yield pages of labels, one for each bar and firing, in the order of codes."""
    labels = sorted(bars.to_dict("records"), key=lambda bar: natural(bar["bar"]))
    told = f"{sheet} · cut along the lines · scratch codes as they stand here, with a line below each 6 and 9"
    height, width = PAPERS[paper]
    on_page, wide = _COLUMNS * int((height - HEAD - EDGE) // _HEIGHT), (width - 2 * EDGE) / _COLUMNS
    for first in range(0, len(labels), on_page):
        page = upright(paper, "Labels to lay with the bars", told)
        shown = labels[first : first + on_page]
        for place, bar in enumerate(shown):
            _label(page, bar, EDGE + place % _COLUMNS * wide, HEAD + place // _COLUMNS * _HEIGHT, wide)
        _cuts(page, -(-len(shown) // _COLUMNS), wide)
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


PARTS = (*STAGES_OF_FORMS, "labels", "template", "cautions")
"""What a kit may consist of, in this order."""
MOST_ROWS = 1000
"""Rows, one for each mark of each bar, of the longest sheet that a kit is made for."""
_USUAL = BarSize()


@dataclass(frozen=True)
class Kit:
    """What was made."""

    pages: tuple[Page, ...]
    """Its pages."""
    contents: dict[str, int]
    """What each page is called → how many there are."""
    notes: tuple[str, ...]
    """What the user should know."""


def bench_kit(sheets: CheckedSheets, paper: str = "A4", bar: BarSize = _USUAL, parts: Sequence[str] = PARTS) -> Kit:
    """Return the kit for the bars of one sheet: those of `PARTS` that are wanted, the template for ``bar``.

    Raises:
        UnusableRequest: several sheets, more rows than anybody fills in, or a bar that does not fit the paper.
    """
    numbers = sheets.bars["sheet"].unique().tolist()
    if len(numbers) > 1:
        raise UnusableRequest("form-of-several", value=", ".join(sheets.sheets[n].name for n in numbers))
    if len(sheets.marks) > MOST_ROWS:
        raise UnusableRequest("kit-too-long", value=len(sheets.marks), most=MOST_ROWS)
    pages = tuple(_pages(sheets, paper, bar, parts))
    for number, page in enumerate(pages, start=1):
        page.texts.append(Text(page.width - EDGE, 15.0, f"page {number} of {len(pages)}", 3.0, "end"))
    return Kit(pages, Counter(page.title for page in pages), tuple(_notes(sheets)))


def _pages(sheets: CheckedSheets, paper: str, bar: BarSize, parts: Sequence[str]) -> Iterator[Page]:
    name = sheets.sheets[int(sheets.bars["sheet"].iloc[0])].name
    for form in bench_forms(sheets, [stage for stage in STAGES_OF_FORMS if stage in parts]):
        yield from form_pages(form, name, paper)
    if "labels" in parts:
        yield from label_pages(sheets.bars, name, paper)
    if "template" in parts:
        yield template_page(bar.usual_in(sheets.length_unit), name, paper)
    if "cautions" in parts:
        yield _cautions(paper)


def _cautions(paper: str) -> Page:
    """Return the cautions of the Guide on one page, in letters to be read at arm's length."""
    page = upright(paper, "Take care", "To hang up at the bench and at the kiln.")
    y = 32.0
    for caution in guide_text()["caution"]:
        page.texts.append(Text(EDGE, y, "▲", 4.0))
        for line in wrapped(Text(0.0, 0.0, caution["text"], 4.2), page.width - 2 * EDGE - 8.0):
            page.texts.append(Text(EDGE + 8.0, y, line, 4.2))
            y += 5.6
        y += 5.0
    return page


def _notes(sheets: CheckedSheets) -> Iterable[str]:
    if not any(reading.key in sheets.units for reading in READINGS):
        yield "The sheet has no columns for readings yet: the forms are those of a blank sheet, in mm and g."
    confused = easily_confused(sheets.bars["bar"])
    if confused:
        shown = ", ".join(f"{one} and {other}" for one, other in confused[:3])
        more = f" and {len(confused) - 3} further pairs" if len(confused) > 3 else ""
        yield f"Codes that are easily confused in clay: {shown}{more}. Give one of each another code."
