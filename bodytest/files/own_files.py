"""Which files bodytest wrote: each carries a mark inside, and a workbook a seal that breaks when it is saved again."""

import hashlib
import re
import zipfile
import zlib
from collections.abc import Iterable
from pathlib import Path

CSV_HEAD = "body,firing,direction,absorption_method,cone,peak_temperature_c,atmosphere,batch,bars,quantity,"
"""How results.csv begins."""
SVG_MARK = "<!-- drawn by bodytest -->"
"""Second line of our drawings."""
CORE = "docProps/core.xml"
"""Part of a workbook that holds its seal."""
SEAL = "bodytest:"
"""How a seal begins; the hash of all other parts follows."""
_HEAD, _TAIL = 4096, 262_144
"""Bytes looked at."""
_MOST = 1 << 29
"""A workbook that unpacks to more bytes was not made here."""
_MARKS = (
    re.compile(rb'\s*\{\s*"format"\s*:\s*"bodytest [a-z ]+"'),
    re.compile(rb'<!doctype html>.{0,600}?<meta name="generator" content="bodytest \d', re.DOTALL),
    re.compile(re.escape(CSV_HEAD.encode())),
    re.compile(rb"<\?xml[^>]*\?>\s*" + re.escape(SVG_MARK.encode())),
)
_PDF_MARK = b"/Creator (bodytest)"
_DAMAGE = (KeyError, ValueError, EOFError, RuntimeError, zipfile.BadZipFile, zlib.error)


def is_ours(path: Path) -> bool:
    """Say whether bodytest wrote the file; a workbook that was saved by another program since is not ours."""
    with path.open("rb") as file:
        head = file.read(_HEAD)
        if head.startswith(b"PK"):
            return _seal_holds(path)
        if head.startswith(b"%PDF"):
            file.seek(max(0, path.stat().st_size - _TAIL))
            tail = file.read()
            return _PDF_MARK in tail and tail.count(b"%%EOF") == 1
    return any(mark.match(head) for mark in _MARKS)


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


def _seal_holds(path: Path) -> bool:
    try:
        with zipfile.ZipFile(path) as archive:
            infos = archive.infolist()
            if sum(info.file_size for info in infos) > _MOST or SEAL.encode() not in archive.read(CORE):
                return False
            seal = seal_of((info.filename, archive.read(info)) for info in infos)
            return f">{seal}<".encode() in archive.read(CORE)
    except _DAMAGE:
        return False
