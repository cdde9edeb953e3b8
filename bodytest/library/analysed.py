"""Checked tables in, results out; results held against each other, and written as a report."""

import datetime
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal

from bodytest.analysis import analysing, comparisons
from bodytest.analysis.comparable import HELD_EQUAL
from bodytest.analysis.timeline import FEWEST_BATCHES, timelines
from bodytest.comparison import Comparison
from bodytest.errors import UnreadableSheet, UnusableRequest
from bodytest.library.asked import shown, the_number, the_results, the_texts, the_word
from bodytest.over_time import Timeline
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Results
from bodytest.tables import CheckedSheets

LOWEST_CONFIDENCE, HIGHEST_CONFIDENCE = 0.5, 0.999
"""Below, an interval misses more often than it holds; above, it says nothing."""


def analyse(sheets: CheckedSheets, confidence: float | None = None, *, borrow: bool = False) -> Results:
    """Compute every quantity of each bar, and summarise groups, programmes and bodies.

    Parameters:
        sheets: what `read_sheets` or `read_frames` returned.
        confidence: confidence of the intervals as a fraction, 0.5 to 0.999; None: as the Lab tables state, else 0.95.
        borrow: take scatter that a programme's own bars do not show from the workshop's other programmes.

    Raises:
        UnusableRequest: these are no sheets, or no such confidence can be meant.
        UnreadableSheet: there is not one bar to go by; the sentence is of the first thing to mend.
    """
    if not isinstance(sheets, CheckedSheets):
        raise UnusableRequest("not-sheets", value=shown(sheets))
    level = the_number(confidence, "confidence", LOWEST_CONFIDENCE, HIGHEST_CONFIDENCE)
    if sheets.bars.empty:
        first = next((found for found in sheets.findings if found.level == "stop"), None)
        raise UnreadableSheet.of(first) if first else UnreadableSheet("no-bars-to-analyse")
    return analysing.analyse(sheets, confidence=level, borrow=borrow)


def compare(
    results: Results,
    by: Literal["batch", "body", "firing", "direction", "position"] = "batch",
    *,
    quantities: str | Iterable[str] = comparisons.USUAL_QUANTITIES,
    tolerance: float | None = None,
) -> tuple[Comparison, ...]:
    """Return which batches, bodies, firings, directions or positions are the same, differ, or cannot be told yet.

    Parameters:
        results: results.
        by: what is compared; everything else is held equal.
        quantities: keys of quantities.
        tolerance: largest difference that does not matter, in the quantity's unit; None: as the Lab sheet states.

    Raises:
        UnusableRequest: that cannot be meant.
    """
    bars = the_results(results)
    the_word(by, "by", tuple(HELD_EQUAL))
    the_number(tolerance, "tolerance", 0.0)
    return comparisons.compare(bars, by, quantities=_keys(quantities), tolerance=tolerance)


def timeline(
    results: Results,
    quantities: str | Iterable[str] = comparisons.USUAL_QUANTITIES,
    *,
    order: Literal["date", "listed"] = "date",
    reference: int | None = None,
) -> tuple[Timeline, ...]:
    """Return the batches of each body and programme in their order, with limits and what is new.

    Parameters:
        results: results.
        quantities: keys of quantities.
        order: by date of firing, or as listed.
        reference: how many of the first batches set the limits, at least three; None: those before the newest shift.

    Raises:
        UnusableRequest: that cannot be meant.
    """
    bars = the_results(results)
    the_word(order, "order", ("date", "listed"))
    the_number(reference, "reference", FEWEST_BATCHES)
    found = (timelines(bars, key, order=order, reference=reference) for key in _keys(quantities))
    return tuple(one for of_quantity in found for one in of_quantity)


def write_report(
    results: Results, folder: str | Path, *, dated: datetime.date | None = None, decimal_comma: bool = False
) -> Path:
    """Write a page for each body, an index, results.json and results.csv into a folder; return the index page.

    All are written or none; a file that bodytest did not write is never replaced.

    Raises:
        UnusableRequest: these are no results, or that is no folder's name.
        UnwritableFile: something else stands there, or the system refuses.
    """
    from bodytest.library.report_files import write_files

    bars = the_results(results)
    if not isinstance(folder, str | Path) or not str(folder):
        raise UnusableRequest("not-a-text", value=shown(folder), what="folder")
    day = datetime.date.today() if dated is None else dated
    if not isinstance(day, datetime.date):
        raise UnusableRequest("not-a-text", value=shown(dated), what="date")
    return write_files(bars, Path(folder), day, decimal_sign="," if decimal_comma else ".")[0]


def _keys(quantities: Any) -> list[str]:
    return [the_word(key, "quantity", tuple(QUANTITY_BY_KEY)) for key in the_texts(quantities, "quantity")]
