"""Workbook bytes that repeat: the same content gives the same file, whenever and wherever it is written.

openpyxl writes XML with lxml where that is installed and with the standard library elsewhere; both spell the same
content differently, so each part is brought into its canonical form (W3C Canonical XML 2.0). The document's identifier
is a seal over all parts, by which the file is known as ours until another program saves it.
"""

import re
import zipfile
from io import BytesIO
from typing import TYPE_CHECKING
from xml.etree.ElementTree import canonicalize

from bodytest.files.own_files import CORE, SEAL, seal_of

if TYPE_CHECKING:
    from openpyxl import Workbook

_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)
_STAMP = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(</dcterms)")
_FIXED_STAMP = rb"\g<1>2000-01-01T00:00:00Z\g<2>"


_XML_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_TYPE = "{http://www.w3.org/2001/XMLSchema-instance}type"


def workbook_bytes(workbook: "Workbook") -> bytes:
    """Return the workbook as ``.xlsx`` bytes without any time of writing in them."""
    workbook.properties.identifier = SEAL
    written = BytesIO()
    workbook.save(written)
    with zipfile.ZipFile(written) as source:
        parts = {name: _repeatable(name, source.read(name)) for name in source.namelist()}
    parts[CORE] = parts[CORE].replace(f">{SEAL}<".encode(), f">{seal_of(parts.items())}<".encode())
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as target:
        for name, content in parts.items():
            entry = zipfile.ZipInfo(name, _ZIP_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            target.writestr(entry, content)
    return packed.getvalue()


def _repeatable(name: str, content: bytes) -> bytes:
    """Return a part without the time of writing, in canonical form where it is XML."""
    if name == CORE:
        content = _STAMP.sub(_FIXED_STAMP, content)
    return _canonical(content) if name.endswith((".xml", ".rels")) else content


def _canonical(part: bytes) -> bytes:
    """Return the part in canonical form; it was written by ourselves a moment ago, so parsing it is safe."""
    text = canonicalize(part.decode("utf-8"), qname_aware_attrs={_TYPE})
    return (_XML_HEAD + text).encode("utf-8")
