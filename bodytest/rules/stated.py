"""Values that a sheet states of a bar: left to the readings where those give them, else judged by their limits."""

import numpy as np

from bodytest.intake.all_bars import AllBars
from bodytest.intake.merging import mean_by
from bodytest.intake.stated import differing, stated_words
from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY, STATED
from bodytest.rules.bounds import amount_of, range_of


def settle_stated(every: AllBars) -> None:
    """Drop stated values that the readings give too or that cannot be true, and say of the others what they are."""
    for key, reading in STATED.items():
        if reading.column not in every.bars:
            continue
        quantity = QUANTITY_BY_KEY[key]
        _leave_to_readings(every, quantity)
        stated = every.values(reading.key)
        _judge(every, quantity, stated)
        given = np.flatnonzero(~np.isnan(every.values(reading.key)))
        for number in np.unique(every.table_of[reading.key][given]).tolist():
            mine = given[every.table_of[reading.key][given] == number]
            words = {"value": len(mine), "quantity": quantity.words}
            every.tell("taken-as-stated", reading.key, int(mine[0]), **words)


def _leave_to_readings(every: AllBars, quantity: Quantity) -> None:
    """Ask about stated values that differ from what the readings of their bar give, and use the readings."""
    reading = STATED[quantity.key]
    stated = every.values(reading.key)
    computed = quantity.value({need: _of_bars(every, need) for need in quantity.needs})
    both = np.flatnonzero(~np.isnan(stated) & ~np.isnan(computed))
    if not len(both):
        return
    differs = differing(stated[both], computed[both])
    for bar in both[differs].tolist():
        words = stated_words(quantity.key, stated[bar], computed[bar])
        every.tell("stated-differs", reading.key, bar, value=float(stated[bar]), **words)
    every.forget(reading.key, both)
    for bar in both[~differs].tolist():
        table, row = every.table(reading.key, bar), int(every.rows[reading.key][bar])
        table.account.set_aside("computed column", columns=[table.places[reading.key]], rows=range(row, row + 1))


def _of_bars(every: AllBars, key: str) -> np.ndarray:
    """Return a reading of each bar, the mean over its marks."""
    values = every.values(key)
    return mean_by(every.bar_of_mark(), values, len(every)) if READING_BY_KEY[key].of_mark else values


def _judge(every: AllBars, quantity: Quantity, stated: np.ndarray) -> None:
    """Refuse stated values that cannot be true, and ask about those that clay hardly ever has."""
    reading = STATED[quantity.key]
    (lowest, highest), (low, high) = quantity.possible, quantity.plausible
    untrue = (stated < lowest) | (stated > highest)
    unlikely = ~untrue & ((stated < low) | (stated > high))
    for code, odd, limits in (
        ("stated-impossible", untrue, quantity.possible),
        ("stated-beyond-clay", unlikely, quantity.plausible),
    ):
        for bar in np.flatnonzero(odd).tolist():
            value = float(stated[bar])
            words = {
                "quantity": quantity.words,
                "amount": amount_of(quantity, value),
                "range": range_of(quantity, limits),
            }
            every.tell(code, reading.key, bar, value=value, **words)
    every.forget(reading.key, np.flatnonzero(untrue))
