"""Workbook bytes that repeat: the same content gives the same file, whenever and wherever it is written.

openpyxl writes XML with lxml where that is installed and with the standard library elsewhere; both spell the same
content differently, so each part is brought into its canonical form (W3C Canonical XML 2.0).
"""

import re
import zipfile
from io import BytesIO
from typing import TYPE_CHECKING
from xml.etree.ElementTree import canonicalize

if TYPE_CHECKING:
    from openpyxl import Workbook

_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)
_STAMP = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(</dcterms)")
_FIXED_STAMP = rb"\g<1>2000-01-01T00:00:00Z\g<2>"


_XML_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_TYPE = "{http://www.w3.org/2001/XMLSchema-instance}type"


def workbook_bytes(workbook: "Workbook") -> bytes:
    """Return the workbook as ``.xlsx`` bytes without any time of writing in them."""
    written = BytesIO()
    workbook.save(written)
    repeatable = BytesIO()
    with (
        zipfile.ZipFile(written) as source,
        zipfile.ZipFile(repeatable, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as target,
    ):
        for name in source.namelist():
            content = source.read(name)
            if name == "docProps/core.xml":
                content = _STAMP.sub(_FIXED_STAMP, content)
            if name.endswith((".xml", ".rels")):
                content = _canonical(content)
            entry = zipfile.ZipInfo(name, _ZIP_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            target.writestr(entry, content)
    return repeatable.getvalue()


def _canonical(part: bytes) -> bytes:
    """Return the part in canonical form; it was written by ourselves a moment ago, so parsing it is safe."""
    text = canonicalize(part.decode("utf-8"), qname_aware_attrs={_TYPE})
    return (_XML_HEAD + text).encode("utf-8")
