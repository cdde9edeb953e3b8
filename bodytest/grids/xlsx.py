"""Workbooks of Excel's kind, read as data; macros and links are never followed."""

import functools
import io
import zipfile

from bodytest.grids.filling import Filling
from bodytest.grids.grid import Grid
from bodytest.grids.package import Book, Package
from bodytest.grids.workbook_parts import Formats, read_formats, read_texts
from bodytest.grids.worksheet import read_rows
from bodytest.grids.xml_parts import check_archive, chunks


def read_xlsx(content: bytes) -> list[Grid]:
    """Read every table of an .xlsx or .xlsm workbook.

    Raises:
        HarmfulPart: the file is made to do harm, or holds more than can be held.
        Exception: zipfile's and expat's own, or KeyError, when the file is damaged.
    """
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        package = Package(archive)
        book = package.book()
        members = {sheet.part: package.members(sheet.part) for sheet in book.sheets}
        later = {info.filename for infos in members.values() for info in infos}
        check_archive(archive, len(content), frozenset(later))
        formats = _formats(package, book)
        texts = functools.cache(lambda: _texts(package, book))
        grids = []
        for sheet in book.sheets:
            filling = Filling(sheet.name)
            for member in members[sheet.part]:
                read_rows(chunks(archive, member), filling, texts, formats)
            grids.append(filling.finish(hidden=sheet.hidden))
        return grids


def _formats(package: Package, book: Book) -> Formats:
    part = book.linked.get("styles")
    if part is None or not package.holds(part):
        return Formats(since_1904=book.since_1904)
    return read_formats(package, part, since_1904=book.since_1904)


def _texts(package: Package, book: Book) -> list[str]:
    """Return the shared texts; none where the file keeps none, so that cells which ask for one are named."""
    part = book.linked.get("sharedStrings")
    return read_texts(package, package.the_member(part)) if part is not None and package.holds(part) else []
