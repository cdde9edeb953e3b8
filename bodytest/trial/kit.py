"""The bench kit: forms by stage and load, labels, a template and a card of cautions, as one PDF true to scale."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from bodytest.errors import UnusableRequest
from bodytest.plan.drawing import Page, Text
from bodytest.quantities import READINGS
from bodytest.sheet.bar_codes import easily_confused
from bodytest.sheet.guide import guide_text
from bodytest.tables import CheckedSheets
from bodytest.trial.bar_labels import label_pages
from bodytest.trial.bar_size import BarSize
from bodytest.trial.bar_template import template_page
from bodytest.trial.bench_forms import STAGES_OF_FORMS, bench_forms
from bodytest.trial.form_pages import EDGE, form_pages, upright
from bodytest.trial.lettering import wrapped

PARTS = (*STAGES_OF_FORMS, "labels", "template", "cautions")
"""What a kit may consist of, in this order."""
MOST_ROWS = 1000
"""Rows, one for each mark of each bar, of the longest sheet that a kit is made for."""


@dataclass(frozen=True)
class KitOptions:
    """What is wanted."""

    paper: str = "a4"
    """``a4`` or ``letter``."""
    bar: BarSize = field(default_factory=BarSize)
    """The bar of the template."""
    parts: tuple[str, ...] = PARTS
    """Those of `PARTS` that are wanted."""


@dataclass(frozen=True)
class Kit:
    """What was made."""

    pages: tuple[Page, ...]
    """Its pages."""
    contents: dict[str, int]
    """What each page is called → how many there are."""
    notes: tuple[str, ...]
    """What the user should know."""


def bench_kit(sheets: CheckedSheets, options: KitOptions) -> Kit:
    """Return the kit for the bars of one sheet.

    Raises:
        UnusableRequest: several sheets, more rows than anybody fills in, or a bar that does not fit the paper.
    """
    numbers = sheets.bars["sheet"].unique().tolist()
    if len(numbers) > 1:
        raise UnusableRequest("form-of-several", value=", ".join(sheets.sheets[n].name for n in numbers))
    if len(sheets.marks) > MOST_ROWS:
        raise UnusableRequest("kit-too-long", value=len(sheets.marks), most=MOST_ROWS)
    pages = tuple(_pages(sheets, sheets.sheets[numbers[0]].name, options))
    for number, page in enumerate(pages, start=1):
        page.texts.append(Text(page.width - EDGE, 15.0, f"page {number} of {len(pages)}", 3.0, "end"))
    contents: dict[str, int] = {}
    for page in pages:
        contents[page.title] = contents.get(page.title, 0) + 1
    return Kit(pages, contents, tuple(_notes(sheets)))


def _pages(sheets: CheckedSheets, name: str, options: KitOptions) -> Iterator[Page]:
    for form in bench_forms(sheets, [stage for stage in STAGES_OF_FORMS if stage in options.parts]):
        yield from form_pages(form, name, options.paper)
    if "labels" in options.parts:
        yield from label_pages(sheets.bars, name, options.paper)
    if "template" in options.parts:
        yield template_page(options.bar, name, options.paper)
    if "cautions" in options.parts:
        yield _cautions(options.paper)


def _cautions(paper: str) -> Page:
    """Return the cautions of the Guide on one page, in letters to be read at arm's length."""
    page = upright(paper, "Take care", "To hang up at the bench and at the kiln.")
    y = 32.0
    for caution in guide_text()["caution"]:
        page.texts.append(Text(EDGE, y, "▲", 4.0))
        for line in wrapped(Text(0.0, 0.0, caution["text"], 4.2), page.width - 2 * EDGE - 8.0):
            page.texts.append(Text(EDGE + 8.0, y, line, 4.2))
            y += 5.6
        y += 5.0
    return page


def _notes(sheets: CheckedSheets) -> Iterable[str]:
    if not any(reading.key in sheets.units for reading in READINGS):
        yield "The sheet has no columns for readings yet: the forms are those of a blank sheet, in mm and g."
    confused = easily_confused(sheets.bars["bar"])
    if confused:
        shown = ", ".join(f"{one} and {other}" for one, other in confused[:3])
        more = f" and {len(confused) - 3} further pairs" if len(confused) > 3 else ""
        yield f"Codes that are easily confused in clay: {shown}{more}. Give one of each another code."
