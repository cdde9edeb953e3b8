"""The parts that all tables of an .xlsx workbook share: its texts, and which formats show dates."""

import re
import zipfile
from dataclasses import dataclass, field
from typing import Any

from bodytest.grids.cell_values import DATES, Texts, date_of, is_date_format, number_of, plain_text, shows_lapse
from bodytest.grids.package import Package
from bodytest.grids.xml_parts import chunks, feed, plain_parser

_LAPSES = frozenset({46})
"""Built-in formats of a span of time."""


def read_texts(package: Package, part: zipfile.ZipInfo) -> Texts:
    """Return the shared texts; those for phonetic reading are left out."""
    reader = _TextReader()
    feed(reader.parser, chunks(package.archive, part))
    return Texts(reader.texts)


class _TextReader:
    """Collects the texts of a table of shared strings."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._pieces: list[str] = []
        self._phonetic = 0
        self._inside = False
        self.parser = plain_parser(" ")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text

    def _start(self, name: str, _: dict[str, str]) -> None:
        local = name.rpartition(" ")[2]
        if local == "t":
            self._inside = self._phonetic == 0
        elif local == "si":
            self._pieces = []
        elif local == "rPh":
            self._phonetic += 1

    def _end(self, name: str) -> None:
        local = name.rpartition(" ")[2]
        if local == "t":
            self._inside = False
        elif local == "si":
            self.texts.append(plain_text("".join(self._pieces)))
        elif local == "rPh":
            self._phonetic -= 1

    def _text(self, text: str) -> None:
        if self._inside:
            self._pieces.append(text)


@dataclass(frozen=True)
class Formats:
    """Which cell formats show dates."""

    dates: frozenset[int] = frozenset()
    """Formats that show dates or times, by their place."""
    lapses: frozenset[int] = frozenset()
    """Those of them that show spans of time."""
    since_1904: bool = False
    """Do dates count from 1904?"""

    def number(self, text: str, style: int) -> Any:
        """Return what a number means in a cell of a format."""
        return self.shown(number_of(text), style)

    def shown(self, value: Any, style: int) -> Any:
        """Return a number as its format shows it: a date where that is one."""
        if style not in self.dates or not isinstance(value, float):
            return value
        return date_of(value, since_1904=self.since_1904, lapse=style in self.lapses)


@dataclass
class _Styles:
    codes: dict[int, str] = field(default_factory=dict)
    used: list[int] = field(default_factory=list)
    inside: bool = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(" ")[2]
        if local == "numFmt":
            self.codes[_number(attributes.get("numFmtId"))] = attributes.get("formatCode", "")
        elif local == "cellXfs":
            self.inside = True
        elif local == "xf" and self.inside:
            self.used.append(_number(attributes.get("numFmtId")))

    def end(self, name: str) -> None:
        if name.rpartition(" ")[2] == "cellXfs":
            self.inside = False


def read_formats(package: Package, part: zipfile.ZipInfo, *, since_1904: bool) -> Formats:
    """Return which of the workbook's cell formats show dates."""
    styles = _Styles()
    parser = plain_parser(" ")
    parser.StartElementHandler = styles.start
    parser.EndElementHandler = styles.end
    feed(parser, chunks(package.archive, part))
    codes = styles.codes
    date_codes = {number for number, code in codes.items() if is_date_format(code)} | (DATES - set(codes))
    lapse_codes = {number for number, code in codes.items() if shows_lapse(code)} | (_LAPSES - set(codes))
    places = list(enumerate(styles.used))
    return Formats(
        frozenset(place for place, number in places if number in date_codes),
        frozenset(place for place, number in places if number in lapse_codes),
        since_1904,
    )


def _number(text: str | None) -> int:
    return int(text) if text and re.fullmatch(r"[0-9]{1,9}", text.strip()) else 0
