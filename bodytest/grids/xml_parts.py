"""The XML parts of a zipped workbook, read in bounded memory, and refused when they are made to do harm."""

import zipfile
from collections.abc import Iterator
from xml.parsers import expat

CHUNK = 1 << 20
LARGEST_PART = 1 << 30
"""Bytes that one part may hold when unpacked; a million bars take about 0.4 × this."""
LARGEST_RATIO = 250
"""Times that a large part may shrink by packing; sheets of real readings shrink 5 to 30 times."""
RATIO_FROM = 64 << 20
"""Size from which the ratio is looked at."""
_DECLARATIONS = (b"<!DOCTYPE", b"<!ENTITY")


class HarmfulPart(Exception):
    """A part that unpacks without end or declares entities; the message says which, in a few words."""


def chunks(archive: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """Yield a part piece by piece.

    Raises:
        HarmfulPart: it grows beyond all measure or declares entities.

    """
    packed = max(archive.getinfo(name).compress_size, 1)
    size, tail = 0, b""
    with archive.open(name) as part:
        for chunk in iter(lambda: part.read(CHUNK), b""):
            size += len(chunk)
            if size > LARGEST_PART or (size > RATIO_FROM and size / packed > LARGEST_RATIO):
                raise HarmfulPart("it unpacks to far more than a sheet of readings can hold")
            if any(mark in tail + chunk for mark in _DECLARATIONS):
                raise HarmfulPart("it declares entities, which no spreadsheet program does")
            tail = chunk[-16:]
            yield chunk


def feed(parser: expat.XMLParserType, part: Iterator[bytes]) -> None:
    """Parse a part piece by piece."""
    for chunk in part:
        parser.Parse(chunk, False)
    parser.Parse(b"", True)


def plain_parser() -> expat.XMLParserType:
    """Return an XML parser that joins text and refuses declarations."""
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse(*_: object) -> None:
        raise HarmfulPart("it declares entities, which no spreadsheet program does")

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    return parser


def check_archive(archive: zipfile.ZipFile, already_read: frozenset[str] = frozenset()) -> None:
    """Unpack every XML part once without keeping it.

    Raises:
        HarmfulPart: see `chunks`.

    """
    for info in archive.infolist():
        if info.filename.lower().endswith((".xml", ".rels")) and info.filename not in already_read:
            for _ in chunks(archive, info.filename):
                pass


def local_name(name: str) -> str:
    """Return an element's name without its prefix.

    >>> local_name("x:row"), local_name("row")
    ('row', 'row')
    """
    return name.rpartition(":")[2]
