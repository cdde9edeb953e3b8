"""How a bar was tested: what its choice columns say, and whether that agrees with its readings."""

from typing import Any

import numpy as np

from bodytest.grids.notebook import Notebook
from bodytest.intake.bars import SheetBars
from bodytest.lab.record import Choice, Quantity, Reading, Way
from bodytest.quantities import CHOICES, QUANTITIES, READING_BY_KEY, READINGS
from bodytest.rules.neighbours import measured


def settle_conditions(sheet: SheetBars, notes: Notebook) -> None:
    """Give choices one spelling; write down those that cannot be or are missing, and readings beside a formula."""
    for choice in CHOICES:
        _settle(sheet, choice, notes)
    told: set[tuple[str, ...]] = set()
    for quantity in QUANTITIES:
        if len(quantity.ways) > 1 and quantity.needs not in told:
            told.add(quantity.needs)
            _ask_about_two_ways(sheet, quantity, notes)


def _settle(sheet: SheetBars, choice: Choice, notes: Notebook) -> None:
    texts = sheet.bars[choice.key].to_numpy(dtype=object).copy()
    options = {option.casefold(): option for option in choice.options}
    blank = texts == ""
    for position in np.flatnonzero(~blank).tolist():
        text, texts[position] = texts[position], options.get(texts[position].casefold(), "")
        if not texts[position]:
            words: dict[str, Any] = {"heading": choice.heading, "choices": "; ".join(choice.options)}
            notes.add("choice-unknown", **_place(sheet, choice, position), value=text, **words)
    for option, later in choice.ends.items():
        for reading in (r for r in READINGS if r.stage in later):
            for position in np.flatnonzero((texts == option) & _has(sheet, reading)).tolist():
                _refuse(sheet, choice, position, reading, notes)
                texts[position] = ""
    _ask_for_choice(sheet, choice, blank, notes)
    sheet.bars[choice.key] = texts


def _refuse(sheet: SheetBars, choice: Choice, position: int, reading: Reading, notes: Notebook) -> None:
    notes.add(
        "tested-before-it-was-read",
        **_place(sheet, choice, position),
        value=sheet.bars[choice.key].iloc[position],
        bar=sheet.bars["bar"].iloc[position],
        heading=choice.heading,
        reading=reading.heading,
    )


def _ask_for_choice(sheet: SheetBars, choice: Choice, blank: np.ndarray, notes: Notebook) -> None:
    """Write down bars with every reading of a quantity that depends on a choice, and no choice."""
    depending = [q for q in QUANTITIES if q.when is not None and q.when[0] is choice]
    complete = np.zeros(len(sheet.bars), dtype=bool)
    for quantity in depending:
        for way in quantity.ways:
            complete |= has_all(sheet, way)
    for position in np.flatnonzero(blank & complete).tolist():
        first = depending[0].readings[0]
        notes.add(
            "choice-missing",
            table=sheet.table,
            row=int(sheet.rows[first.key][position]),
            column=sheet.places.get(first.key),
            value=measured(first.key, float(sheet.values(first.key)[position])),
            bar=sheet.bars["bar"].iloc[position],
            reading=first.heading,
            heading=choice.heading,
            choices=" or ".join(choice.options),
        )


def _ask_about_two_ways(sheet: SheetBars, quantity: Quantity, notes: Notebook) -> None:
    """Ask about bars with readings for one formula of a quantity, and with some that only another one needs."""
    first, *others = quantity.ways
    complete = has_all(sheet, first)
    own = [READING_BY_KEY[key] for key in first.needs if any(key not in way.needs for way in others)]
    for reading in (r for way in others for key in way.needs if key not in first.needs for r in [READING_BY_KEY[key]]):
        for position in np.flatnonzero(complete & _has(sheet, reading)).tolist():
            notes.add(
                "two-formulas",
                table=sheet.table,
                row=int(sheet.rows[reading.key][position]),
                column=sheet.places.get(reading.key),
                value=measured(reading.key, float(sheet.values(reading.key)[position])),
                bar=sheet.bars["bar"].iloc[position],
                heading=reading.heading,
                used=" and ".join(r.heading for r in own),
            )
            complete[position] = False


def has_all(sheet: SheetBars, way: Way) -> np.ndarray:
    """Tell which bars have every reading of a formula."""
    return np.asarray(np.logical_and.reduce([_has(sheet, READING_BY_KEY[key]) for key in way.needs]))


def not_needed(sheet: SheetBars, reading: Reading) -> np.ndarray:
    """Tell which bars can do without a reading, because another formula of the same quantity has all it needs."""
    spared = np.zeros(len(sheet.bars), dtype=bool)
    for quantity in QUANTITIES:
        if any(reading.key in way.needs for way in quantity.ways):
            for way in quantity.ways:
                spared |= has_all(sheet, way) if reading.key not in way.needs else False
    return spared


def _has(sheet: SheetBars, reading: Reading) -> np.ndarray:
    """Tell which bars have a reading."""
    given: np.ndarray = ~np.isnan(sheet.values(reading.key))
    if not reading.of_mark:
        return given
    of_bars = np.zeros(len(sheet.bars), dtype=bool)
    of_bars[sheet.marks["bar_row"].to_numpy()[given]] = True
    return of_bars


def _place(sheet: SheetBars, choice: Choice, position: int) -> dict[str, Any]:
    row = int(sheet.bars["row"].iloc[position])
    return {"table": sheet.table, "row": row, "column": sheet.places.get(choice.key)}
