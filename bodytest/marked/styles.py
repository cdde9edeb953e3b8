"""The style part of a workbook with the colours for marked cells added; styles that are there keep their numbers."""

from dataclasses import dataclass, field, replace

from bodytest.findings import Level
from bodytest.marked.xml_splice import Element, appended, attribute_set, needed, spliced, tree, with_attribute

LEVEL_COLOURS: dict[Level, str] = {"stop": "FFF8B4A6", "ask": "FFFCE08A", "note": "FFC9DDF2"}
"""ARGB fill of a cell by the most serious finding about it."""
LEVEL_WORDS: dict[Level, str] = {"stop": "MEND", "ask": "LOOK AT", "note": "NOTE"}
"""The word beside the colour."""
MINIMAL = (
    b'<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    b'<fonts count="1"><font><sz val="11"/><name val="Calibri"/></font></fonts>'
    b'<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill>'
    b'</fills><borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    b'<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    b'<cellXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/></cellXfs>'
    b'<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)
"""For workbooks that come without a style part."""


@dataclass
class _List:
    """One counted list of the style part, e.g. the fills."""

    element: Element
    added: list[bytes] = field(default_factory=list)

    def add(self, item: bytes) -> int:
        self.added.append(item)
        return len(self.element.children) + len(self.added) - 1


class StyleBook:
    """Hands out numbers of new styles, and at the end the part with all of them."""

    def __init__(self, content: bytes) -> None:
        """Read the style part.

        Raises:
            KeyError: it lacks a list that every style part has.
        """
        self._content = content
        root = tree(content)
        self._prefix = root.prefix
        self._lists = {name: _List(needed(root, name)) for name in ("fonts", "fills", "cellXfs")}
        self._fills = {level: self._add("fills", self._fill(colour)) for level, colour in LEVEL_COLOURS.items()}
        self._marked: dict[tuple[int, Level], int] = {}

    def marked(self, style: int, level: Level) -> int:
        """Return the style that is like ``style`` but for its colour."""
        if (style, level) not in self._marked:
            self._marked[style, level] = self._lists["cellXfs"].add(self._recoloured(style, level))
        return self._marked[style, level]

    def heading(self) -> int:
        """Return a new style of bold text."""
        return self._text_style(self._font('<{p}b/><{p}sz val="11"/>'))

    def title(self) -> int:
        """Return a new style of large bold text that does not wrap."""
        return self._text_style(self._font('<{p}b/><{p}sz val="14"/>'), wrap=False)

    def link(self) -> int:
        """Return a new style of text that shows as a link."""
        return self._text_style(self._font('<{p}u/><{p}sz val="11"/><{p}color rgb="FF1F4E9C"/>'))

    def text(self, level: Level | None = None, *, wrap: bool = True) -> int:
        """Return a new style of wrapped text, coloured by level."""
        return self._text_style(self._font('<{p}sz val="11"/>'), fill=self._fills[level] if level else 0, wrap=wrap)

    def content(self) -> bytes:
        """Return the part with everything that was added."""
        edits = []
        for counted in self._lists.values():
            element = counted.element
            if not counted.added:
                continue
            total = len(element.children) + len(counted.added)
            counts = attribute_set(self._content, element, "count", str(total))
            items = b"".join(counted.added)
            if element.is_empty_tag:
                closing = f"</{element.prefix}{element.name}>".encode()
                edits.append(replace(counts, put=counts.put[:-2] + b">" + items + closing))
            else:
                edits += [counts, appended(self._content, element, items)]
        return spliced(self._content, edits)

    def _add(self, name: str, item: str) -> int:
        return self._lists[name].add(item.format(p=self._prefix).encode())

    def _fill(self, colour: str) -> str:
        colours = '<{p}fgColor rgb="' + colour + '"/><{p}bgColor indexed="64"/>'
        return '<{p}fill><{p}patternFill patternType="solid">' + colours + "</{p}patternFill></{p}fill>"

    def _font(self, inner: str) -> int:
        return self._add("fonts", "<{p}font>" + inner + '<{p}name val="Calibri"/></{p}font>')

    def _text_style(self, font: int, *, fill: int = 0, wrap: bool = True) -> int:
        wrapping = ' wrapText="1"' if wrap else ""
        return self._add(
            "cellXfs",
            f'<{{p}}xf numFmtId="49" fontId="{font}" fillId="{fill}" borderId="0" xfId="0" applyFont="1" applyFill="1"'
            f' applyAlignment="1"><{{p}}alignment vertical="top"{wrapping}/></{{p}}xf>',
        )

    def _recoloured(self, style: int, level: Level) -> bytes:
        known = self._lists["cellXfs"].element.children
        if style >= len(known):
            bare = (
                f'<{self._prefix}xf numFmtId="0" fontId="0" fillId="{self._fills[level]}" borderId="0" applyFill="1"/>'
            )
            return bare.encode()
        element = known[style]
        tag = self._content[element.start : element.start_tag_end]
        tag = with_attribute(with_attribute(tag, "fillId", str(self._fills[level])), "applyFill", "1")
        return tag + self._content[element.start_tag_end : element.end]
