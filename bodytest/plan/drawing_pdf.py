"""Pages drawn to scale as one PDF, with matplotlib's PDF writer."""

import io
import warnings
from collections.abc import Iterable
from typing import Any

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from bodytest.files.own_files import IN_PDF, sealed
from bodytest.plan.drawing import GREY, Line, Page, Text
from bodytest.shown import visible

_MM_PER_INCH = 25.4
_POINTS_PER_MM = 72.0 / _MM_PER_INCH
_SIDES = {"start": "left", "middle": "center", "end": "right"}
_DASHES = (1.5 * _POINTS_PER_MM, 1.0 * _POINTS_PER_MM)


def to_pdf(pages: Iterable[Page]) -> bytes:
    """Return the pages as one PDF; the same pages give the same bytes."""
    file = io.BytesIO()
    with warnings.catch_warnings(), mpl.rc_context({"pdf.fonttype": 42, "font.family": ["DejaVu Sans"]}):
        # A letter that the font lacks is drawn as a box; the SVG uses the reader's own fonts.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        unchanging = {"CreationDate": None, "Producer": None, "Creator": "bodytest"}
        with PdfPages(file, metadata=unchanging) as pdf:
            for page in pages:
                pdf.savefig(_figure(page))
    return b"".join(sealed([file.getvalue()], IN_PDF))


def _figure(page: Page) -> Figure:
    figure = Figure(figsize=(page.width / _MM_PER_INCH, page.height / _MM_PER_INCH))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, page.width)
    axes.set_ylim(page.height, 0.0)
    axes.set_axis_off()
    for dashed in (False, True):
        axes.add_collection(_lines([line for line in page.lines if line.dashed == dashed], dashed), autolim=False)
    for text in page.texts:
        axes.text(text.x, text.y, visible(text.text), **_looks(text))
    return figure


def _lines(lines: list[Line], dashed: bool) -> LineCollection:
    ends = [((line.x1, line.y1), (line.x2, line.y2)) for line in lines]
    widths = [line.width * _POINTS_PER_MM for line in lines]
    style = (0.0, tuple(part / max(widths[0], 1e-9) for part in _DASHES)) if dashed and widths else "solid"
    return LineCollection(ends, linewidths=widths, colors="black", linestyles=style, capstyle="butt")


def _looks(text: Text) -> dict[str, Any]:
    return {
        "fontsize": text.size * _POINTS_PER_MM,
        "ha": _SIDES[text.anchor],
        "va": "baseline",
        "weight": "bold" if text.bold else "normal",
        "color": GREY if text.quiet else "black",
        "parse_math": False,
    }
