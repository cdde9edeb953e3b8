"""Remarks that say something of some bars by their codes: bars 1-4 cone 04, T7 and T9 went to cone 8."""

import re
from collections.abc import Collection, Iterator
from itertools import zip_longest
from string import ascii_lowercase
from typing import NamedTuple

from bodytest.intake.layouts.headings import meaning
from bodytest.intake.layouts.titles import read_title

_NO_MEASURE = r"(?!\w|\s*(?:[mc]m|in(?:ch(?:es)?|\.|\s+(?:long|wide|thick))|k?g|oz|[%°×x/])(?![^\W\d_]))"
"""What is no unit or further number: bars 10 mm thick name no bar."""
_RANGE = re.compile(
    r"(?:^\W*|[,;.&]\s*|\band\s+)(?:([^\W\d]+)\.?\s+|#\s*)?([A-Za-z]*)(\d+)\s*(?:-|–|to)\s*([A-Za-z]*)(\d+)(?=[^\w.])"
    + _NO_MEASURE
)
_ONE = re.compile(
    r"(?:\b([^\W\d]+)\.?\s+|(#)\s*)?(?<![\w.,/%-])([A-Za-z]*\d\w*(?:[-.]\w+)*)(?!\s*(?:[-–]|to)\s*\d)" + _NO_MEASURE
)
_CODE = re.compile(r"([A-Za-z]*)(\d+)")
_JOINED = re.compile(r"(?:[\s,;&+]|and)*")
_NOT_ONE_BAR = ("no", "nr", "number", "sample")
"""Words in headings of bars that do not name one in a sentence: a cone has a number, a clay a sample."""


class _Named(NamedTuple):
    """Bars that a text names in one go."""

    start: int
    end: int
    bars: set[str]
    """Their codes, those that stand in the table."""


def of_all(text: str, codes: Collection[str]) -> str:
    """Return what a text says of all bars: all of it up to where it names some, all but their codes if it names all.

    >>> of_all("Torvan, cone 6; T2 went to cone 8", ["t1", "t2"]), of_all("T1 and T2: cone 6", ["t1", "t2"])
    ('Torvan, cone 6; ', ', : cone 6')
    >>> of_all("bars 10 mm thick, cone 6", ["9", "10"])
    'bars 10 mm thick, cone 6'
    """
    named = _named(text, codes)
    found = {code for one in named for code in one.bars}
    if found and len(found) < len(codes):
        return text[: named[0].start]
    for one in reversed(named) if found else ():
        text = f"{text[: one.start]}, {text[one.end :]}"
    return text


def of_some(text: str, codes: Collection[str]) -> Iterator[tuple[set[str], str]]:
    """Yield the codes of bars that a text names, in small letters, and what it says of them up to the next ones.

    >>> [(sorted(bars), said) for bars, said in of_some("bars 1-2 cone 04, bar 4 cone 6", ["1", "2", "3", "4"])]
    [(['1', '2'], ' cone 04, '), (['4'], ' cone 6')]
    """
    named = _named(text, codes)
    for one, following in zip_longest(named, named[1:]):
        yield one.bars, text[one.end : following and following.start]


def _named(text: str, codes: Collection[str]) -> list[_Named]:
    """Return where a text names bars, those that it names in one go together."""
    found: list[_Named] = []
    for one in sorted((*_ranges(text, codes), *_ones(text, codes)), key=lambda one: (one.start, -one.end)):
        last = found[-1] if found else None
        if last and one.start < last.end:
            continue
        if last and _JOINED.fullmatch(text[last.end : one.start]):
            found[-1] = _Named(last.start, one.end, last.bars | one.bars)
        else:
            found.append(one)
    return found


def _ranges(text: str, codes: Collection[str]) -> Iterator[_Named]:
    """Yield bars named by the first and the last of several."""
    ranges = list(_RANGE.finditer(text))
    numbered = [(code, found) for code in codes if (found := _CODE.fullmatch(code))] if ranges else []
    for one in ranges:
        if one[4] in (one[2], "") and (not one[1] or meaning(one[1].rstrip("s"), "bars").key == "bar"):
            letters = (one[2].casefold(), "")
            bars = {code for code, f in numbered if f[1] in letters and int(one[3]) <= int(f[2]) <= int(one[5])}
            yield _Named(one.start(), one.end(), bars)


def _ones(text: str, codes: Collection[str]) -> Iterator[_Named]:
    """Yield bars named one by one: by a code with letters, or by a number behind a word for bars or another bar.

    The number alone names a bar with letters before it where it is the only one of that number.
    """
    end = None
    for one in _ONE.finditer(text):
        word, code = (one[1] or "").casefold(), one[3].casefold()
        of_bar = bool(one[2]) or (meaning(word.rstrip("s"), "bars").key == "bar" and word not in _NOT_ONE_BAR)
        lettered = code in codes and code[0].isalpha() and not (read_title(code).heated or meaning(word, "bars").known)
        goes_on = end is not None and bool(_JOINED.fullmatch(text[end : one.start(3)]))
        named = of_bar or lettered or goes_on
        alike = {other for other in codes if code in (other, other.lstrip(ascii_lowercase))} if named else set()
        if len(alike) == 1:
            end = one.end()
            yield _Named(one.start() if of_bar else one.start(3), end, alike)
