"""Signs for the same as above: what they stand for in a column of texts."""

import numpy as np

from bodytest.intake.layouts.vocabulary import word_list


def has_repeats(texts: np.ndarray) -> bool:
    """Tell whether a cell says that it is the same as the one above."""
    return not word_list("same_as_above").isdisjoint(map(str.casefold, texts))


def repeated(texts: np.ndarray) -> np.ndarray:
    """Return texts with what stands above each one that says that it is the same.

    >>> repeated(np.array(["Torvan", '"', "ditto", "Belden"], dtype=object)).tolist()
    ['Torvan', 'Torvan', 'Torvan', 'Belden']
    """
    same, told = word_list("same_as_above"), texts.copy()
    for position, text in enumerate(texts[1:].tolist(), start=1):
        if text.casefold() in same:
            told[position] = told[position - 1]
    return told
