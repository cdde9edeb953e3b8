"""Columns without a heading: whether their cells name bars, or bodies."""

from collections.abc import Sequence

from bodytest.intake.layouts.titles import read_title
from bodytest.intake.layouts.view import is_number


def names_bars(texts: Sequence[str]) -> bool:
    """Tell whether texts beside rows of readings name each bar: 1, 2, 3 …, or a name of its own for each.

    >>> names_bars(["1", "2"]), names_bars(["A1", "A2"]), names_bars(["A1", "A1"]), names_bars(["7", "9"])
    (True, True, False, False)
    """
    counted = list(texts) == [str(number) for number in range(1, len(texts) + 1)]
    return "" not in texts and len(set(texts)) == len(texts) and (counted or not any(map(is_number, texts)))


def names_bodies(texts: Sequence[str]) -> bool:
    """Tell whether texts beside rows of readings name a body, each once for several rows from its own on.

    >>> names_bodies(["Torvan", "", "Belden", ""]), names_bodies(["", "chipped"]), names_bodies(["cone 6", ""])
    (True, False, False)
    """
    names = [text for text in texts if text]
    is_sparse = bool(names) and texts[0] != "" and 2 * len(names) <= len(texts)
    return is_sparse and all(read_title(name, of_tab=True).body == name for name in names)
