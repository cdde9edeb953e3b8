"""Rows of an .xlsx table as spreadsheet programs write them, many at once.

A block of rows is split at its cells. Where what is left between the cells is nothing but ends and beginnings of rows,
the block holds what was found and nothing else; with anything unusual in it the block is left to expat. Every pattern
takes each sign once and never goes back, so time grows with the length alone.
"""

import itertools
import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from bodytest.grids.cell_values import error_of, plain_text
from bodytest.grids.filling import Filling
from bodytest.grids.grid import LAST_COLUMN, LAST_ROW, column_index
from bodytest.grids.workbook_parts import Formats

_CELL = re.compile(
    rb'<c r="([A-Z]{1,3})([0-9]{1,7})"(?: s="([0-9]{1,9})")?+'
    rb'(?:/>|(?: t="(n|s|str|e|b|inlineStr)")?+>(?:<f>[^<&]*+</f>)?+'
    rb'(?:<v>|(<is>)<t(?: xml:space="preserve")?+>)([^<&]*+)(?(5)</t></is>|</v>)</c>)'
)
"""A cell with its column, row, format, type, the sign of a text of its own, and value."""
_ATTRIBUTES = rb'(?: (?:spans|s|ht|customFormat|customHeight|thickBot|thickTop|x14ac:dyDescent)="[\w.:+-]*+")*+'
_ROW = re.compile(
    rb'(</row>)?+(?:<row r="[0-9]{1,7}"' + _ATTRIBUTES + rb'/>)*+<row r="([0-9]{1,7})"' + _ATTRIBUTES + rb">"
)
_GROUPS = 7
_INLINE = b"inlineStr"
_NUMBERS = (None, b"n", b"s")
"""Types whose value is written as a number."""


class _Columns(dict[bytes, int]):
    """Columns by their letters, each worked out once."""

    def __missing__(self, letters: bytes) -> int:
        self[letters] = column_index(letters.decode())
        return self[letters]


class PlainRows:
    """Reads blocks of ordinary rows into a filling."""

    def __init__(self, filling: Filling, texts: Callable[[], Sequence[str]], formats: Formats) -> None:
        self.filling = filling
        self.formats = formats
        self.telling = {b"%d" % style: style for style in formats.telling}
        self.columns = _Columns()
        self.texts = texts
        self.converters: dict[bytes | None, Callable[[bytes], Any]] = {
            b"n": float,
            b"s": self._shared,
            b"str": _text,
            _INLINE: _text,
            b"e": lambda shown: error_of(_text(shown)),
            b"b": lambda truth: {b"1": True, b"0": False}[truth],
        }

    def read(self, block: bytes) -> int | None:
        """Read a block of whole rows below all others; return its last row, None when it is not an ordinary one."""
        try:
            rows = list(self._rows(_CELL.split(block)))
        except (ValueError, IndexError, KeyError):
            return None
        if not rows:
            return None
        self.filling.count(sum(len(values) for _, _, values in rows))
        for row, columns, values in rows:
            if columns[-1] == len(columns) - 1:
                self.filling.put_row(row, values)
            else:
                for column, value in zip(columns, values, strict=True):
                    self.filling.put(row, column, value)
        return rows[-1][0]

    def _shared(self, number: bytes) -> str:
        if (place := int(number)) < 0:
            raise IndexError
        return self.texts()[place]

    def _rows(self, parts: list[Any]) -> Iterator[tuple[int, list[int], list[Any]]]:
        """Yield each row's number, columns and values.

        Raises:
            ValueError, IndexError, KeyError: there is something unusual.
        """
        between, letters, numbers, styles, kinds, inline, texts = (parts[group::_GROUPS] for group in range(_GROUPS))
        starts = [place for place, text in enumerate(between) if text]
        if between[-1] != b"</row>" or starts[0] != 0:
            raise ValueError
        if any(inline) and [mark is not None for mark in inline] != [kind == _INLINE for kind in kinds]:
            raise ValueError
        values = self._values(styles, kinds, texts)
        last, names, columns, before, behind = self.filling.last, [b""], [-1], b"", b""
        for start, end in itertools.pairwise(starts):
            number = numbers[start]
            if numbers[start:end].count(number) != end - start:
                raise ValueError
            if start == 0 or between[start] != before + number + behind:  # mostly rows begin alike
                before, behind = _around(between[start], number, first=start == 0)
            row = int(number)
            if names != letters[start:end]:
                names = letters[start:end]
                columns = [self.columns[name] for name in names]
                if columns[-1] > LAST_COLUMN or columns != sorted(set(columns)):
                    raise ValueError
            if not last < row <= LAST_ROW:
                raise ValueError
            last = row
            yield row, columns, values[start:end]

    def _values(self, styles: list[Any], kinds: list[Any], texts: list[Any]) -> list[Any]:
        """Return the values of cells, blank ones as ``""``."""
        plain = texts if {*kinds} <= {*_NUMBERS} else [t for t, k in zip(texts, kinds, strict=True) if k in _NUMBERS]
        if b"".join(filter(None, plain)).translate(None, b"0123456789.eE+-"):
            raise ValueError
        convert = self.converters
        values = [
            "" if text is None else float(text) if kind is None else convert[kind](text)
            for kind, text in zip(kinds, texts, strict=True)
        ]
        if self.telling and not self.telling.keys().isdisjoint(styles):
            for place, style in enumerate(styles):
                if style in self.telling and kinds[place] in (None, b"n"):
                    values[place] = self.formats.shown(values[place], self.telling[style])
        return values


def _around(beginning: bytes, number: bytes, *, first: bool) -> tuple[bytes, bytes]:
    """Return what stands before and behind the number where a row begins, and mostly the one above it ends.

    Raises:
        ValueError: it is no ordinary beginning of the row with that number.
    """
    found = _ROW.fullmatch(beginning)
    if found is None or (found[1] is None) != first or found[2] != number:
        raise ValueError
    return beginning[: found.start(2)], beginning[found.end(2) :]


def _text(written: bytes) -> str:
    """Return a text without signs that XML treats in its own way.

    >>> _text(b"A1")
    'A1'
    """
    text = written.decode()
    if not text.isprintable():
        raise ValueError
    return plain_text(text)
