"""Signs for the same as above: what they stand for in a column."""

import numpy as np

from bodytest.intake.layouts.vocabulary import word_list


def has_repeats(cells: np.ndarray) -> bool:
    """Tell whether a cell says that it is the same as the one above."""
    return not word_list("same_as_above").isdisjoint(cell.casefold() for cell in cells if isinstance(cell, str))


def repeated(cells: np.ndarray) -> np.ndarray:
    """Return cells with what stands above each one that says that it is the same.

    >>> repeated(np.array(["Torvan", '"', "ditto", "Belden"], dtype=object)).tolist()
    ['Torvan', 'Torvan', 'Torvan', 'Belden']
    """
    same, told = word_list("same_as_above"), cells.copy()
    for position, cell in enumerate(cells[1:].tolist(), start=1):
        if isinstance(cell, str) and cell.casefold() in same:
            told[position] = told[position - 1]
    return told


def repeated_readings(cells: np.ndarray) -> np.ndarray:
    """Return readings with those above each sign that repeats them; a sign below none stays as it is.

    >>> repeated_readings(np.array([100.2, '"', "", '"'], dtype=object)).tolist()
    [100.2, 100.2, '', '"']
    """
    if cells.dtype != object or not has_repeats(cells):
        return cells
    told = repeated(cells)
    return np.where(told == "", cells, told)
