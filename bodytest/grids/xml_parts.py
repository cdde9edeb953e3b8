"""The XML parts of a zipped workbook, read in bounded memory, and refused when they are made to do harm."""

import zipfile
from collections.abc import Callable, Iterable, Iterator
from xml.parsers import expat

CHUNK = 1 << 18
LARGEST_TOTAL = 1 << 30
"""Bytes that all parts together may hold when unpacked; a million bars take about 0.4 × this."""
LARGEST_RATIO = 100
"""Times that a large file may shrink by packing; sheets of real readings shrink 5 to 30 times."""
RATIO_FROM = 4 << 20
"""Size from which the ratio is looked at."""
LARGEST_PIECE = 16 << 20
"""Bytes of one tag, comment or the like."""
_LONGEST_HELD = 4 << 20
"""Bytes without an end of an element, after which a piece is no longer held back for one."""
_DECLARATIONS = (b"<!DOCTYPE", b"<!ENTITY")


class HarmfulPart(Exception):
    """A part that unpacks without end or declares entities; the message says which, in a few words."""


def chunks(archive: zipfile.ZipFile, part: str | zipfile.ZipInfo) -> Iterator[bytes]:
    """Yield a part piece by piece, never more of it than the archive's list says.

    Raises:
        HarmfulPart: it declares entities.
    """
    tail = b""
    with archive.open(part) as stream:
        for chunk in iter(lambda: stream.read(CHUNK), b""):
            if any(mark in tail + chunk for mark in _DECLARATIONS):
                raise HarmfulPart("it declares entities, which no spreadsheet program does")
            tail = chunk[-16:]
            yield chunk


def blocks(pieces: Iterable[bytes], start: bytes, end: bytes) -> Iterator[bytes]:
    """Cut XML before the first element that begins with ``start`` and behind elements that ``end`` closes.

    >>> list(blocks([b"<a><b>1</b><b>2</", b"b><b>3</b></a>"], b"<b", b"</b>"))
    [b'<a>', b'<b>1</b>', b'<b>2</b><b>3</b>', b'</a>']
    """
    held, inside = b"", False
    for piece in pieces:
        held += piece
        if not inside and (first := held.find(start)) >= 0:
            inside = True
            yield held[:first]
            held = held[first:]
        cut = held.rfind(end) + len(end) if inside else 0
        if cut < len(end) and len(held) > _LONGEST_HELD:
            cut = len(held)
        if cut >= len(end):
            yield held[:cut]
            held = held[cut:]
    yield held


class Feeder:
    """Hands XML to a parser piece by piece and refuses single tags without end."""

    def __init__(self, parser: expat.XMLParserType) -> None:
        self.parser = parser
        parser.XmlDeclHandler = self._declared
        self.given = 0
        """Bytes handed over."""
        self.in_utf8 = True
        """Whether the bytes are UTF-8."""

    def feed(self, text: bytes) -> None:
        """Hand over the next piece.

        Raises:
            HarmfulPart: a tag or comment is so long that it would fill the memory.
        """
        self.parser.Parse(text, False)
        self.given += len(text)
        if self.given - max(self.parser.CurrentByteIndex, 0) > LARGEST_PIECE + len(text):
            raise HarmfulPart(f"one tag or comment in it is longer than {LARGEST_PIECE >> 20} MB")

    @property
    def between_tags(self) -> bool:
        """Whether all that was handed over is understood, so that no tag or comment is half read."""
        return self.parser.CurrentByteIndex == self.given

    def _declared(self, _version: str, encoding: str | None, _standalone: int) -> None:
        self.in_utf8 = encoding is None or encoding.lower() in ("utf-8", "us-ascii")

    def close(self) -> None:
        """Say that nothing follows."""
        self.parser.Parse(b"", True)


def feed(parser: expat.XMLParserType, part: Iterable[bytes]) -> None:
    """Parse a part piece by piece."""
    feeder = Feeder(parser)
    for chunk in part:
        feeder.feed(chunk)
    feeder.close()


Started = tuple[str, str, dict[str, str]]
"""Name of the element around, own name, attributes; all names without namespaces."""


def elements(part: Iterable[bytes]) -> Iterator[Started]:
    """Yield the elements of a part as they begin.

    >>> list(elements([b'<a xmlns="x"><b c="1"/></a>']))
    [('', 'a', {}), ('a', 'b', {'c': '1'})]
    """
    found: list[Started] = []
    path = [""]

    def start(name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(" ")[2]
        found.append((path[-1], local, {key.rpartition(" ")[2]: value for key, value in attributes.items()}))
        path.append(local)

    feeder = Feeder(plain_parser(start, lambda _: path.pop()))
    for chunk in part:
        feeder.feed(chunk)
        yield from found
        found.clear()
    feeder.close()


def plain_parser(
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], object],
    text: Callable[[str], None] | None = None,
    *,
    separator: str | None = " ",
) -> expat.XMLParserType:
    """Return an XML parser that tells of elements and joined text, and refuses declarations.

    ``separator`` stands between namespace and name of what it finds; None leaves prefixes as they are.
    """
    parser = expat.ParserCreate(namespace_separator=separator)
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text

    def refuse(*_: object) -> None:
        raise HarmfulPart("it declares entities, which no spreadsheet program does")

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    return parser


def check_archive(archive: zipfile.ZipFile, packed: int, read_later: frozenset[str]) -> None:
    """Look at the sizes of all XML parts and unpack those once that are not ``read_later``, without keeping them.

    Raises:
        HarmfulPart: they hold far more than ``packed`` bytes can, or see `chunks`.
    """
    parts = [info for info in archive.infolist() if info.filename.lower().endswith((".xml", ".rels"))]
    size = sum(info.file_size for info in parts)
    if size > LARGEST_TOTAL or (size > RATIO_FROM and size / max(packed, 1) > LARGEST_RATIO):
        raise HarmfulPart("it unpacks to far more than a sheet of readings can hold")
    for info in parts:
        if info.filename not in read_later:
            for _ in chunks(archive, info):
                pass
