"""The template: a bar to cut and its two gauge marks, true to scale, with the line to check the print by."""

from bodytest.errors import UnusableRequest
from bodytest.plan.drawing import Line, Page, Text
from bodytest.plan.ruler import MARGIN, PAPERS
from bodytest.plan.ruler_pages import check_line
from bodytest.trial.bar_size import BarSize
from bodytest.trial.lettering import put

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
        raise UnusableRequest("kit-bar-paper", value=bar.words, paper=paper.capitalize(), most=most)
    page = Page(width, height, f"Template for a bar of {bar.words}, marks {bar.gauge:g} mm apart")
    page.texts.append(Text(MARGIN, 15.0, page.title, 5.0, bold=True))
    put(page, Text(MARGIN, 20.0, sheet, 2.8), room)
    for row, text in enumerate(_HOW):
        put(page, Text(MARGIN, 26.0 + 4.0 * row, text, 2.8), room)
    tops = [OUTLINE_TOP, OUTLINE_TOP + bar.width + _GAP, OUTLINE_TOP + bar.width + _STRIP + 2 * _GAP]
    _outline(page, bar, tops[0], bar.width, f"from above: {bar.width:g} × {bar.length:g} mm")
    _marks(page, bar, tops[0], bar.width)
    _outline(page, bar, tops[1], _STRIP, f"strip for the marks: {bar.gauge:g} mm apart")
    _marks(page, bar, tops[1], _STRIP)
    _outline(page, bar, tops[2], bar.thickness, f"from the side: {bar.thickness:g} mm thick")
    check_line(page)
    return page


_HOW = (
    "First check the 100 mm line below with a steel rule. Sizes are of the wet bar: roll the slab as thick as shown",
    "and cut along the outline. Then lay the paper or the strip on the bar and prick through both marks.",
)


def _outline(page: Page, bar: BarSize, top: float, high: float, told: str) -> None:
    """Draw the bar, or the strip, with what it is."""
    right, bottom = MARGIN + bar.length, top + high
    for y in (top, bottom):
        page.lines.append(Line(MARGIN, y, right, y, 0.2))
    for x in (MARGIN, right):
        page.lines.append(Line(x, top, x, bottom, 0.2))
    page.texts.append(Text(MARGIN, top - 4.0, told, 2.8))


def _marks(page: Page, bar: BarSize, top: float, high: float) -> None:
    """Draw both marks; they reach beyond the outline, so that they are seen when it lies on clay."""
    begin = MARGIN + (bar.length - bar.gauge) / 2
    for x in (begin, begin + bar.gauge):
        page.lines.append(Line(x, top - 3.0, x, top + high + 3.0, 0.15))
