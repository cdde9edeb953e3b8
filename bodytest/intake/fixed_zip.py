"""Workbook bytes that repeat: the same content gives the same file, whenever it is written."""

import re
import zipfile
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from openpyxl import Workbook

_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)
_STAMP = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(</dcterms)")
_FIXED_STAMP = rb"\g<1>2000-01-01T00:00:00Z\g<2>"


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
            entry = zipfile.ZipInfo(name, _ZIP_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            target.writestr(entry, content)
    return repeatable.getvalue()
