"""Names that should be the same: firings that no table knows, bodies and batches spelled in two ways."""

import difflib
from collections import Counter
from typing import TYPE_CHECKING, Any

import numpy as np

from bodytest.grids.notebook import Notebook
from bodytest.intake.bars import SheetBars
from bodytest.intake.merging import group_by
from bodytest.quantities import READINGS

if TYPE_CHECKING:
    import pandas as pd

MOST_NAMES = 300
"""Names above which none are compared with each other: so many are no slips of the pen."""


def settle_names(sheets: list[SheetBars], firings: "pd.DataFrame") -> None:
    """Give one spelling to names that differ only in case, and ask about firings and names that look mistyped."""
    for key in ("body", "batch", "direction", "position"):
        _settle(sheets, key)
    known = {str(code).casefold(): str(code) for code in firings["firing"]}
    for sheet in sheets if known else ():
        _settle_firings(sheet, known)
    _ask_about_near(sheets)
    for sheet in sheets:
        _ask_for_missing(sheet)


def _ask_for_missing(sheet: SheetBars) -> None:
    """Ask for the body of measured bars and the firing of fired ones, where the table has a column for them."""
    marks = sheet.marks
    measured, fired = (np.zeros(len(sheet.bars), dtype=bool) for _ in range(2))
    for reading in READINGS:
        given = ~np.isnan(sheet.values(reading.key))
        positions = marks["bar_row"].to_numpy()[given] if reading.of_mark else np.flatnonzero(given)
        measured[positions] = True
        if reading.stage in ("fired", "cold-soaked", "boiled", "suspended"):
            fired[positions] = True
    for key, needed in (("body", measured), ("firing", fired)):
        nameless = np.flatnonzero((_values(sheet, key) == "") & needed)
        if key in sheet.places and len(nameless):
            sheet.notes.add("name-missing", **_place(sheet, key, nameless[0]), value=len(nameless), heading=key)


def ask_about_control_bodies(
    sheets: list[SheetBars], named: list[tuple[str | None, dict[str, Any] | None]], notebooks: list[Notebook]
) -> None:
    """Ask about a control body of a Lab table, with the place of its name, of which no workbook has bars."""
    there = {text.casefold() for text in _counts(sheets, "body")}
    for (body, place), notes in zip(named, notebooks, strict=True):
        if body and place and there and body.casefold() not in there:
            notes.add("control-body-absent", **place, value=body)


def _values(sheet: SheetBars, key: str) -> np.ndarray:
    return np.asarray(sheet.bars[key].to_numpy(dtype=object))


def _counts(sheets: list[SheetBars], key: str) -> Counter[str]:
    """Count the texts of one column over all workbooks."""
    counts: Counter[str] = Counter()
    for sheet in sheets:
        counts.update(_values(sheet, key))
    return counts


def _settle(sheets: list[SheetBars], key: str) -> None:
    counts = _counts(sheets, key)
    chosen: dict[str, str] = {}
    for text, _ in counts.most_common():
        chosen.setdefault(text.casefold(), text)
    changed = {text: chosen[text.casefold()] for text in counts if chosen[text.casefold()] != text}
    for sheet in sheets:
        _respell(sheet, key, changed)


def _respell(sheet: SheetBars, key: str, changed: dict[str, str]) -> None:
    if not changed:
        return
    values = _values(sheet, key).copy()
    for text, positions in _positions(values).items():
        if text in changed:
            place = _place(sheet, key, positions[0])
            sheet.notes.add("name-in-two-spellings", **place, value=text, heading=key, usual=changed[text])
            values[positions] = changed[text]
    sheet.bars[key] = values


def _positions(values: np.ndarray) -> dict[str, np.ndarray]:
    """Return where each text stands, in order of first appearance."""
    if not len(values):
        return {}
    names = group_by([values])
    order = np.argsort(names.ids, kind="stable")
    ends = np.cumsum(np.bincount(names.ids, minlength=len(names)))[:-1]
    return dict(zip(values[names.first], np.split(order, ends), strict=True))


def _place(sheet: SheetBars, key: str, position: int) -> dict[str, Any]:
    row = int(sheet.bars["row"].iloc[position])
    return {"table": sheet.table, "row": row, "column": sheet.places.get(key)}


def _settle_firings(sheet: SheetBars, known: dict[str, str]) -> None:
    values = _values(sheet, "firing").copy()
    for text, positions in _positions(values).items():
        usual = known.get(text.casefold())
        if usual is not None:
            values[positions] = usual
        elif text != "":
            near = difflib.get_close_matches(text.casefold(), list(known)[:MOST_NAMES], n=1, cutoff=0.6)
            nearest = f" The nearest one there is “{known[near[0]]}”." if near else ""
            place = _place(sheet, "firing", positions[0])
            sheet.notes.add("firing-unknown", **place, value=text, bars=len(positions), nearest=nearest)
    sheet.bars["firing"] = values


def _ask_about_near(sheets: list[SheetBars]) -> None:
    """Ask about a body name of few bars that is one slip away from the name of many."""
    counts = _counts(sheets, "body")
    counts.pop("", None)
    if len(counts) > MOST_NAMES:
        return
    for text, bars in counts.items():
        usual = [t for t in difflib.get_close_matches(text, [*counts], n=3, cutoff=0.85) if counts[t] > 3 * bars]
        if not usual or _digits(usual[0]) != _digits(text):
            continue
        for sheet in sheets:
            positions = np.flatnonzero(_values(sheet, "body") == text)
            if len(positions):
                place = _place(sheet, "body", positions[0])
                sheet.notes.add("name-near-another", **place, value=text, heading="body", usual=usual[0])


def _digits(text: str) -> str:
    return "".join(c for c in text if c.isdigit())
