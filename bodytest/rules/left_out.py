"""Bars that are left out: the whole bar, or its readings from one stage on."""

import re

import numpy as np

from bodytest.intake.all_bars import AllBars
from bodytest.lab.record import STAGES

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
        for entry in entries.tolist():
            table = every.table(key, entry)
            table.notes.mention(table.table, int(every.rows[key][entry]), table.places[key])
            said.append(f"{reading.heading} {every.shown(key, entry, values[entry])}")
        every.forget(key, entries)
    words = {"stage": stage, "readings": ", ".join(said) or "none yet"}
    every.tell("left-out-from-stage", "left_out", bar, value=reason, **words)
