"""Legends of people's own sheets: what words and letters of headings stand for, told above, beside or below a table."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from bodytest.grids.grid import Grid, Place
from bodytest.intake.cells import read_text
from bodytest.intake.layouts.headings import meaning, plain, split_unit
from bodytest.intake.layouts.meant import Meaning, is_reading
from bodytest.intake.layouts.titles import read_title
from bodytest.intake.layouts.vocabulary import word_list
from bodytest.intake.layouts.words import known_words, tokens
from bodytest.units import canonical_unit, dimension_of, parse_measure


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
_ENTRIES = re.compile(r"[;\n]|,\s*(?=[^,=]{1,30}(?:=|\s(?:was|were|is|are)\s))|\.\s+(?=[^.:=]{1,30}[:=])")
_ENTRY = re.compile(
    r"^\W*([^=:→]{1,30}?)\s*(?:=|:|→|\s(?:means|stands\s+for|is|are|was|were)\s)\s*(.{2,120})$", re.IGNORECASE
)
_DENIED = re.compile(r"\b(?:not?|never|without|or|either|maybe)\b", re.IGNORECASE)
_ABBREVIATION = 2
"""Letters of a heading that is known only to its owner."""
_LETTERED = re.compile(r"^\s*([a-z]{1,2}\d?)\s+(.{2,60})$", re.IGNORECASE)
"""Letters before what they stand for, in a list of them: w wet, d bone dry."""
_BRACKETED = re.compile(r"\([^()]*\)")
_SAME = re.compile(r"^\s*(?:the\s+)?same\b", re.IGNORECASE)
_SYMBOLS = {"l": "length", "m": "mass", "wt": "mass"}
"""What letters say that stand before further ones: L d, M2."""


def legend_of(grid: Grid) -> Legend:
    """Return what the texts of a table say of words: ``LH = leather hard``, LH | leather hard | mm in a row of words.

    So may a row say how hot a firing was that others name: F40 | cone 04. What is the same as above is said again.
    """
    if len(grid.rows) > MOST_ROWS:
        return ()
    found: list[Entry] = []
    heads = None if _is_of_words(grid) else _heads(grid)
    often = Counter(read_text(cell) for _, row in grid.below_headings(0) for cell in row)
    for number, row in grid.below_headings(0):
        words = [(column, read_text(cell)) for column, cell in enumerate(row) if isinstance(cell, str) and cell]
        if 1 < len(words) < 4 and len(words) == sum(cell != "" for cell in row):
            first, said = words[0][1], " ".join(_as_unit(text) for _, text in words[1:])
            of_firing = often[first] > 1 and not meaning(first, "bars").known and read_title(said).heated
            if heads is None or first in heads or of_firing:
                words = [(words[0][0], f"{first} = {said}")]
        for column, text in words:
            for word, said in _entries(text):
                kinds = meaning(known_words(found[-1].said), "bars").kinds if found else set()
                again = _SAME.sub(next(iter(kinds)), said) if len(kinds) == 1 else said
                found.append(Entry(word, again, Place(grid.name, number, column)))
    return [one for one in found if _explains(one)] if len(found) <= MOST_ENTRIES else ()


def _heads(grid: Grid) -> set[str]:
    """Return the texts of rows that may be headings."""
    rows = ([cell for cell in row if isinstance(cell, str) and cell] for _, row in grid.head())
    return {split_unit(text)[0] for texts in rows if len(texts) > 3 for text in texts}


def _as_unit(text: str) -> str:
    return f"({text})" if dimension_of(canonical_unit(text)) else text


def keys_to(grids: Sequence[Grid]) -> Legend:
    """Return what tabs of words say of words for all tables."""
    return [entry for grid in grids if _is_of_words(grid) for entry in legend_of(grid)]


def _is_of_words(grid: Grid) -> bool:
    """Tell whether a table holds nothing but texts, no more than can be a key."""
    return len(grid.rows) <= MOST_ROWS and all(
        isinstance(cell, str) and parse_measure(cell) is None for _, row in grid.below_headings(0) for cell in row
    )


def _entries(text: str) -> list[tuple[str, str]]:
    """Return the words that a text explains, and what it says of each."""
    found = [(entry[1], entry[2]) for entry in map(_ENTRY.match, _ENTRIES.split(text)) if entry]
    parts = () if found else map(_LETTERED.match, re.split(r"[,;\n]|\.\s", text))
    lettered = [(part[1], part[2]) for part in parts if part and _is_letters(part[1])]
    return lettered if sum(bool(meaning(said, "bars").kinds) for _, said in lettered) > 1 else found


def _is_letters(word: str) -> bool:
    """Tell whether a short word is none of the language and no unit: w, bd; not no, in, mm."""
    return word.casefold() not in word_list("filler") and dimension_of(canonical_unit(word)) is None


def _explains(entry: Entry) -> bool:
    """Tell whether an entry says what a word means, and no value of ours, as in Clay test: Torvan."""
    is_label = meaning(entry.word, "bars").key in ("bar", "body", "batch", "firing", "cone")
    return not is_label and not _DENIED.search(entry.said)


def explained(text: str, legend: Legend) -> tuple[str, Place | None]:
    """Return a heading in the words by which a legend makes clear what it means, and where that stands.

    >>> explained("green length (mm)", [Entry("green", "bone dry, before any firing", Place("Bars", 9, 0))])[0]
    'bone dry before firing length (mm)'
    """
    old = meaning(text, "bars") if legend and text else Meaning()
    for entry in legend if text else ():
        for name, unit in dict.fromkeys((split_unit(text), (text, None))):
            clearer = list(_clearer(name, old, unit, entry))
            if clearer:
                best = next((words for words in clearer if meaning(words, "bars").key), clearer[0])
                return best, entry.place
    return text, None


def _clearer(name: str, old: Meaning, unit: str | None, entry: Entry) -> Iterator[str]:
    """Yield a heading with what an entry says instead of its word or beside it, where that is clearer.

    The letter before others says further whether a length or a mass is meant: L d, where d is bone dry.
    """
    word, own = tokens(entry.word), tokens(name)
    if not word or f" {' '.join(word)} " not in f" {' '.join(own)} ":
        return
    settles = not old.key or (word == own and len(word) > 1) or len(plain(entry.word)) <= _ABBREVIATION
    kind = _SYMBOLS.get(own[0], "") if word == own and len(own) > 1 else ""
    letters = r"\W*".join(map(re.escape, word))
    whole = re.compile(rf"(?<![^\W\d_]){letters}(?![^\W\d_])")
    for part in _parts(entry.said):
        instead = [whole.sub(part.replace("\\", ""), name.casefold(), count=1)]
        instead += [f"{kind} {part}"] if kind and old.kinds <= {kind} else []
        for words in (*(instead if settles else ()), f"{part} {name}"):
            clearer = f"{words} ({unit})" if unit else words
            new = meaning(clearer, "bars")
            agree = not (kind and new.key) or new.kinds == {kind}
            if agree and _is_clearer(new, old, instead=words in instead):
                yield clearer


def _parts(said: str) -> Iterator[str]:
    """Yield what is said of a word: all of it, without brackets, its known words, its parts if those are none."""
    known, bare = known_words(said), _BRACKETED.sub(" ", said)
    parts = () if meaning(known, "bars").measured else re.split(r"[,;()/]|\.\s", said)
    for part in (said, bare, known, *parts):
        if part.strip() and canonical_unit(part.strip()) is None:
            yield part.strip()


def _is_clearer(new: Meaning, old: Meaning, *, instead: bool) -> bool:
    """Tell whether other words, instead of a heading's own or beside them, tell what it alone leaves open."""
    if len(new.quantities) == 1:
        return len(old.quantities) > 1 and new.quantities[0] in old.quantities
    if not new.kinds or old.quantities or new.quantities or (new.key, new.may_be) == (old.key, old.may_be):
        return False
    if instead:
        return bool(new.key) or (not is_reading(old.key) and len(new.may_be) <= 2)
    if old.may_be:
        return new.key in old.may_be
    return new.key != "" and new.kinds == old.kinds
