"""Pages drawn to scale: lines and texts in millimetres, and the same as SVG."""

from dataclasses import dataclass, field, replace
from html import escape
from typing import Literal

from bodytest.files.own_files import IN_SVG, sealed_text
from bodytest.shown import visible

Anchor = Literal["start", "middle", "end"]
GREY = "#666"
"""Of quiet texts."""


@dataclass(frozen=True)
class Line:
    """A straight line."""

    x1: float
    """Beginning, mm from the left edge of the page."""
    y1: float
    """Beginning, mm from the top."""
    x2: float
    """End, mm from the left."""
    y2: float
    """End, mm from the top."""
    width: float = 0.15
    """Thickness, mm."""
    dashed: bool = False
    """Whether it is broken into dashes."""


@dataclass(frozen=True)
class Text:
    """One line of text."""

    x: float
    """Anchor, mm from the left."""
    y: float
    """Baseline, mm from the top."""
    text: str
    """What it says."""
    size: float = 2.6
    """Height of the letters' em, mm."""
    anchor: Anchor = "start"
    """Which part of the text stands at ``x``."""
    bold: bool = False
    """Whether it is bold."""
    quiet: bool = False
    """Whether it is grey."""


@dataclass(frozen=True)
class Page:
    """A sheet of paper with what is drawn on it."""

    width: float
    """mm."""
    height: float
    """mm."""
    title: str
    """What it is, for readers of the file."""
    lines: list[Line] = field(default_factory=list)
    """Lines, in the order drawn."""
    texts: list[Text] = field(default_factory=list)
    """Texts, over the lines."""

    def box(self, left: float, top: float, right: float, bottom: float, width: float) -> None:
        """Draw a rectangle in lines of that thickness."""
        for y in (top, bottom):
            self.lines.append(Line(left, y, right, y, width))
        for x in (left, right):
            self.lines.append(Line(x, top, x, bottom, width))


def fitted(text: Text, room: float) -> Text:
    """Return the text in letters small enough for ``room`` mm (0.6 em for each letter, wide for most fonts)."""
    wanted = 0.6 * text.size * len(text.text)
    size = text.size if wanted <= room else text.size * room / wanted
    return replace(text, size=size)


def to_svg(page: Page) -> str:
    """Return the page as SVG whose units are millimetres, so that it prints to scale at 100 %."""
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{page.width:g}mm" height="{page.height:g}mm"'
        f' viewBox="0 0 {page.width:g} {page.height:g}" role="img">',
        f"<title>{escape(visible(page.title))}</title>",
        f'<rect width="{page.width:g}" height="{page.height:g}" fill="#fff"/>',
        '<g stroke="#000" fill="none" stroke-linecap="butt">',
        *(_svg_line(line) for line in page.lines),
        "</g>",
        '<g fill="#000" font-family="DejaVu Sans, Arial, Helvetica, sans-serif">',
        *(_svg_text(text) for text in page.texts),
        "</g>",
        "</svg>",
    ]
    return sealed_text("\n".join([*parts, ""]), IN_SVG)


def _svg_line(line: Line) -> str:
    ends = " ".join(f'{name}="{getattr(line, name):.4f}"' for name in ("x1", "y1", "x2", "y2"))
    dash = ' stroke-dasharray="1.5 1"' if line.dashed else ""
    return f'<line {ends} stroke-width="{line.width:g}"{dash}/>'


def _svg_text(text: Text) -> str:
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    weight = (' font-weight="bold"' if text.bold else "") + (f' fill="{GREY}"' if text.quiet else "")
    place = f'x="{text.x:.3f}" y="{text.y:.3f}" font-size="{text.size:.3f}"'
    return f"<text {place}{anchor}{weight}>{escape(visible(text.text))}</text>"
