"""All checks of the bars, in one pass."""

import re

import numpy as np

from bodytest.intake.all_bars import AllBars
from bodytest.intake.merging import mean_by
from bodytest.intake.stated import differing, stated_words
from bodytest.lab.record import STAGES, Quantity
from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY, STATED
from bodytest.rules.bounds import amount_of, ask_about_unlikely, range_of, refuse_untrue
from bodytest.rules.completeness import tell_alike, tell_shared_codes, tell_what_is_to_come
from bodytest.rules.conditions import settle_conditions
from bodytest.rules.impossible import refuse_impossible
from bodytest.rules.magnitudes import ask_about_magnitudes, ask_about_no_bars_size
from bodytest.rules.neighbours import readings_of, together
from bodytest.rules.plausible import ask_about_far, ask_about_mass_and_length


def check_bars(every: AllBars) -> None:
    """Run every rule over the bars; readings that cannot be used become blank."""
    if not len(every):
        return
    tell_what_is_to_come(every, settle_left_out(every))
    settle_conditions(every)
    tables = readings_of(every)
    odd_columns = ask_about_magnitudes(tables)
    for readings in tables:
        asked = refuse_impossible(readings)
        readings.pass_over(odd_columns)
        refuse_untrue(readings)
        ask_about_unlikely(readings, asked)
        ask_about_far(readings, asked)
        ask_about_no_bars_size(readings)
        tell_alike(readings)
    whole = together(tables)
    asked = set()
    refuse_untrue(whole)
    ask_about_unlikely(whole, asked)
    ask_about_mass_and_length(whole, asked)
    settle_stated(every)
    tell_shared_codes(every)


NO_REASON = frozenset(
    {"x", "xx", "y", "yes", "1", "true", "ok", "✓", "✔", "*", "-", "–", "—", "n", "no", "0", "false", "n/a", "?", ""}
)
"""Texts under “leave out” that leave the bar out but give no reason."""
_FROM_STAGE = re.compile(r"^\s*(?:from\s+)?([^:]{1,30}?)(?:\s+on)?\s*:\s*(.*)$", re.DOTALL | re.IGNORECASE)
_WORDS = 3
"""Words before a colon that may be meant for a stage."""


def settle_left_out(every: AllBars) -> np.ndarray:
    """Leave out readings from the stage that “leave out” names on, and return from which of `STAGES` on by bar.

    A bar of which no stage is named, or the first one, stays left out as a whole.
    """
    begins = np.full(len(every), len(STAGES))
    texts, notes = every.texts("left_out").copy(), every.texts("notes").copy()
    for bar in np.flatnonzero(texts != "").tolist():
        stage, reason = stage_and_reason(texts[bar])
        if reason.casefold() in NO_REASON:
            every.tell("left-out-without-reason", "left_out", bar, value=texts[bar])
        if stage is None and reason != texts[bar]:
            every.tell("left-out-stage-unknown", "left_out", bar, value=texts[bar])
        elif stage is not None and stage != STAGES[0]:
            begins[bar] = STAGES.index(stage)
            _leave_out_from(every, bar, stage, reason or texts[bar])
            notes[bar] = "; ".join(filter(None, (notes[bar], f"left out from {stage} on: {reason}".rstrip(": "))))
            texts[bar] = ""
    every.bars["left_out"], every.bars["notes"] = texts, notes
    return np.where(texts == "", begins, 0)


def stage_and_reason(text: str) -> tuple[str | None, str]:
    """Return the stage named before a colon, None where none is known, and the reason after it.

    >>> stage_and_reason("fired: cracked"), stage_and_reason("glazed: ran"), stage_and_reason("fell")
    (('fired', 'cracked'), (None, 'ran'), (None, 'fell'))
    """
    found = _FROM_STAGE.match(text)
    if found is None or len(found[1].split()) > _WORDS:
        return None, text
    named = re.sub(r"[\s_]+", "-", found[1].casefold())
    return next((stage for stage in STAGES if stage == named), None), found[2].strip()


def _leave_out_from(every: AllBars, bar: int, stage: str, reason: str) -> None:
    """Blank the readings of a bar from one stage on, and say which they were."""
    marks, said = np.flatnonzero(every.bar_of_mark() == bar), []
    for reading in (r for r in every.typed if STAGES.index(r.stage) >= STAGES.index(stage)):
        key, values = reading.key, every.values(reading.key)
        entries = marks if reading.of_mark else np.array([bar])
        entries = entries[~np.isnan(values[entries])]
        said += [f"{reading.heading} {every.shown(key, entry, values[entry])}" for entry in entries.tolist()]
        every.mention(key, entries)
        every.forget(key, entries)
    words = {"stage": stage, "readings": ", ".join(said) or "none yet"}
    every.tell("left-out-from-stage", "left_out", bar, value=reason, **words)


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
        table.account.set_aside("computed column", columns=[table.places[reading.key]], rows=row)


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
                "amount": amount_of(quantity, value, limits),
                "range": range_of(quantity, limits),
            }
            every.tell(code, reading.key, bar, value=value, **words)
    every.forget(reading.key, np.flatnonzero(untrue))
