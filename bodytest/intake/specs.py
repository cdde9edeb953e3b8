"""The Specs table: limits that somebody set for a body."""

import difflib
import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import NO_READING, read_number, read_text
from bodytest.intake.columns import ReadTable
from bodytest.intake.firings import PURPOSES
from bodytest.intake.layouts.headings import plain
from bodytest.quantities import QUANTITIES
from bodytest.tables import APPLIES_TO, Specification

_USUAL = {"purpose": "final", "applies_to": "mean"}
"""What is meant where a choice is left blank."""
_CHOICES = {"purpose": PURPOSES, "applies_to": APPLIES_TO}
_SHARE_PERCENT = (50.0, 100.0)
"""A share below is no limit on most bars; a share of all bars cannot be shown by some."""
Place = dict[str, Any]


def read_specs(table: ReadTable) -> dict[Specification, Place]:
    """Return the limits of one table, each with the place of its body; what cannot be meant is left out and named."""
    read: dict[Specification, Place] = {}
    for position in range(len(table)):
        row = _Row(table, position)
        found = row.specification()
        if found is None:
            table.set_aside("row not read", np.array([position]))
        else:
            read[found] = table.at("body", position)
            for key in table.used:
                table.use(key, np.array([position]))
    return read


class _Row:
    """One row of a Specs table."""

    def __init__(self, table: ReadTable, position: int) -> None:
        self.table, self.position = table, position

    def say(self, code: str, key: str, **words: Any) -> None:
        """Write down what is wrong with a cell."""
        self.table.tell(code, key, self.position, **words)

    def specification(self) -> Specification | None:
        """Return what the row says, None where it cannot be meant."""
        body = read_text(self.table.text("body")[self.position])
        quantity, bounds = self._quantity(), [self._number(key) for key in ("lowest", "highest")]
        choices = {key: self._choice(key) for key in _CHOICES}
        share = self._share(choices)
        if quantity is None or None in choices.values() or math.inf in (*bounds, share):
            return None
        lowest, highest = bounds
        missing = "a body" if not body else "a lowest or a highest value" if lowest is None and highest is None else ""
        if not missing and choices["applies_to"] == "share of bars" and share is None:
            missing = "a share of bars (%)"
        if missing:
            self.say("spec-incomplete", "body", value=body or "row", missing=missing)
            return None
        if lowest is not None and highest is not None and lowest > highest:
            self.say("spec-window-empty", "lowest", value=f"{lowest:g}", highest=f"{highest:g}")
            return None
        source, row = read_text(self.table.text("source")[self.position]), int(self.table.rows[self.position])
        purpose, applies_to = str(choices["purpose"]), str(choices["applies_to"])
        limits = (quantity, lowest, highest, applies_to, share)
        return Specification(body, purpose, *limits, source, self.table.notes.sheet, row)

    def _cell(self, key: str) -> Any:
        cell = self.table.typed(key, self.position)
        return "" if read_text(cell).lower() in NO_READING else cell

    def _quantity(self) -> str | None:
        text = read_text(self.table.text("quantity")[self.position])
        if not text:
            self.say("spec-incomplete", "quantity", value="", missing="a quantity")
            return None
        names = quantity_names()
        if plain(text) in names:
            return names[plain(text)]
        near = difflib.get_close_matches(plain(text), list(names), n=1, cutoff=0.6)
        nearest = next((q.name for q in QUANTITIES if near and q.key == names[near[0]]), "")
        hint = (
            f"The nearest known one is “{nearest}”."
            if nearest
            else f"Known are {', '.join(q.name for q in QUANTITIES)}."
        )
        self.say("spec-quantity-unknown", "quantity", value=text, hint=hint)
        return None

    def _choice(self, key: str) -> str | None:
        text = read_text(self._cell(key))
        for choice in _CHOICES[key]:
            if plain(text or _USUAL[key]) == plain(choice):
                return choice
        self.say("choice-unknown", key, value=text, heading=key.replace("_", " "), choices=", ".join(_CHOICES[key]))
        return None

    def _number(self, key: str) -> float | None:
        """Return a number, None for a blank, infinity for what cannot be read."""
        cell = self._cell(key)
        read = read_number(cell, "%", "percent")
        if read.code is None:
            return None if math.isnan(read.value) else read.value
        self.say(read.code, key, value=read_text(cell), heading=key, **read.words)
        return math.inf

    def _share(self, choices: dict[str, str | None]) -> float | None:
        share = self._number("share")
        if share is None or share == math.inf:
            return share
        if choices["applies_to"] != "share of bars":
            self.say("spec-share-idle", "share", value=f"{share:g}", applies_to=choices["applies_to"])
            return math.inf
        low, high = _SHARE_PERCENT
        if low <= share < high:
            return share
        self.say("spec-share-impossible", "share", value=f"{share:g}")
        return math.inf


def quantity_names() -> dict[str, str]:
    """Return every accepted plain spelling of a quantity with its key.

    >>> quantity_names()["totalshrinkage"]
    'total_shrinkage'
    """
    return {plain(spelling): q.key for q in QUANTITIES for spelling in (q.key, q.name, q.name.replace("linear ", ""))}


def settle_specs(
    read: list[dict[Specification, Place]], bodies: Iterable[str], notebooks: list[Notebook]
) -> tuple[Specification, ...]:
    """Return the limits of all workbooks, each body spelled as its bars spell it.

    Of two rows that set different limits for the same the first one counts; a body without bars is asked about.
    """
    usual = {body.casefold(): body for body in bodies if body}
    settled: dict[tuple[object, ...], Specification] = {}
    for places, notes in zip(read, notebooks, strict=True):
        for one, place in places.items():
            if usual and one.body.casefold() not in usual:
                near = difflib.get_close_matches(one.body.casefold(), list(usual), n=1, cutoff=0.6)
                nearest = f" The nearest one there is “{usual[near[0]]}”." if near else ""
                notes.add("spec-body-absent", **place, value=one.body, nearest=nearest)
            same = (one.body.casefold(), one.purpose, one.quantity, one.applies_to, one.share)
            first = settled.setdefault(same, replace(one, body=usual.get(one.body.casefold(), one.body)))
            if (first.lowest, first.highest) != (one.lowest, one.highest):
                where = f"row {first.row}" if first.sheet == one.sheet else f"{first.sheet}, row {first.row}"
                notes.add("spec-twice", **place, value=one.body, first=where)
    return tuple(settled.values())
