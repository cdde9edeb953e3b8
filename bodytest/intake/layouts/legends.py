"""Legends of people's own sheets: what words and letters of headings stand for, told above, beside or below a table."""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from bodytest.grids.grid import Grid, Place
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.headings import meaning, plain, split_unit
from bodytest.intake.layouts.words import Meaning, tokens
from bodytest.units import canonical_unit


class Entry(NamedTuple):
    """One line of a legend."""

    word: str
    """A word as it stands in headings."""
    said: str
    """What is said of it."""
    place: Place
    """Where."""


Legend = Sequence[Entry]
MOST_ROWS = 4096
"""Rows above which a table is not looked through for a legend."""
MOST_ENTRIES = 100
"""Entries above which what looks like a legend is some other kind of list; each is held against every text."""
_ENTRIES = re.compile(r"[;\n]|,\s*(?=[^,=]{1,30}=)")
_ENTRY = re.compile(
    r"^\W*([^=:→]{1,30}?)\s*(?:=|:|→|\s(?:means|stands\s+for|is|are|was|were)\s)\s*(.{2,120})$", re.IGNORECASE
)
_DENIED = re.compile(r"\b(?:not?|never|without|or|either|maybe)\b", re.IGNORECASE)
_ABBREVIATION = 2
"""Letters of a heading that is known only to its owner."""


def legend_of(grid: Grid) -> Legend:
    """Return what the texts of a table say of words: ``LH = leather hard``."""
    if len(grid.rows) > MOST_ROWS:
        return ()
    found = []
    for number, row in grid.below_headings(0):
        words = [(column, read_text(cell)) for column, cell in enumerate(row) if isinstance(cell, str)]
        for column, text in words:
            entries = map(_ENTRY.match, _ENTRIES.split(text))
            found += [Entry(entry[1], entry[2], Place(grid.name, number, column)) for entry in entries if entry]
    return [one for one in found if _explains(one)] if len(found) <= MOST_ENTRIES else ()


def _explains(entry: Entry) -> bool:
    """Tell whether an entry says what a word means, and no value of ours, as in Clay test: Torvan."""
    is_label = meaning(entry.word, "bars").key in ("body", "batch", "firing", "cone")
    return not is_label and not _DENIED.search(entry.said)


def explained(text: str, legend: Legend) -> tuple[str, Place | None]:
    """Return a heading in the words by which a legend makes clear what it means, and where that stands.

    >>> explained("green length (mm)", [Entry("green", "bone dry, before any firing", Place("Bars", 9, 0))])[0]
    'bone dry length (mm)'
    """
    name, unit = split_unit(text)
    old = meaning(text, "bars") if legend and text else Meaning()
    for entry in legend:
        word = tokens(entry.word)
        if not word or f" {' '.join(word)} " not in f" {' '.join(tokens(name))} ":
            continue
        settles = not old.key or len(plain(entry.word)) <= _ABBREVIATION
        for part in _parts(entry.said):
            beside = f"{part} {name}"
            instead = re.sub(r"\W*".join(map(re.escape, word)), part.replace("\\", ""), name.casefold(), count=1)
            for words in (instead, beside) if settles else (beside,):
                clearer = f"{words} ({unit})" if unit else words
                if _is_clearer(meaning(clearer, "bars"), old, instead=words is instead):
                    return clearer, entry.place
    return text, None


def _parts(said: str) -> Iterator[str]:
    """Yield what is said of a word: all of it, then its parts."""
    for part in (said, *re.split(r"[,;()/]|\.\s", said)):
        if part.strip() and canonical_unit(part.strip()) is None:
            yield part.strip()


def _is_clearer(new: Meaning, old: Meaning, *, instead: bool) -> bool:
    """Tell whether other words, instead of a heading's own or beside them, tell what it alone leaves open."""
    if len(new.quantities) == 1:
        return len(old.quantities) > 1 and new.quantities[0] in old.quantities
    if not new.kinds or old.quantities or new.quantities or (new.key, new.may_be) == (old.key, old.may_be):
        return False
    if instead:
        return bool(new.key) or len(new.may_be) <= 2
    if old.may_be:
        return new.key in old.may_be
    return new.key != "" and new.kinds == old.kinds
