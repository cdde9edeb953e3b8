"""Rows that add up others, by what they are called."""

from collections.abc import Collection, Iterator
from functools import cache

from bodytest.intake.layouts.vocabulary import word_list
from bodytest.intake.layouts.words import phrases, tokens


@cache
def total_words() -> tuple[frozenset[str], frozenset[str]]:
    """Return what a row of totals is called, and of these what can be somebody's code too."""
    maybe = word_list("total_row", "maybe_a_code")
    return word_list("total_row") | maybe, maybe


@cache
def _beside_totals() -> frozenset[str]:
    """Return the words that go on about what a row of totals adds up."""
    said = (word for phrase, told in phrases().items() if told.keys() - {"passed_over"} for word in phrase)
    return frozenset((*said, *(word for text in word_list("title") for word in tokens(text))))


def is_total(text: str, names: Collection[str] = (), *, below_total: bool = False) -> bool:
    """Tell whether the name of a row says that it adds up others; ``names`` may stand in it too.

    >>> is_total("Mean"), is_total("average (4 bars)"), is_total("Torvan average", ["Torvan"]), is_total("A 1")
    (True, True, True, False)
    """
    words, maybe_codes = total_words()
    told = tokens(text)
    if not told or (plain := " ".join(told)) in words:
        return bool(told) and (below_total or plain not in maybe_codes)
    rest = next((left for begin in map(tokens, word_list("total_row", "begins")) for left in _around(told, begin)), ())
    if not rest:
        return False
    known = {*_beside_totals(), *(word for name in names for word in tokens(name))}
    said = [word for word in rest if not word[0].isdigit()]
    return bool(said) and all(word in known or len(word) == 1 for word in said)


def _around(told: tuple[str, ...], word: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Yield what is left of some words that begin or end with others."""
    if told[: len(word)] == word:
        yield told[len(word) :]
    if told[-len(word) :] == word:
        yield told[: -len(word)]
