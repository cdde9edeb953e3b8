"""Names that should be the same: firings that no table knows, bodies and batches spelled in two ways."""

import difflib
from collections import Counter
from typing import Any

import numpy as np
import pandas as pd

from bodytest.cones import firings_called, firings_of_cone, parse_cone
from bodytest.grids.notebook import Notebook
from bodytest.intake.bars import SheetBars
from bodytest.intake.joined_files import SheetPieces
from bodytest.intake.merging import group_by
from bodytest.names import folded

MOST_NAMES = 300
"""Names above which none are compared with each other: so many are no slips of the pen."""


def settle_names(sheets: list[SheetBars], firings: pd.DataFrame, pieces: list[SheetPieces]) -> None:
    """Give one spelling to names that differ only in case, and ask about firings and names that look mistyped."""
    for key in ("body", "batch", "direction", "position"):
        _settle(sheets, key)
    cones = {str(code): str(cone) for code, cone in zip(firings["firing"], firings["cone"], strict=True)}
    known = {folded(code): code for code in reversed(cones)}
    for sheet in sheets:
        _settle_firings(sheet, known, cones, listed=not firings.empty)
    for one in pieces:
        _settle_pieces(one, cones)
    _ask_about_near(sheets)
    for sheet in sheets:
        _ask_for_missing(sheet)


def _ask_for_missing(sheet: SheetBars) -> None:
    """Ask for the body of measured bars and the firing of fired ones, where the table has a column for them."""
    marks = sheet.marks
    measured, fired = (np.zeros(len(sheet.bars), dtype=bool) for _ in range(2))
    for reading in sheet.typed:
        given = ~np.isnan(sheet.values(reading.key))
        positions = marks["bar_row"].to_numpy()[given] if reading.of_mark else np.flatnonzero(given)
        measured[positions] = True
        if reading.stage in ("fired", "cold-soaked", "boiled", "suspended"):
            fired[positions] = True
    for key, needed in (("body", measured), ("firing", fired)):
        nameless = np.flatnonzero((sheet.texts(key) == "") & needed)
        if key in sheet.places and len(nameless):
            sheet.tell("name-missing", key, nameless[0], value=len(nameless), heading=key)


def ask_about_control_bodies(
    sheets: list[SheetBars], named: list[tuple[str | None, dict[str, Any] | None]], notebooks: list[Notebook]
) -> None:
    """Ask about a control body of a Lab table, with the place of its name, of which no workbook has bars."""
    there = {text.casefold() for text in _counts(sheets, "body")}
    for (body, place), notes in zip(named, notebooks, strict=True):
        if body and place and there and body.casefold() not in there:
            notes.add("control-body-absent", **place, value=body)


def _counts(sheets: list[SheetBars], key: str) -> Counter[str]:
    """Count the texts of one column over all workbooks."""
    counts: Counter[str] = Counter()
    for sheet in sheets:
        counts.update(sheet.texts(key).tolist())
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
    values = sheet.texts(key).copy()
    for text, positions in _positions(values).items():
        if text in changed:
            words = {"value": text, "heading": key, "usual": changed[text]}
            sheet.tell("name-in-two-spellings", key, positions[0], **words)
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


def _settle_firings(sheet: SheetBars, known: dict[str, str], cones: dict[str, str], *, listed: bool) -> None:
    """Give each firing the spelling of its code; one that no Firings table has becomes known as it is.

    ``known`` are the codes by their folded spelling, ``cones`` the cone told beside each; ``listed`` says whether any
    Firings table lists them.
    """
    values = sheet.texts("firing").copy()
    for text, positions in _positions(values).items():
        if text == "" or text in cones:
            continue
        called = [known[folded(text)]] if folded(text) in known else firings_of_cone(text, cones)
        words: dict[str, Any] = {"value": text, "bars": len(positions)}
        if len(called) == 1:
            values[positions] = called[0]
            # the only one to its cone, else the same one spelled otherwise
            by_cone = parse_cone(text) not in (None, parse_cone(called[0]))
            code = "firing-by-cone" if by_cone else "name-in-two-spellings"
            sheet.tell(code, "firing", positions[0], heading="firing", usual=called[0], **words)
            continue
        if listed:
            sheet.tell("firing-unknown", "firing", positions[0], nearest=_nearest(text, called, known), **words)
        known[folded(text)], cones[text] = text, ""
    sheet.bars["firing"] = values


def _settle_pieces(pieces: SheetPieces, cones: dict[str, str]) -> None:
    """Give the firings that pieces name the spelling of their codes."""
    texts = pieces.frame["firing"].tolist()
    for position, text in enumerate(texts):
        if text and text not in cones and len(called := firings_called(text, cones)) == 1:
            texts[position] = called[0]
            place = pieces.cell("firing", position)
            pieces.table.notes.add("name-in-two-spellings", **place, value=text, heading="firing", usual=called[0])
    pieces.frame["firing"] = texts


def _nearest(text: str, called: list[str], known: dict[str, str]) -> str:
    """Return a sentence on the firings that a text may mean."""
    if called:
        return f" Firings to that cone are {', '.join(called)}."
    near = difflib.get_close_matches(folded(text), list(known)[:MOST_NAMES], n=1, cutoff=0.6)
    return f" The nearest one there is “{known[near[0]]}”." if near else ""


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
            positions = np.flatnonzero(sheet.texts("body") == text)
            if len(positions):
                sheet.tell("name-near-another", "body", positions[0], value=text, heading="body", usual=usual[0])


def _digits(text: str) -> str:
    return "".join(c for c in text if c.isdigit())
