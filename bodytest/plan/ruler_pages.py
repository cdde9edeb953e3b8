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
_SCALES = {
    "mm": (10.0, 10, 10, {1: 8.5, 2: 6.0, 5: 3.8, 10: 3.8}),
    "inches": (LENGTH_IN_MM["in"], 1, 16, {1: 9.0, 2: 7.0, 4: 5.5, 8: 4.0, 16: 2.8}),
}
"""Step of the numbers, in mm and as numbered; its parts, and the length of their marks, mm: shorter the finer."""


def ruler_pages(ruler: Ruler, *, length_mm: float | None, paper: str, inches: bool = True) -> tuple[Page, ...]:
    """Return the pages of a ruler up to a finished length; without one, of a strip as long as the paper."""
    width, height = PAPERS[paper]
    room = width - 2 * MARGIN
    drawn = [
        (scale, strip)
        for scale in (("mm", "inches") if inches else ("mm",))
        for strip in _strips(length_mm, _SCALES[scale][0], ruler.factor, room)
    ]
    on_page = int((height - _TOP - _CHECK_ROOM) // _PITCH)
    count = -(-len(drawn) // on_page)
    pages = []
    for number in range(count):
        page = _blank(ruler, width, height, f"page {number + 1} of {count}")
        for place, (scale, strip) in enumerate(drawn[number * on_page : (number + 1) * on_page]):
            _draw(page, ruler, scale, strip, _TOP + place * _PITCH)
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


def _draw(page: Page, ruler: Ruler, scale: str, strip: Strip, top: float) -> None:
    """Draw a strip with stepped marks: finished lengths above, true ones below to read across."""
    each, number, parts, _ = _SCALES[scale]
    unit = each * ruler.factor
    right = MARGIN + (strip.end - strip.start) * unit
    page.box(MARGIN, top, right, top + STRIP_HEIGHT, 0.1)
    for part in range(parts * strip.start, parts * strip.end + 1):
        x = MARGIN + (part / parts - strip.start) * unit
        page.lines.append(Line(x, top, x, top + _mark(scale, part), 0.15))
    labels = ((mark, f"{number * mark}") for mark in range(strip.start, strip.end + 1))
    _labels(page, labels, strip, unit, top + 12.2)
    _true_marks(page, scale, strip, unit, top + STRIP_HEIGHT)
    _joins(page, strip, unit, top)
    what = f"{scale}, finished size; measure {ruler.stage} clay · lower edge: true {scale}"
    _says(page, ruler, what, _clear_of_joins(strip, unit), right, top + 16.6)


def _true_marks(page: Page, scale: str, strip: Strip, unit: float, bottom: float) -> None:
    """Draw true lengths upward from the lower edge, as far as the strip goes."""
    each, number, parts, _ = _SCALES[scale]
    begin, reach = strip.start * unit, (strip.end - strip.start) * unit
    first = -(-int(begin / each * parts * 1e6) // 10**6)
    for part in range(first, int((begin + reach) / each * parts + 1e-9) + 1):
        x = part / parts * each - begin
        if not 0.0 <= x <= reach:
            continue
        page.lines.append(Line(MARGIN + x, bottom, MARGIN + x, bottom - 0.6 * _mark(scale, part), 0.1))
        if part % parts == 0 and 2.0 < x < reach - 2.0:
            page.texts.append(Text(MARGIN + x, bottom - 6.2, f"{number * part // parts}", 2.2, "middle"))


def _mark(scale: str, part: int) -> float:
    """Return the length of a mark by the step that it belongs to."""
    *_, parts, lengths = _SCALES[scale]
    return lengths[Fraction(part, parts).denominator]
