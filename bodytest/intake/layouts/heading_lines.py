"""The lines of a table that hold headings of bars, alone or joined with those below them."""

from collections.abc import Iterator, Sequence
from typing import Any

from bodytest.intake.cells import read_text
from bodytest.intake.heading_row import joined
from bodytest.intake.layouts.headings import meaning, split_unit
from bodytest.intake.layouts.meant import Meaning, is_reading
from bodytest.intake.layouts.titles import labelled_values
from bodytest.intake.layouts.view import View, is_number
from bodytest.intake.layouts.vocabulary import word_list
from bodytest.intake.merged_cells import runs


def heading_lines(view: View) -> Iterator[tuple[range, list[str]]]:
    """Yield the lines that hold headings of bars, joined where they stand in several lines."""
    position = 0
    while position < len(view.lines):
        texts = _texts(view, position)
        end = position + 1
        if texts is not None and any(map(len, texts)):
            while end < len(view.lines) and end - position < 3 and view.lines[end][0] == view.lines[end - 1][0] + 1:
                more = _texts(view, end)
                both = joined(view.grid, view.lines[end - 1][0], texts, more) if more is not None else None
                if both is None or more is None or _clear(both) <= _clear(more) or not _tells_more(both, texts):
                    break
                texts, end = [view.said.heading(text) for text in both], end + 1
            if _heads_bars(texts):
                yield range(position, end), texts
                position = end
                continue
        position += 1


def _texts(view: View, position: int) -> list[str] | None:
    """Return the texts of a line, those of a legend aside; None where numbers stand in it."""
    number, row = view.lines[position]
    if any(is_number(cell) for cell in row):
        return None
    legend = {entry.place for entry in view.said.legend}
    no_headings = word_list("same_as_above") | word_list("unit_label")
    texts = [
        "" if view.place(number, column) in legend or text.casefold() in no_headings else view.said.heading(text)
        for column, text in enumerate(map(read_text, row))
    ]
    labels = _labels(view, position, texts)
    return ["" if column in labels else text for column, text in enumerate(texts)]


def _labels(view: View, position: int, texts: Sequence[str]) -> set[int]:
    """Return where labels of values stand that a blank column parts from headings of readings: Firing, F31."""
    found: set[int] = set()
    parts = [range(first, last + 1) for first, last in runs(c for c, text in enumerate(texts) if text)]
    measured = [any(meaning(texts[column], "bars").measured for column in part) for part in parts]
    for part in (part for part, is_measured in zip(parts, measured, strict=True) if not is_measured):
        along = any(measured) and labelled_values(view.lines[position][1][part.start : part.stop])
        found |= {c for c in part if along or (view.turned and _is_labelled(view.across(c)))}
    return found


def _is_labelled(cells: Sequence[Any]) -> bool:
    """Tell whether a row begins with a label and its one value."""
    first = next(place for place, cell in enumerate(cells) if cell != "")
    value, behind = [*cells, "", ""][first + 1 : first + 3]
    return value != "" and behind == "" and bool(labelled_values(cells))


def _told(texts: Sequence[str]) -> tuple[list[Meaning], set[str]]:
    """Return what the measured columns are that these texts head, and the keys of the others."""
    found = [meaning(text, "bars") for text in texts if text]
    return list(dict.fromkeys(m for m in found if m.measured)), {m.key for m in found if not is_reading(m.key)}


def _heads_bars(texts: Sequence[str]) -> bool:
    """Tell whether texts are headings of bars: two readings, or one beside a name of bars or bodies."""
    measured, others = _told(texts)
    readings = [m for m in measured if not m.quantities]
    return len(readings) >= 2 or bool(measured and others & {"bar", "body", "firing", "cone", "peak_temperature"})


def _tells_more(both: Sequence[str], alone: Sequence[str]) -> bool:
    """Tell whether joined headings say more than the upper ones alone: more columns, or the units of the same."""
    clear = [_clear(texts) for texts in (both, alone)]
    units = [sum(split_unit(text)[1] is not None for text in texts) for texts in (both, alone)]
    return clear[0] > clear[1] or (
        clear[0][0] == clear[1][0] and len(_told(both)[0]) >= len(_told(alone)[0]) and units[0] > units[1]
    )


def _clear(texts: Sequence[str]) -> tuple[int, int]:
    """Return how many columns are clearly headed by these texts, and how many are told apart as readings."""
    found = [meaning(text, "bars") for text in texts if text]
    clear = {(m.key, m.mark, m.bar) for m in found if m.key}
    return len(clear), len({(m.key or m.may_be, m.mark, m.bar) for m in found if m.measured})
