"""Texts as wide as the PDF's font draws them: cut or wrapped to the room there is, and codes with their strokes."""

import re
from dataclasses import replace
from functools import cache

from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.ft2font import FT2Font, LoadFlags

from bodytest.plan.drawing import Line, Page, Text
from bodytest.sheet.bar_codes import STROKED
from bodytest.shown import visible

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
