"""The pages of a ruler: strips to cut out, the line to check the printout by, and how to do it."""

from collections.abc import Iterable
from fractions import Fraction

from bodytest.plan.drawing import Line, Page, Text, fitted
from bodytest.plan.ruler import MARGIN, PAPERS, Ruler, Strip, strips
from bodytest.units import LENGTH_IN_MM

STRIP_HEIGHT = 36.0
"""Of a strip, mm."""
_PITCH = 41.0
_TOP = 22.0
_CHECK_ROOM = 24.0
CHECK_LINE_MM = 100.0
"""Length of the line that the printout is checked by."""
_INCH_STEPS = ((1, 9.0), (2, 7.0), (4, 5.5), (8, 4.0), (16, 2.8))
"""Parts of an inch and the length of their marks, mm: each finer step is shorter."""


def ruler_pages(ruler: Ruler, *, length_mm: float | None, paper: str, inches: bool = True) -> tuple[Page, ...]:
    """Return the pages of a ruler.

    Parameters:
        ruler: what it rests on.
        length_mm: finished length that it reaches to; None for one strip as long as the paper.
        paper: ``A4`` or ``Letter``.
        inches: whether strips for inches are drawn as well.
    """
    width, height = PAPERS[paper]
    room = width - 2 * MARGIN
    drawn = [(_centimetres, strip) for strip in _strips(length_mm, 10.0, ruler.factor, room)]
    if inches:
        drawn += [(_inches, strip) for strip in _strips(length_mm, LENGTH_IN_MM["in"], ruler.factor, room)]
    on_page = int((height - _TOP - _CHECK_ROOM) // _PITCH)
    count = -(-len(drawn) // on_page)
    pages = []
    for number in range(count):
        page = _blank(ruler, width, height, f"page {number + 1} of {count}")
        for place, (draw, strip) in enumerate(drawn[number * on_page : (number + 1) * on_page]):
            draw(page, ruler, strip, _TOP + place * _PITCH)
        pages.append(page)
    return tuple(pages)


def _strips(length_mm: float | None, unit_mm: float, factor: float, room: float) -> tuple[Strip, ...]:
    return strips(None if length_mm is None else length_mm / unit_mm, unit_mm * factor, room)


def _blank(ruler: Ruler, width: float, height: float, number: str) -> Page:
    title = f"Shrinkage ruler for {' '.join(ruler.body.split())}, to measure it {ruler.stage}"
    page = Page(width, height, f"{title}, {number}")
    room = width - 2 * MARGIN
    page.texts.append(fitted(Text(MARGIN, 11.0, title, 4.2, bold=True), room - 30.0))
    page.texts.append(Text(width - MARGIN, 11.0, number, 2.6, "end"))
    page.texts.append(fitted(Text(MARGIN, 16.5, _HOW, 2.8), room))
    check_line(page)
    return page


_HOW = (
    "Cut along the frames. Measure the clay with the upper edge and read what it will be when finished."
    " To join strips, glue one over the other so that the same join lines and all marks meet."
)


def check_line(page: Page) -> None:
    """Draw the line that has to measure 100 mm, with what to do when it does not."""
    y, x = page.height - 17.0, MARGIN
    page.lines.append(Line(x, y, x + CHECK_LINE_MM, y, 0.2))
    for end in (x, x + CHECK_LINE_MM):
        page.lines.append(Line(end, y - 2.5, end, y + 2.5, 0.2))
    page.texts.append(Text(x + CHECK_LINE_MM / 2, y - 1.2, "check: exactly 100 mm", 2.6, "middle"))
    told = (
        "Print at 100 % (“actual size”), not “fit to page”. Then measure this line with a",
        "steel rule: 1 mm too short or too long makes every size 1 % wrong; print again.",
    )
    left = x + CHECK_LINE_MM + 6.0
    for row, text in enumerate(told):
        page.texts.append(fitted(Text(left, y - 0.8 + 4.0 * row, text, 2.8), page.width - MARGIN - left))


def _says(page: Page, ruler: Ruler, what: str, left: float, right: float, y: float) -> None:
    """Write unit, origin and whom it speaks of into a strip."""
    room = right - left - 6.0
    page.texts.append(fitted(Text(left + 3.0, y, what, 2.8, bold=True), room))
    for place, line in enumerate((ruler.origin, ruler.factor_text, ruler.whom_text)):
        page.texts.append(fitted(Text(left + 3.0, y + 3.7 + 3.5 * place, line, 2.6), room))


def _joins(page: Page, strip: Strip, unit_on_paper: float, top: float) -> None:
    for mark, letter in strip.joins:
        x = MARGIN + (mark - strip.start) * unit_on_paper
        page.lines.append(Line(x, top + 13.0, x, top + STRIP_HEIGHT, 0.15, dashed=True))
        page.texts.append(Text(x + 0.8, top + 16.6, f"join {letter}", 2.4))


def _clear_of_joins(strip: Strip, unit_on_paper: float) -> float:
    """Return where text can begin: right of a join at the beginning of the strip."""
    at_start = any(mark == strip.start + 1 for mark, _ in strip.joins)
    return MARGIN + (unit_on_paper + 9.0 if at_start else 0.0)


def _centimetres(page: Page, ruler: Ruler, strip: Strip, top: float) -> None:
    unit = 10.0 * ruler.factor
    right = MARGIN + (strip.end - strip.start) * unit
    page.box(MARGIN, top, right, top + STRIP_HEIGHT, 0.1)
    for millimetre in range(10 * strip.start, 10 * strip.end + 1):
        x = MARGIN + (millimetre - 10 * strip.start) * ruler.factor
        tick = 8.5 if millimetre % 10 == 0 else 6.0 if millimetre % 5 == 0 else 3.8
        page.lines.append(Line(x, top, x, top + tick, 0.15))
    _labels(page, ((cm, f"{10 * cm}") for cm in range(strip.start, strip.end + 1)), strip, unit, top + 11.6)
    _joins(page, strip, unit, top)
    _says(
        page, ruler, f"mm, finished size; measure {ruler.stage} clay", _clear_of_joins(strip, unit), right, top + 18.5
    )


def _labels(page: Page, labels: Iterable[tuple[int, str]], strip: Strip, unit: float, y: float) -> None:
    """Write labels under their marks; those at the ends stay inside the strip."""
    for mark, text in labels:
        x = MARGIN + (mark - strip.start) * unit
        if mark == strip.start:
            page.texts.append(Text(x + 0.6, y, text, 3.2))
        elif mark == strip.end:
            page.texts.append(Text(x - 0.6, y, text, 3.2, "end"))
        else:
            page.texts.append(Text(x, y, text, 3.2, "middle"))


def _inches(page: Page, ruler: Ruler, strip: Strip, top: float) -> None:
    """Draw a pair of lines with stepped marks: finished inches above, true inches below to read across."""
    inch = LENGTH_IN_MM["in"]
    unit, bottom = inch * ruler.factor, top + STRIP_HEIGHT
    right = MARGIN + (strip.end - strip.start) * unit
    page.box(MARGIN, top, right, top + STRIP_HEIGHT, 0.1)
    for sixteenth in range(16 * strip.start, 16 * strip.end + 1):
        x = MARGIN + (sixteenth / 16.0 - strip.start) * unit
        page.lines.append(Line(x, top, x, top + _inch_mark(sixteenth), 0.15))
    _labels(page, ((mark, f"{mark}") for mark in range(strip.start, strip.end + 1)), strip, unit, top + 12.2)
    _true_inches(page, strip, unit, bottom)
    _joins(page, strip, unit, top)
    what = f"inches, finished size; measure {ruler.stage} clay · lower edge: true inches"
    _says(page, ruler, what, _clear_of_joins(strip, unit), right, top + 16.6)


def _true_inches(page: Page, strip: Strip, unit: float, bottom: float) -> None:
    """Draw true inches upward from the lower edge, as far as the strip goes."""
    inch, begin = LENGTH_IN_MM["in"], strip.start * unit
    reach = (strip.end - strip.start) * unit
    first = -(-int(begin / inch * 16 * 1e6) // 10**6)
    for sixteenth in range(first, int((begin + reach) / inch * 16 + 1e-9) + 1):
        x = sixteenth / 16.0 * inch - begin
        if not 0.0 <= x <= reach:
            continue
        page.lines.append(Line(MARGIN + x, bottom, MARGIN + x, bottom - 0.6 * _inch_mark(sixteenth), 0.1))
        if sixteenth % 16 == 0 and 2.0 < x < reach - 2.0:
            page.texts.append(Text(MARGIN + x, bottom - 6.2, f"{sixteenth // 16}", 2.2, "middle"))


def _inch_mark(sixteenth: int) -> float:
    """Return the length of a mark by the step that it belongs to."""
    return dict(_INCH_STEPS)[Fraction(sixteenth, 16).denominator]
