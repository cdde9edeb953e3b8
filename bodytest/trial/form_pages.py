"""Bench forms on upright pages: rows to write into with wet hands; texts cut or wrapped as wide as they are drawn."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.ft2font import FT2Font, LoadFlags

from bodytest.plan.drawing import Line, Page, Text
from bodytest.plan.ruler import PAPERS
from bodytest.sheet.bar_codes import STROKED
from bodytest.shown import visible
from bodytest.trial.bench_forms import BenchForm, FormRow

SMALLEST = 2.4
"""Height of the smallest letters' em, mm: 6.8 points."""


def put(page: Page, text: Text, room: float) -> None:
    """Write a text, cut with an ellipsis where it is wider than ``room`` mm."""
    page.texts.append(replace(text, text=shortened(text, room)))


def shortened(text: Text, room: float) -> str:
    """Return what a text says in one line, cut with an ellipsis where it is wider than ``room`` mm."""
    whole = visible(" ".join(text.text.split()))
    if width_of(whole, text) <= room:
        return whole
    room -= width_of("…", text)
    while whole and width_of(whole, text) > room:
        whole = whole[:-1]
    return f"{whole.rstrip()}…"


def wrapped(text: Text, room: float) -> list[str]:
    """Return the words of a text in lines of at most ``room`` mm, broken at blanks and behind hyphens."""
    lines = [""]
    for part in re.findall(r"[^\s-]+-?\s*|-\s*", visible(text.text)):
        if lines[-1] and width_of(f"{lines[-1]}{part}".rstrip(), text) > room:
            lines.append("")
        lines[-1] += part
    return [line.rstrip() for line in lines]


def put_code(page: Page, code: Text, room: float) -> None:
    """Write a bar's code with a stroke below each 6 and 9, as it is scratched; a long one in smaller letters."""
    wanted = width_of(visible(code.text), code)
    code = replace(code, size=max(SMALLEST, min(code.size, code.size * room / max(wanted, 1e-9))))
    shown = shortened(code, room)
    page.texts.append(replace(code, text=shown))
    for place, sign in enumerate(shown):
        if sign in STROKED:
            left = code.x + width_of(shown[:place], code)
            y, inset = code.y + 0.18 * code.size, 0.08 * code.size
            page.lines.append(Line(left + inset, y, left + width_of(sign, code) - inset, y, 0.09 * code.size))


def width_of(words: str, text: Text) -> float:
    """Return the width of words in the letters of a text, mm."""
    return text.size * sum(_advance(sign, text.bold) for sign in words)


@cache
def _advance(sign: str, bold: bool) -> float:
    """Return the width of a sign in em; of one that the font lacks, about that of the box drawn for it."""
    font = _font(bold)
    if not font.get_char_index(ord(sign)):
        return 0.6
    font.set_size(100.0, 72.0)
    return float(font.load_char(ord(sign), flags=LoadFlags.NO_HINTING).linearHoriAdvance) / 65536.0 / 100.0


