"""The parts of an Office Open XML package and how they are linked: names in any case, targets of any form."""

import posixpath
import zipfile
from dataclasses import dataclass
from urllib.parse import unquote

from bodytest.grids.xml_parts import chunks, feed, plain_parser

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

    part: str
    """Name of that part."""
    sheets: list[BookSheet]
    """Its tables; chart sheets are none."""
    since_1904: bool
    """Do its dates count from 1904?"""
    links: dict[str, Link]
    """Its relationships."""

    def linked(self, kind: str) -> str | None:
        """Return the part that a relationship of a kind leads to."""
        return next((link.target for link in self.links.values() if link.kind == kind), None)


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
        folder, name = posixpath.split(part)
        found: dict[str, Link] = {}

        def start(element: str, attributes: dict[str, str]) -> None:
            if element.rpartition(" ")[2] == "Relationship" and attributes.get("TargetMode") != "External":
                kind = attributes.get("Type", "").rpartition("/")[2]
                found[attributes.get("Id", "").lower()] = Link(kind, _joined(folder, attributes.get("Target", "")))

        parser = plain_parser(" ")
        parser.StartElementHandler = start
        feed(parser, chunks(self.archive, self.the_member(posixpath.join(folder, "_rels", name + ".rels"))))
        return found

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
        links = self.links(start)
        sheets: list[BookSheet] = []
        epochs: list[bool] = []

        def element(name: str, attributes: dict[str, str]) -> None:
            local = name.rpartition(" ")[2]
            if local == "sheet":
                link = next((v for k, v in attributes.items() if k.rpartition(" ")[2] == "id"), "")
                found = links[link.lower()]
                if found.kind == "worksheet":
                    hidden = attributes.get("state", "visible") != "visible"
                    sheets.append(BookSheet(attributes.get("name", ""), found.target, hidden))
            elif local == "workbookPr":
                epochs.append(attributes.get("date1904") in ("1", "true"))

        parser = plain_parser(" ")
        parser.StartElementHandler = element
        feed(parser, chunks(self.archive, self.the_member(start)))
        return Book(start, sheets, any(epochs), links)


def _joined(folder: str, target: str) -> str:
    """Return the name of the part that a target means.

    >>> _joined("xl", "../xl/worksheets/sheet1.xml"), _joined("xl", "/xl/styles.xml"), _joined("xl", "./a%20b.xml")
    ('xl/worksheets/sheet1.xml', 'xl/styles.xml', 'xl/a b.xml')
    """
    path = posixpath.normpath(posixpath.join("/" + folder, unquote(target.replace("\\", "/"))))
    return path.lstrip("/")
