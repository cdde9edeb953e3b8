"""Small changes in an XML part that leave every other byte as it was.

A workbook that is read and written by a general library loses what that library does not know (charts, pictures,
macros, newer kinds of rules, stored results of formulas). Here the places of elements are found with a parser, and
only the bytes at those places are exchanged.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from xml.parsers import expat
from xml.sax.saxutils import escape

from bodytest.grids.xml_parts import plain_parser

_TAG = re.compile(rb"""<(?:[^>"']|"[^"]*"|'[^']*')*>""")
_DECLARED = re.compile(rb"""^<\?xml[^>]*?encoding=["']([A-Za-z0-9._-]+)["'][^>]*\?>""")
UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass
class Element:
    """Where an element stands in the bytes of its part."""

    name: str
    """Name without prefix."""
    prefix: str
    """Prefix with its colon, or ``""``."""
    attributes: dict[str, str]
    """Attributes as written."""
    depth: int
    """0 for the root."""
    start: int
    """Where its start tag begins."""
    start_tag_end: int
    """Where its start tag ends."""
    end: int = -1
    """Where it ends; set when its end has been seen."""
    children: list["Element"] = field(default_factory=list)
    """Child elements, where they were collected."""

    @property
    def is_empty_tag(self) -> bool:
        """Tell whether it is written as one tag, ``<name/>``."""
        return self.end == self.start_tag_end


@dataclass(frozen=True)
class Edit:
    """Bytes to put in place of others."""

    start: int
    """First byte that goes."""
    end: int
    """First byte that stays."""
    put: bytes
    """What comes instead."""


def as_utf8(content: bytes) -> bytes:
    """Return the part in UTF-8, which almost all are already."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        content = content.decode("utf-16").encode("utf-8")
    elif content.startswith(b"\xef\xbb\xbf"):
        content = content[3:]
    declared = _DECLARED.match(content)
    if declared is None:
        return content
    encoding = declared.group(1).decode("ascii").lower()
    if encoding not in ("utf-8", "us-ascii", "ascii", "utf-16"):
        content = content.decode(encoding).encode("utf-8")
    return re.sub(rb"""encoding=["'][^"']*["']""", b'encoding="UTF-8"', content[:200], count=1) + content[200:]


def walk(content: bytes, on_start: Callable[[Element], None], on_end: Callable[[Element], None]) -> None:
    """Call back for every element with its place; ``content`` is UTF-8."""
    opened: list[Element] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        at = parser.CurrentByteIndex
        tag = _TAG.match(content, at)
        if tag is None:
            raise expat.ExpatError(f"no tag at byte {at}")
        prefix, colon, local = name.rpartition(":")
        element = Element(local, prefix + colon, attributes, len(opened), at, tag.end())
        opened.append(element)
        on_start(element)

    def end(_: str) -> None:
        element = opened.pop()
        written_as_one = content[element.start_tag_end - 2 : element.start_tag_end] == b"/>"
        closing = None if written_as_one else _TAG.match(content, parser.CurrentByteIndex)
        element.end = closing.end() if closing else element.start_tag_end
        on_end(element)

    parser = plain_parser(start, end, separator=None)
    parser.Parse(content, True)


def tree(content: bytes) -> Element:
    """Return the root with all elements under it."""
    opened: list[Element] = []
    roots: list[Element] = []

    def start(element: Element) -> None:
        (opened[-1].children if opened else roots).append(element)
        opened.append(element)

    def end(_: Element) -> None:
        opened.pop()

    walk(content, start, end)
    return roots[0]


def child(element: Element, name: str) -> Element | None:
    """Return the first child of this name."""
    return next((c for c in element.children if c.name == name), None)


def needed(element: Element, name: str) -> Element:
    """Return the first child of this name.

    Raises:
        KeyError: there is none.
    """
    found = child(element, name)
    if found is None:
        raise KeyError(name)
    return found


def spliced(content: bytes, edits: Iterable[Edit]) -> bytes:
    """Return the content with all edits made; edits at one place are made in the order given."""
    pieces, at = [], 0
    for edit in sorted(edits, key=lambda e: (e.start, e.end)):
        pieces += [content[at : edit.start], edit.put]
        at = edit.end
    return b"".join([*pieces, content[at:]])


def appended(content: bytes, element: Element, inner: bytes) -> Edit:
    """Return the edit that adds ``inner`` as the last child."""
    if not element.is_empty_tag:
        at = content.rindex(b"</", element.start_tag_end, element.end)
        return Edit(at, at, inner)
    name = f"{element.prefix}{element.name}".encode()
    return Edit(element.start_tag_end - 2, element.start_tag_end, b">" + inner + b"</" + name + b">")


def prepended(content: bytes, element: Element, inner: bytes) -> Edit:
    """Return the edit that adds ``inner`` as the first child."""
    if element.is_empty_tag:
        return appended(content, element, inner)
    return Edit(element.start_tag_end, element.start_tag_end, inner)


def attribute_set(content: bytes, element: Element, name: str, value: str) -> Edit:
    """Return the edit that sets one attribute of an element."""
    tag = content[element.start : element.start_tag_end]
    return Edit(element.start, element.start_tag_end, with_attribute(tag, name, value))


def with_attribute(tag: bytes, name: str, value: str) -> bytes:
    """Return a start tag with one attribute set.

    >>> with_attribute(b'<c r="A1" s="3"/>', "s", "7"), with_attribute(b"<c>", "s", "7")
    (b'<c r="A1" s="7"/>', b'<c s="7">')
    """
    written = f'{name}="{escape(value, {chr(34): "&quot;"})}"'.encode()
    pattern = re.compile(rb"(?<=\s)" + re.escape(name.encode()) + rb"""\s*=\s*("[^"]*"|'[^']*')""")
    if pattern.search(tag):
        return pattern.sub(lambda _: written, tag, count=1)
    closing = 2 if tag.endswith(b"/>") else 1
    return tag[:-closing].rstrip() + b" " + written + tag[-closing:]


def xml_text(text: str) -> str:
    """Return text that can stand in XML: marks escaped, characters that XML forbids replaced by �."""
    return escape(UNWRITABLE.sub("�", text), {'"': "&quot;"})