@cache
def _font(bold: bool) -> FT2Font:
    return get_font(findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")))


EDGE = 12.0
"""Left and right of what is drawn, and below it, mm."""
LOWEST_ROW, HIGHEST_ROW = 8.4, 12.0
"""Heights of a row, mm; rows are as high as the page has room for."""
HEAD = 23.0
"""Room for title, page number and what the page is, mm."""
_BLANK_PITCH = 9.0
_HEADINGS = 12.5
_CODE, _PLACE, _MARK, _TICK, _EARLIER, _BOX, _NOTE = 28.0, 16.0, 8.0, 9.0, 12.0, 20.0, 14.0
"""Widths of columns, mm."""
_WIDEST_BOX = 30.0
_STROKE, _FRAME = 0.12, 0.4
_BAR, _TOLD = Text(0.0, 0.0, "", 4.4, bold=True), Text(0.0, 0.0, "", SMALLEST, quiet=True)
"""Letters of a bar's code and of what tells it from others."""
_LINE = 2.7
"""Distance of two lines of the smallest letters, mm."""


def upright(paper: str, title: str, told: str) -> Page:
    """Return a blank page with its title and what it is; the sheet's name is part of the title that files show."""
    height, width = PAPERS[paper]
    page = Page(width, height, title)
    put(page, Text(EDGE, 15.0, title, 5.0, bold=True), width - 2 * EDGE - 28.0)
    put(page, Text(EDGE, 20.0, told, 2.8), width - 2 * EDGE)
    return page


@dataclass(frozen=True)
class _Column:
    """One column of a form."""

    kind: str
    heading: str
    width: float
    left: float = 0.0
    number: int = 0


def form_pages(form: BenchForm, sheet: str, paper: str) -> Iterator[Page]:
    """Yield the pages of a form, their rows spread evenly, the marks of a bar side by side."""
    height, width = PAPERS[paper]
    top = HEAD + _BLANK_PITCH * len(form.blanks) + _HEADINGS
    room = height - top - EDGE
    bars = sum(not row.again for row in form.rows)
    marks = len(form.rows) // bars
    count = -(-bars // max(int(room / LOWEST_ROW) // marks, 1))
    on_page = -(-bars // count) * marks
    pitch = min(room / on_page, HIGHEST_ROW)
    columns = _columns(form, width - 2 * EDGE)
    for first in range(0, len(form.rows), on_page):
        rows = form.rows[first : first + on_page]
        shown = f"rows {first + 1} to {first + len(rows)} of {len(form.rows)}, {form.order}"
        page = upright(paper, form.title, f"{sheet} · {shown}")
        put(page, Text(EDGE, HEAD + 1.0, form.facts, 2.8), width - 2 * EDGE)
        _blanks(page, form.blanks)
        _headings(page, columns, top)
        for place, row in enumerate(rows):
            _row(page, columns, row, top + place * pitch, pitch)
        _frames(page, columns, top, top + len(rows) * pitch)
        yield page


def _columns(form: BenchForm, room: float) -> list[_Column]:
    """Return the columns of a form from left to right."""
    columns = [_Column("code", "bar", _CODE)]
    if any(row.mark for row in form.rows):
        columns.append(_Column("mark", "mark", _MARK))
    if form.stage == "fired":
        columns += [_Column("place", "place", _PLACE), _Column("tick", "in the kiln", _TICK)]
    columns += [_Column("earlier", heading, _EARLIER, number=n) for n, heading in enumerate(form.earlier)]
    columns += [_Column("box", heading, _BOX, number=n) for n, heading in enumerate(form.boxes)]
    columns.append(_Column("note", "notes", _NOTE))
    codes = max(max(width_of(row.told, _TOLD), width_of(row.code, _BAR)) for row in form.rows)
    return _spread(columns, room, codes + 2.5)


def _spread(columns: list[_Column], room: float, codes: float) -> list[_Column]:
    """Return the columns side by side: boxes share half of the room left, codes take what they need, notes the rest."""
    spare = room - sum(column.width for column in columns)
    boxes = sum(column.kind == "box" for column in columns)
    wider = min(spare / 2 / boxes, _WIDEST_BOX - _BOX)
    rest = spare - wider * boxes
    code = max(min(codes - _CODE, rest), min(rest / 2, 0.0))
    left, placed = EDGE, []
    for column in columns:
        width = column.width + {"box": wider, "code": code, "note": rest - code}.get(column.kind, 0.0)
        placed.append(replace(column, left=left, width=width))
        left += width
    return placed


def _blanks(page: Page, lines: tuple[tuple[str, ...], ...]) -> None:
    """Draw what is filled in above the table: each a word and a line to write on."""
    for number, blanks in enumerate(lines):
        y, width = HEAD + _BLANK_PITCH * (number + 1) - 3.0, (page.width - 2 * EDGE + 4.0) / len(blanks)
        for place, blank in enumerate(blanks):
            x = EDGE + place * width
            word, _, known = blank.partition(": ")
            page.lines.append(Line(x, y + 1.0, x + width - 4.0, y + 1.0, _STROKE))
            page.texts.append(Text(x, y, word, SMALLEST))
            put(page, Text(x + width - 4.0, y, known, 3.0, "end"), width - 22.0)


def _headings(page: Page, columns: list[_Column], top: float) -> None:
    for column in columns:
        letters = Text(column.left + 1.0, 0.0, column.heading, SMALLEST, quiet=column.kind == "earlier")
        lines = wrapped(letters, column.width - 1.5)
        for place, line in enumerate(lines):
            y = top - 1.2 - 2.9 * (len(lines) - 1 - place)
            put(page, Text(letters.x, y, line, SMALLEST, quiet=letters.quiet), column.width - 1.2)


def _row(page: Page, columns: list[_Column], row: FormRow, top: float, pitch: float) -> None:
    """Write what is known of a bar; boxes stay empty but for what the sheet holds already."""
    middle, right = top + pitch / 2 + 1.1, page.width - EDGE
    page.lines.append(Line(EDGE, top + pitch, right, top + pitch, _STROKE))
    for column in columns:
        x, room = column.left + 1.0, column.width - 2.0
        if column.kind == "code":
            put_code(page, replace(_BAR, x=x, y=middle - 1.2, text=row.code), room)
            put(page, replace(_TOLD, x=x, y=middle + 2.3, text=row.told), room)
        elif column.kind == "tick":
            if not row.again:
                across, down = x + room / 2, top + pitch / 2
                page.box(across - 2.0, down - 2.0, across + 2.0, down + 2.0, 0.2)
        elif column.kind == "earlier":
            put(page, Text(x + room, middle, row.earlier[column.number], 2.8, "end", quiet=True), room)
        elif column.kind == "box":
            known = row.known[column.number]
            put(page, Text(x + room, middle, "–" if known is None else known, 2.8, "end", quiet=True), room)
        elif column.kind == "mark":
            put(page, Text(x, middle, row.mark, 3.6), room)
        else:
            told = Text(x, middle, row.place if column.kind == "place" else row.note, SMALLEST)
            _lines(page, told, room, int(pitch / _LINE))


def _lines(page: Page, told: Text, room: float, most: int) -> None:
    """Write a text that may be long around its height; what does not fit in so many lines is cut."""
    lines = wrapped(told, room)
    if len(lines) > most:
        lines[most - 1 :] = [" ".join(lines[most - 1 :])]
    for place, line in enumerate(lines):
        put(page, replace(told, y=told.y + _LINE * (place - (len(lines) - 1) / 2), text=line), room)


def _frames(page: Page, columns: list[_Column], top: float, bottom: float) -> None:
    """Draw the columns: strong around the boxes to write into, thin elsewhere."""
    page.lines.append(Line(EDGE, top, page.width - EDGE, top, _FRAME))
    for column in columns:
        page.lines.append(Line(column.left, top, column.left, bottom, _STROKE))
    for column in columns:
        if column.kind == "box":
            for x in (column.left, column.left + column.width):
                page.lines.append(Line(x, top, x, bottom, _FRAME))
    page.lines.append(Line(page.width - EDGE, top, page.width - EDGE, bottom, _STROKE))
