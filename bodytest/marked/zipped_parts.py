"""A zipped workbook as its parts: some are exchanged or added, all others are carried over byte by byte."""

import io
import zipfile
from dataclasses import dataclass

from bodytest.files.fixed_zip import add_part
from bodytest.grids.package import links_of, target_of
from bodytest.marked.xml_splice import appended, as_utf8, prepended, spliced, tree, xml_text

RELATIONSHIPS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE_RELATIONSHIPS = "http://schemas.openxmlformats.org/package/2006/relationships"
_NO_RELATIONS = f'<Relationships xmlns="{_PACKAGE_RELATIONSHIPS}"></Relationships>'.encode()
_DRAWING = "application/vnd.openxmlformats-officedocument.vmlDrawing"


@dataclass(frozen=True)
class Relation:
    """A link from one part to another."""

    key: str
    """Its id within the part."""
    kind: str
    """Last word of its type: worksheet, comments, vmlDrawing …"""
    part: str
    """Name of the part it points to."""


class Package:
    """The parts of one workbook."""

    def __init__(self, content: bytes) -> None:
        self._archive = zipfile.ZipFile(io.BytesIO(content))
        self._changed: dict[str, bytes] = {}
        self.names = set(self._archive.namelist())
        """Names of all parts."""

    def part(self, name: str) -> bytes:
        """Return a part as it stands now, in UTF-8."""
        return self._changed[name] if name in self._changed else as_utf8(self._archive.read(name))

    def put(self, name: str, content: bytes) -> None:
        """Exchange or add a part."""
        self._changed[name] = content
        self.names.add(name)

    def free_name(self, pattern: str) -> str:
        """Return a part name that is not taken; ``pattern`` holds ``{}`` for a number."""
        number = 1
        taken = {name.lower() for name in self.names}
        while pattern.format(number).lower() in taken:
            number += 1
        return pattern.format(number)

    def relations(self, part: str) -> list[Relation]:
        """Return the links of a part."""
        name = links_of(part)
        if name not in self.names:
            return []
        return [
            Relation(
                link.attributes.get("Id", ""),
                link.attributes.get("Type", "").rpartition("/")[2],
                target_of(part, link.attributes.get("Target", "")),
            )
            for link in tree(self.part(name)).children
        ]

    def relate(self, part: str, kind: str, target: str) -> str:
        """Add a link from a part to another and return its id."""
        name = links_of(part)
        content = self.part(name) if name in self.names else _NO_RELATIONS
        root = tree(content)
        taken = {link.attributes.get("Id") for link in root.children}
        number = len(taken) + 1
        while f"rId{number}" in taken:
            number += 1
        link = (
            f'<{root.prefix}Relationship Id="rId{number}" Type="{RELATIONSHIPS}/{kind}" Target="/{xml_text(target)}"/>'
        )
        self.put(name, spliced(content, [appended(content, root, link.encode())]))
        return f"rId{number}"

    def declare(self, *, part: str, content_type: str) -> None:
        """State what kind of content a part holds."""
        content = self.part("[Content_Types].xml")
        root = tree(content)
        override = f'<{root.prefix}Override PartName="/{xml_text(part)}" ContentType="{content_type}"/>'
        self.put("[Content_Types].xml", spliced(content, [appended(content, root, override.encode())]))

    def declare_drawings(self) -> None:
        """State what kind of content drawings of notes hold, by their ending, unless that is stated already."""
        content = self.part("[Content_Types].xml")
        root = tree(content)
        known = {entry.attributes.get("Extension", "").lower() for entry in root.children if entry.name == "Default"}
        if "vml" not in known:
            default = f'<{root.prefix}Default Extension="vml" ContentType="{_DRAWING}"/>'
            self.put("[Content_Types].xml", spliced(content, [prepended(content, root, default.encode())]))

    def content(self) -> bytes:
        """Return the workbook; parts that were not changed keep their bytes, order and times."""
        written = io.BytesIO()
        with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as target:
            for info in self._archive.infolist():
                content = self._changed.get(info.filename)
                kept = zipfile.ZipInfo(info.filename, info.date_time)
                kept.compress_type, kept.external_attr = zipfile.ZIP_DEFLATED, info.external_attr
                target.writestr(kept, self._archive.read(info) if content is None else content)
            known = set(self._archive.namelist())
            for name in sorted(self._changed.keys() - known):
                add_part(target, name, self._changed[name])
        return written.getvalue()
