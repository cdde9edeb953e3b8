"""Workbook bytes that repeat: the same content gives the same file, whenever and wherever it is written.

openpyxl writes XML with lxml where that is installed and with the standard library elsewhere; both spell the same
content differently, so each part is brought into its canonical form (W3C Canonical XML 2.0). The document's identifier
is a seal over all parts, by which the file is known as ours until another program saves it.
"""

import re
import zipfile
from collections.abc import Mapping
from io import BytesIO
from types import MappingProxyType
from typing import TYPE_CHECKING
from xml.etree.ElementTree import canonicalize
from xml.sax.saxutils import escape

from bodytest.files.own_files import CORE, SEAL, seal_of

if TYPE_CHECKING:
    from openpyxl import Workbook

NOTHING: Mapping[str, Mapping[str, float | str | bool]] = MappingProxyType({})
_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)
_STAMP = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(</dcterms)")
_FIXED_STAMP = rb"\g<1>2000-01-01T00:00:00Z\g<2>"


_XML_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_TYPE = "{http://www.w3.org/2001/XMLSchema-instance}type"


def workbook_bytes(workbook: "Workbook", stored: Mapping[str, Mapping[str, float | str | bool]] = NOTHING) -> bytes:
    """Return the workbook as ``.xlsx`` bytes without any time of writing in them.

    ``stored`` is what formulas come to, by sheet and cell, for programs that compute none themselves.
    """
    workbook.properties.identifier = SEAL
    written = BytesIO()
    workbook.save(written)
    with zipfile.ZipFile(written) as source:
        parts = {name: _repeatable(name, source.read(name)) for name in source.namelist()}
    for number, sheet in enumerate(workbook.sheetnames, start=1):
        if values := stored.get(sheet):
            place = f"xl/worksheets/sheet{number}.xml"
            parts[place] = _with_stored(parts[place], values)
    parts[CORE] = parts[CORE].replace(f">{SEAL}<".encode(), f">{seal_of(parts.items())}<".encode())
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as target:
        for name, content in parts.items():
            add_part(target, name, content)
    return packed.getvalue()


def add_part(target: zipfile.ZipFile, name: str, content: bytes) -> None:
    """Put a part into an archive without any time of writing."""
    entry = zipfile.ZipInfo(name, _ZIP_EPOCH)
    entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
    target.writestr(entry, content)


def _with_stored(part: bytes, values: Mapping[str, float | str | bool]) -> bytes:
    """Return the part of a sheet with the values behind its formulas, which openpyxl leaves empty."""

    def filled(found: re.Match[bytes]) -> bytes:
        value = values.get(found["cell"].decode())
        if value is None:
            return found[0]
        kind = {str: b' t="str"', bool: b' t="b"'}.get(type(value), b"")
        text = escape(value) if isinstance(value, str) else repr(int(value) if isinstance(value, bool) else value)
        return b"%b%b>%b<v>%b</v>" % (found["start"], kind, found["formula"], text.encode())

    return _FORMULA.sub(filled, part)


_FORMULA = re.compile(rb'(?P<start><c r="(?P<cell>[A-Z]+\d+)"[^>]*)>(?P<formula><f>[^<]*</f>)<v></v>')


def _repeatable(name: str, content: bytes) -> bytes:
    """Return a part without the time of writing, in canonical form where it is XML."""
    if not name.endswith((".xml", ".rels")):
        return content
    if name == CORE:
        content = _STAMP.sub(_FIXED_STAMP, content)
    text = canonicalize(content.decode("utf-8"), qname_aware_attrs={_TYPE})  # of our own making, so safe to parse
    return (_XML_HEAD + text).encode("utf-8")
