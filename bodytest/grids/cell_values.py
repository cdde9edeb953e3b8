"""What the text of a cell in SpreadsheetML means by its type and format."""

import datetime
import re
from collections.abc import Sequence
from typing import Any

from bodytest.grids.grid import CellError, Unreadable

NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
"""A number as both formats write it: no separators, no signs between digits."""
DATES = frozenset({*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)})
"""Formats of dates and times that need no definition (ECMA-376 part 1, 18.8.30)."""
PERCENTAGES = frozenset({9, 10})
"""Formats of percentages that need no definition (the same)."""
_NO_DATE_SIGNS = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?!h+\]|m+\]|s+\])[^\]]*\]', re.IGNORECASE)
_LAPSE = re.compile(r"\[(?:h+|m+|s+)\]", re.IGNORECASE)
_LAST_DAY = 2_958_466
"""The day after 31 December 9999."""
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


def is_date_format(code: str) -> bool:
    """Tell whether a number format shows dates or times.

    >>> is_date_format("yyyy-mm-dd"), is_date_format('0.00 "mm"'), is_date_format("[Red]0"), is_date_format("General")
    (True, False, False, False)
    """
    signs = _NO_DATE_SIGNS.sub("", code.partition(";")[0])
    return code.lower() != "general" and re.search(r"[dmyhs]", signs, re.IGNORECASE) is not None


def is_percent_format(code: str) -> bool:
    """Tell whether a number format shows a share as a percentage.

    >>> is_percent_format("0.0%"), is_percent_format('0.0" %"')
    (True, False)
    """
    return "%" in _NO_DATE_SIGNS.sub("", code.partition(";")[0])


def percentage_of(share: float) -> str:
    """Return a share as the percentage that its cell shows, to all its digits.

    >>> percentage_of(0.1166)
    '11.66 %'
    """
    return f"{100.0 * share:.12g} %"


def shows_lapse(code: str) -> bool:
    """Tell whether a number format shows a span of time, such as ``[h]:mm``."""
    return _LAPSE.search(code) is not None


def date_of(days: float, *, since_1904: bool = False, lapse: bool = False) -> Any:
    """Return the date, time or span that a number of days shows; what shows none stays a number.

    >>> date_of(46145.0), date_of(0.5), date_of(1.5, lapse=True)
    (datetime.date(2026, 5, 3), datetime.time(12, 0), datetime.timedelta(days=1, seconds=43200))
    """
    if not 0 <= days < _LAST_DAY - (1462 if since_1904 else 0):
        return days
    if lapse:
        return datetime.timedelta(milliseconds=round(days * 86_400_000))
    # day 60 of the usual epoch is a 29 February 1900 that never was
    epoch = datetime.datetime(1904, 1, 1) if since_1904 else datetime.datetime(1899, 12, 31 if days < 60 else 30)
    moment = epoch + datetime.timedelta(milliseconds=round(days * 86_400_000))
    if 0 < days < 1:
        return moment.time()
    return moment if days % 1 else moment.date()


def number_of(text: str) -> Any:
    """Return a number, or what is wrong with it.

    >>> number_of(" 88.4 "), number_of("8_8.4").shown
    (88.4, '8_8.4')
    """
    if NUMBER.fullmatch(text.strip()):
        return float(text)
    return _unlike("a number", text)


def truth_of(text: str) -> Any:
    """Return a truth value, or what is wrong with it."""
    if text.strip() in ("1", "true", "0", "false"):
        return text.strip() in ("1", "true")
    return _unlike("TRUE or FALSE", text)


def iso_date_of(text: str) -> Any:
    """Return a date as ISO 8601 writes it, or what is wrong with it.

    >>> iso_date_of("2026-05-03"), iso_date_of("2026-05-03T12:30:00Z")
    (datetime.date(2026, 5, 3), datetime.datetime(2026, 5, 3, 12, 30))
    """
    tidy = text.strip().removesuffix("Z")
    for read in (datetime.date.fromisoformat, datetime.datetime.fromisoformat, datetime.time.fromisoformat):
        try:
            found = read(tidy)
        except ValueError:
            continue
        if isinstance(found, datetime.datetime):
            return found.replace(tzinfo=None) if found.time() != datetime.time() else found.date()
        return found
    return _unlike("a date", text)


def _unlike(marked: str, text: str) -> Unreadable:
    shown = text.strip() if len(text.strip()) <= 40 else text.strip()[:39] + "…"
    return Unreadable(text.strip(), f"it is marked as {marked} and holds “{shown}”")


def shared_text(text: str, texts: Sequence[str]) -> Any:
    """Return a shared text by its number, or what is wrong with it.

    >>> shared_text("-1", ["A1"]).why
    'it asks for text number -1 of the 1 that can be read in the file'
    """
    number = int(text) if re.fullmatch(r"\s*[+-]?[0-9]{1,18}\s*", text) else -1
    if 0 <= number < len(texts):
        return texts[number]
    asked = text.strip()[:20]
    return Unreadable(asked, f"it asks for text number {asked} of the {len(texts)} that can be read in the file")


def plain_text(text: str) -> str:
    """Return a text with the signs that the format writes as ``_x000D_``.

    >>> plain_text("A_x0020_1")
    'A 1'
    """
    return _ESCAPED.sub(_sign, text) if "_x" in text else text


def _sign(escaped: re.Match[str]) -> str:
    number = int(escaped[1], 16)
    return chr(number) if not 0xD800 <= number < 0xE000 else "\ufffd"  # half a sign is none


def error_of(text: str) -> CellError:
    """Return the error that a cell shows."""
    return CellError(text.strip() or "#N/A")
