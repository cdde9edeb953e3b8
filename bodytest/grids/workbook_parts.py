"""The parts that all tables of an .xlsx workbook share: its texts, and which formats show dates."""

import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from xml.parsers import expat

from bodytest.grids.cell_values import (
    DATES,
    PERCENTAGES,
    date_of,
    is_date_format,
    is_percent_format,
    percentage_of,
    plain_text,
    shows_lapse,
)
from bodytest.grids.package import Package
from bodytest.grids.xml_parts import Feeder, blocks, chunks, plain_parser

_LAPSES = frozenset({46})
"""Built-in formats of a span of time."""
_PLAIN = re.compile(rb'<si><t(?: xml:space="preserve")?+>([^<&]*+)</t></si>')


def read_texts(package: Package, part: zipfile.ZipInfo) -> list[str]:
    """Return the shared texts, without those for phonetic reading; of a damaged list those before the damage."""
    reader = _TextReader()
    feeder = Feeder(reader.parser)
    try:
        for block in blocks(chunks(package.archive, part), b"<si", b"</si>"):
            ordinary = reader.among_texts and feeder.in_utf8 and feeder.between_tags
            plain = _plain_texts(block) if ordinary else None
            if plain is None:
                feeder.feed(block)
            else:
                reader.texts += plain
        feeder.close()
    except (expat.ExpatError, LookupError, ValueError):
        pass  # each cell that asks for a text behind the damage is named
    return reader.texts


def _plain_texts(block: bytes) -> list[str] | None:
    """Return the texts of a block that holds nothing but plain ones; None when there is anything else in it."""
    parts = _PLAIN.split(block)
    if len(parts) == 1 or any(parts[::2]):
        return None
    try:
        together = b"<".join(parts[1::2]).decode()
    except UnicodeDecodeError:
        return None
    return [plain_text(text) for text in together.split("<")] if together.isprintable() else None


class _TextReader:
    """Collects the texts of a table of shared strings."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._depth = 0
        self._pieces: list[str] = []
        self._phonetic = 0
        self._inside = False
        self.parser = plain_parser(self._start, self._end, self._text)

    @property
    def among_texts(self) -> bool:
        """Whether the next thing expected is a text of the list."""
        return self._depth == 1

    def _start(self, name: str, _: dict[str, str]) -> None:
        self._depth += 1
        local = name.rpartition(" ")[2]
        if local == "t":
            self._inside = self._phonetic == 0
        elif local == "si":
            self._pieces = []
        elif local == "rPh":
            self._phonetic += 1

    def _end(self, name: str) -> None:
        self._depth -= 1
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
    """Which cell formats show dates or percentages."""

    dates: frozenset[int] = frozenset()
    """Formats that show dates or times, by their place."""
    lapses: frozenset[int] = frozenset()
    """Those of them that show spans of time."""
    percentages: frozenset[int] = frozenset()
    """Formats that show shares as percentages."""
    since_1904: bool = False
    """Do dates count from 1904?"""

    @cached_property
    def telling(self) -> frozenset[int]:
        """Formats that say what a number is."""
        return self.dates | self.percentages

    def shown(self, value: Any, style: int) -> Any:
        """Return a number as its format shows it: a date or a percentage where that is one."""
        if not isinstance(value, float) or style not in self.telling:
            return value
        if style in self.percentages:
            return percentage_of(value)
        return date_of(value, since_1904=self.since_1904, lapse=style in self.lapses)


def read_formats(package: Package, part: str, *, since_1904: bool) -> Formats:
    """Return which of the workbook's cell formats show dates or percentages."""
    codes: dict[int, str] = {}
    used: list[int] = []
    for around, name, said in package.elements(part):
        if name == "numFmt":
            codes[_number(said.get("numFmtId"))] = said.get("formatCode", "")
        elif (around, name) == ("cellXfs", "xf"):
            used.append(_number(said.get("numFmtId")))

    def places(shows: Callable[[str], bool], without_definition: frozenset[int]) -> frozenset[int]:
        numbers = {number for number, code in codes.items() if shows(code)} | (without_definition - codes.keys())
        return frozenset(place for place, number in enumerate(used) if number in numbers)

    percentages = places(is_percent_format, PERCENTAGES)
    return Formats(places(is_date_format, DATES), places(shows_lapse, _LAPSES), percentages, since_1904)


def _number(text: str | None) -> int:
    return int(text) if text and re.fullmatch(r"[0-9]{1,9}", text.strip()) else 0
