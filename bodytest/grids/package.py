"""The parts of an Office Open XML package and how they are linked: names in any case, targets of any form."""

import posixpath
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote

from bodytest.grids.xml_parts import Started, chunks, elements

_FALLBACK = "xl/workbook.xml"


@dataclass(frozen=True)
class Link:
    """One relationship of a part."""

    kind: str
    """Last word of its type: worksheet, sharedStrings, styles …"""
    target: str
    """Name of the part it leads to."""


@dataclass(frozen=True)
class BookSheet:
    """One table as the workbook lists it."""

    name: str
    """Its name."""
    part: str
    """Name of its part."""
    hidden: bool
    """Is it hidden?"""


@dataclass(frozen=True)
class Book:
    """What the workbook's own part says."""

    sheets: list[BookSheet]
    """Its tables; chart sheets are none."""
    since_1904: bool
    """Do its dates count from 1904?"""
    linked: dict[str, str]
    """Kind of a relationship → the part that the first of that kind leads to."""


class Package:
    """A zip archive whose parts are found whatever the case of their names."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive = archive
        self._parts: dict[str, list[zipfile.ZipInfo]] = {}
        for info in archive.infolist():
            self._parts.setdefault(info.filename.replace("\\", "/").lower(), []).append(info)

    def holds(self, name: str) -> bool:
        """Tell whether there is a part of a name."""
        return name.lower() in self._parts

    def members(self, name: str) -> list[zipfile.ZipInfo]:
        """Return what the archive holds by a name: one part; several where it was put in more than once.

        Raises:
            KeyError: none.
        """
        return self._parts[name.lower()]

    def the_member(self, name: str) -> zipfile.ZipInfo:
        """Return the one part of a name.

        Raises:
            KeyError: there is none, or there are several that differ.
        """
        first, *others = self.members(name)
        if any((first.CRC, first.file_size) != (other.CRC, other.file_size) for other in others):
            raise KeyError(name)
        return first

    def links(self, part: str) -> dict[str, Link]:
        """Return a part's relationships by their lower-case id."""
        return {
            link.get("Id", "").lower(): Link(
                link.get("Type", "").rpartition("/")[2], target_of(part, link.get("Target", ""))
            )
            for _, element, link in self.elements(links_of(part))
            if element == "Relationship" and link.get("TargetMode") != "External"
        }

    def elements(self, name: str) -> Iterator[Started]:
        """Yield the elements of the one part of a name; see `bodytest.grids.xml_parts.elements`."""
        return elements(chunks(self.archive, self.the_member(name)))

    def book(self) -> Book:
        """Return what the workbook's own part says.

        Raises:
            KeyError: there is none.
        """
        try:
            start = next(link.target for link in self.links("").values() if link.kind == "officeDocument")
            self.members(start)
        except (KeyError, StopIteration):
            start = _FALLBACK
        links, found = self.links(start), list(self.elements(start))
        sheets = [
            BookSheet(sheet.get("name", ""), link.target, sheet.get("state", "visible") != "visible")
            for _, name, sheet in found
            if name == "sheet" and (link := links[sheet.get("id", "").lower()]).kind == "worksheet"
        ]
        since_1904 = any(name == "workbookPr" and said.get("date1904") in ("1", "true") for _, name, said in found)
        return Book(sheets, since_1904, {link.kind: link.target for link in reversed(links.values())})


def links_of(part: str) -> str:
    """Return the name of the part that holds another one's relationships."""
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def target_of(part: str, target: str) -> str:
    """Return the name of the part that a target in the relationships of a part means.

    >>> [target_of("xl/book.xml", target) for target in ("../xl/worksheets/a.xml", "/xl/styles.xml", "./a%20b.xml")]
    ['xl/worksheets/a.xml', 'xl/styles.xml', 'xl/a b.xml']
    """
    folder = posixpath.dirname("/" + part)
    return posixpath.normpath(posixpath.join(folder, unquote(target.replace("\\", "/")))).lstrip("/")
