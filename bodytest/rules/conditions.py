"""How a bar was tested: what its choice columns say, and whether that agrees with its readings."""

from collections import Counter
from typing import Any

import numpy as np

from bodytest.intake.all_bars import AllBars
from bodytest.intake.merging import group_by
from bodytest.lab.forming import FORMING
from bodytest.lab.record import Choice, Quantity, Reading, Way
from bodytest.quantities import CHOICES, QUANTITIES, READING_BY_KEY, READINGS


def settle_conditions(every: AllBars) -> None:
    """Give choices one spelling; write down those that cannot be or are missing, and readings beside a formula."""
    for choice in CHOICES:
        _settle(every, choice)
    _form_as_lab_says(every)
    _ask_about_formings(every)
    told: set[tuple[str, ...]] = set()
    for quantity in QUANTITIES:
        if len(quantity.ways) > 1 and quantity.needs not in told:
            told.add(quantity.needs)
            _ask_about_two_ways(every, quantity)


def _form_as_lab_says(every: AllBars) -> None:
    """Give bars without a forming that of their Lab table."""
    of_sheet = np.array([lab.forming or "" for lab in every.labs], dtype=object)
    own, said = every.texts(FORMING.key), of_sheet[every.bars["sheet"].to_numpy(dtype=np.int64)]
    every.bars[FORMING.key] = np.where(own == "", said, own)


def _ask_about_formings(every: AllBars) -> None:
    """Ask, once for a body and direction, about bars that are summarised together and were formed in different ways."""
    together = group_by([*map(every.texts, ("body", "direction"))])
    formings = every.texts(FORMING.key)
    counted = every.texts("left_out") == ""
    for number in np.unique(together.ids[formings != formings[together.first][together.ids]]).tolist():
        bars = np.flatnonzero((together.ids == number) & counted)
        counts = Counter(formings[bars].tolist())
        if len(counts) > 1:
            odd = int(bars[formings[bars] != formings[bars[0]]][0])
            listed = ", ".join(f"{forming or 'not said'} {count}" for forming, count in counts.items())
            body, direction = (every.texts(key)[odd] for key in ("body", "direction"))
            words = {"names": f"{body} {direction}".strip() or "one body", "body": body, "listed": listed}
            key = FORMING.key if every.has_column(FORMING.key)[odd] else "bar"
            every.tell("forming-differs", key, odd, value=formings[odd], **words)


def _settle(every: AllBars, choice: Choice) -> None:
    texts = every.texts(choice.key).copy()
    options = {option.casefold(): option for option in choice.options}
    blank = texts == ""
    for position in np.flatnonzero(~blank).tolist():
        text, texts[position] = texts[position], options.get(texts[position].casefold(), "")
        if not texts[position]:
            words: dict[str, Any] = {"heading": choice.heading, "choices": "; ".join(choice.options)}
            every.tell("choice-unknown", choice.key, position, value=text, **words)
    for option, later in choice.ends.items():
        for reading in (r for r in READINGS if r.stage in later):
            for position in np.flatnonzero((texts == option) & has(every, reading)).tolist():
                words = {"heading": choice.heading, "reading": reading.heading}
                typed = every.bars[choice.key].iloc[position]
                every.tell("tested-before-it-was-read", choice.key, position, value=typed, **words)
                texts[position] = ""
    _ask_for_choice(every, choice, blank)
    every.bars[choice.key] = texts


def _ask_for_choice(every: AllBars, choice: Choice, blank: np.ndarray) -> None:
    """Write down bars with every reading of a quantity that depends on a choice, and no choice."""
    depending = [q for q in QUANTITIES if q.when is not None and q.when[0] is choice]
    complete = np.zeros(len(every), dtype=bool)
    for quantity in depending:
        for way in quantity.ways:
            complete |= has_all(every, way)
    for position in np.flatnonzero(blank & complete).tolist():
        first = depending[0].readings[0]
        value = every.shown(first.key, position, float(every.values(first.key)[position]))
        words = {"reading": first.heading, "heading": choice.heading, "choices": " or ".join(choice.options)}
        every.tell("choice-missing", first.key, position, value=value, **words)


def _ask_about_two_ways(every: AllBars, quantity: Quantity) -> None:
    """Ask about bars with readings for one formula of a quantity, and with some that only another one needs."""
    first, *others = quantity.ways
    complete = has_all(every, first)
    own = [READING_BY_KEY[key] for key in first.needs if any(key not in way.needs for way in others)]
    for reading in (r for way in others for key in way.needs if key not in first.needs for r in [READING_BY_KEY[key]]):
        for position in np.flatnonzero(complete & has(every, reading)).tolist():
            value = every.shown(reading.key, position, float(every.values(reading.key)[position]))
            words = {"heading": reading.heading, "used": " and ".join(r.heading for r in own)}
            every.tell("two-formulas", reading.key, position, value=value, **words)
            complete[position] = False


def has_all(every: AllBars, way: Way) -> np.ndarray:
    """Tell which bars have every reading of a formula."""
    return np.asarray(np.logical_and.reduce([has(every, READING_BY_KEY[key]) for key in way.needs]))


def not_needed(every: AllBars, reading: Reading) -> np.ndarray:
    """Tell which bars can do without a reading, because another formula of the same quantity has all it needs."""
    spared = np.zeros(len(every), dtype=bool)
    for quantity in QUANTITIES:
        if any(reading.key in way.needs for way in quantity.ways):
            for way in quantity.ways:
                spared |= has_all(every, way) if reading.key not in way.needs else False
    return spared


def has(every: AllBars, reading: Reading) -> np.ndarray:
    """Tell which bars have a reading."""
    given: np.ndarray = ~np.isnan(every.values(reading.key))
    if not reading.of_mark:
        return given
    of_bars = np.zeros(len(every), dtype=bool)
    of_bars[every.bar_of_mark()[given]] = True
    return of_bars
