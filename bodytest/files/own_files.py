"""Which files bodytest wrote: each carries a seal over all else in it, which breaks when somebody changes the file."""

import hashlib
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from bodytest.files.inputs import opened

CORE = "docProps/core.xml"
"""Part of a workbook that holds its seal."""
SEAL = "bodytest:"
"""How a seal begins; the hash of all else in the file follows."""
_WHOLE_SEAL = re.compile(re.escape(SEAL.encode()) + rb"[0-9a-f]{64}")
_HEAD, _TAIL, _PIECE = 4096, 1024, 1 << 20
"""Bytes looked at: at the beginning, at the end, at a time."""
_MOST = 1 << 29
"""A workbook that unpacks to more bytes was not made here."""
_UNSEALED = (
    re.compile(rb'\{\s*"format": "bodytest files"'),
    re.compile(rb'\{\s*"format": "bodytest results",\s*"version": 1,\s*"software": "bodytest 1\.0'),
    re.compile(rb'<!doctype html>.{0,600}?<meta name="generator" content="bodytest 1\.0', re.DOTALL),
    re.compile(
        rb"body,firing,direction,absorption_method,cone,peak_temperature_c,atmosphere,batch,bars,quantity,[a-z_,]*"
        rb"wet_size_factor,wet_size_factor_low,wet_size_factor_high\n"
    ),
)
"""How files without a seal begin: the list of a report's files, and those of version 1.0."""
_DAMAGE = (KeyError, ValueError, EOFError, RuntimeError, zipfile.BadZipFile, zlib.error)


@dataclass(frozen=True)
class Place:
    """Where the seal of a kind of file stands: in front of how the file ends, with something before and after it."""

    ending: bytes
    before: bytes
    after: bytes


IN_JSON = Place(b"\n}\n", b',\n "seal": "', b'"')
IN_CSV = Place(b"\n", b"", b"")
"""The last cell of the last row."""
IN_HTML = Place(b"</html>", b"<!-- ", b" -->\n")
IN_SVG = Place(b"</svg>", b"<!-- ", b" -->\n")
IN_PDF = Place(b"startxref", b"% ", b"\n")


def sealed(content: Iterable[bytes], place: Place) -> Iterator[bytes]:
    """Yield a document piece by piece with its seal; its ending stands in the last piece.

    >>> b"".join(sealed([b"<svg>", b"</svg>"], IN_SVG))[:24]
    b'<svg><!-- bodytest:704a5'
    """
    digest, last = hashlib.sha256(), b""
    for piece in content:
        digest.update(last)
        yield last
        last = piece
    body, ending, rest = last.rpartition(place.ending)
    before, after = body + place.before, place.after + ending + rest
    digest.update(before + after)
    yield before + SEAL.encode() + digest.hexdigest().encode() + after


def sealed_text(text: str, place: Place) -> str:
    """Return a whole text with its seal.

    >>> len(sealed_text("<svg></svg>", IN_SVG)) - len("<svg></svg>")
    83
    """
    return b"".join(sealed([text.encode()], place)).decode()


def is_ours(path: Path) -> bool:
    """Say whether bodytest wrote the file and nobody has changed it since; of version 1.0, whether it wrote it."""
    head = _head(path)
    return any(mark.match(head) for mark in _UNSEALED) or is_sealed(path)


def is_sealed(path: Path) -> bool:
    """Say whether a file has a seal that holds: nobody has changed it since bodytest wrote it."""
    return _workbook_seal_holds(path) if _head(path).startswith(b"PK") else _seal_holds(path)


def _head(path: Path) -> bytes:
    with opened(path) as file:
        return file.read(_HEAD)


def _seal_holds(path: Path) -> bool:
    with opened(path) as file:
        start = max(0, file.seek(0, 2) - _TAIL)
        file.seek(start)
        tail = file.read()
        seal = next(reversed(list(_WHOLE_SEAL.finditer(tail))), None)
        if seal is None:
            return False
        digest, left = hashlib.sha256(), start
        file.seek(0)
        while left > 0 and (piece := file.read(min(left, _PIECE))):
            digest.update(piece)
            left -= len(piece)
    digest.update(tail[: seal.start()] + tail[seal.end() :])
    return seal.group() == SEAL.encode() + digest.hexdigest().encode()


def seal_of(parts: Iterable[tuple[str, bytes]]) -> str:
    """Return the seal of a workbook with these parts.

    >>> seal_of([("xl/workbook.xml", b"<workbook/>")])[:17]
    'bodytest:0746f19d'
    """
    digest = hashlib.sha256()
    for name, content in sorted(parts):
        if name != CORE:
            digest.update(b"%s %d " % (name.encode(), len(content)))
            digest.update(content)
    return SEAL + digest.hexdigest()


def _workbook_seal_holds(path: Path) -> bool:
    try:
        with zipfile.ZipFile(path) as archive:
            infos = archive.infolist()
            if sum(info.file_size for info in infos) > _MOST or SEAL.encode() not in archive.read(CORE):
                return False
            seal = seal_of((info.filename, archive.read(info)) for info in infos)
            return f">{seal}<".encode() in archive.read(CORE)
    except _DAMAGE:
        return False
