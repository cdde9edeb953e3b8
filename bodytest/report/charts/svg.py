"""A finished figure → inline SVG: the page's colours and font, ids of its own, a title and a description."""

import pickle
import re
import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from io import StringIO

from markupsafe import Markup, escape  # noqa: TID251 (written by matplotlib, which escapes; titles escaped here)
from matplotlib import rc_context
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from bodytest.shown import visible

INK, SOFT, RULE, ACCENT, WASH, PAPER = (f"#10ab0{place}" for place in range(6))
"""Stand-ins for the page's colours, so that a chart follows light, dark and print."""
_CSS_NAMES = ("ink", "soft", "rule", "accent", "wash", "paper")

_STAND_IN = re.compile(r"#10ab0([0-5])")
_FONT_FAMILY = re.compile(r"(?<=px) '[^;]*?(?=;|\")|\s*font-family: [^;\"]*;?")
_STYLE_SHEET = re.compile(r"<defs>\s*<style.*?</style>\s*</defs>", re.DOTALL)
_METADATA = re.compile(r"<metadata>.*?</metadata>", re.DOTALL)
_ROOT = re.compile(r"<svg [^>]*viewBox=\"([^\"]*)\"[^>]*>")
_LONG_NUMBER = re.compile(r"(\d+\.\d\d)\d+")
WIDE, NARROW = 480.0, 330.0
"""Widths of the two drawings, px: a page shows the one that fits, so that text is never drawn much smaller."""
_DOT = re.compile(r"M (\S+) (\S+) L \1 \2 ?(?=M|$)")
_PATH = re.compile(r'(?<= d=")[^"]*')
_PATH_NUMBER = re.compile(r"\d+\.\d+")
_ID = re.compile(r' id="([^"]*)"')
_REFERENCE = re.compile(r'(?:xlink:href="#|url\(#)([^")]*)')
_LINK = re.compile(r'xlink:href="#([^"]*)"')
_URL = re.compile(r"url\(#([^)]*)\)")
_UNSAID = ("Date", "Creator", "Format", "Type")
"""Metadata that would change the bytes or say nothing."""
_STYLE = re.compile(r'style="([^"]*)"')
_MANY = 5
_MOST_KEPT = 256
"""Charts that are kept while `watch` or `open` runs."""
_SPACE = re.compile(r"\s*\n\s*")


@dataclass(frozen=True)
class Chart:
    """A chart with the words that go with it."""

    message: str
    """Its heading: what it shows, as a statement."""
    svg: Markup
    """The picture, twice, wide and narrow, with what a reader who does not see it is told."""


def chart(draw: Callable[[float], Figure], key: str, message: str, description: str) -> Chart:
    """Write a chart as inline SVG, drawn wide and narrow; the page's style shows the one that there is room for.

    ``draw`` is a function of a module with what it draws (`functools.partial`), which takes the width [px].
    """
    return Chart(message, drawn(pickle.dumps(draw), key, visible(message), visible(description)))


@lru_cache(maxsize=_MOST_KEPT)
def drawn(drawing: bytes, key: str, message: str, description: str) -> Markup:
    """Draw what was not drawn from the same data before: after a save, only charts of bodies that changed."""
    draw: Callable[[float], Figure] = pickle.loads(drawing)
    wide = _inline(_written(draw(WIDE)), key, "wide", message, description)
    narrow = _inline(_written(draw(NARROW)), f"{key}-narrow", "narrow", message, description)
    return Markup(wide + narrow)


def _written(figure: Figure) -> str:
    buffer = StringIO()
    with rc_context({"svg.fonttype": "none", "svg.hashsalt": "bodytest"}), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")  # the browser has its own fonts
        FigureCanvasSVG(figure).print_svg(buffer, metadata=dict.fromkeys(_UNSAID))  # type: ignore[no-untyped-call]
    return buffer.getvalue()


def _inline(svg: str, key: str, room: str, message: str, description: str) -> str:
    svg = svg[svg.index("<svg") :]
    svg = _METADATA.sub("", _STYLE_SHEET.sub("", svg))
    svg = _PATH.sub(lambda found: _short_path(found.group()), svg)
    svg = _FONT_FAMILY.sub("", _LONG_NUMBER.sub(r"\1", svg))
    svg = _STAND_IN.sub(lambda found: f"var(--{_CSS_NAMES[int(found.group(1))]})", svg)
    svg = _own_ids(_short_styles(svg, key), key)
    words = (
        f'<title id="{key}-title">{escape(message)}</title><desc id="{key}-description">{escape(description)}</desc>'
    )
    root = rf'<svg class="chart {room}" viewBox="\1" role="img" aria-labelledby="{key}-title {key}-description">'
    svg = _ROOT.sub(root, _SPACE.sub(" ", svg), count=1)
    start = svg.index(">") + 1
    return svg[:start] + words + svg[start:].strip()


def _short_path(path: str) -> str:
    return _DOT.sub(r"M\1 \2h0", _PATH_NUMBER.sub(_one_decimal, _SPACE.sub(" ", path)))


def _one_decimal(number: re.Match[str]) -> str:
    return f"{float(number.group()):.1f}".removesuffix(".0")


def _short_styles(svg: str, key: str) -> str:
    """Put styles that many elements share into classes."""
    common = [style for style, count in Counter(_STYLE.findall(svg)).most_common() if count > _MANY]
    if not common:
        return svg
    names = {style: f"{key}-{place}" for place, style in enumerate(common)}
    svg = _STYLE.sub(lambda found: f'class="{names[found[1]]}"' if found[1] in names else found[0], svg)
    rules = "".join(f".{name}{{{style}}}" for style, name in names.items())
    start = svg.index(">", svg.index("<svg")) + 1
    return f"{svg[:start]}<style>{rules}</style>{svg[start:]}"


def _own_ids(svg: str, key: str) -> str:
    """Give the ids that are referred to numbers behind the chart's key; drop the others."""
    names = {old: f"{key}-r{number}" for number, old in enumerate(dict.fromkeys(_REFERENCE.findall(svg)))}
    svg = _ID.sub(lambda found: f' id="{names[found[1]]}"' if found[1] in names else "", svg)
    svg = _LINK.sub(lambda found: f'href="#{names[found[1]]}"', svg)
    return _URL.sub(lambda found: f"url(#{names[found[1]]})", svg)
