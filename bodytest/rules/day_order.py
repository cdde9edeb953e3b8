"""Dates of one bar that cannot all be right: a stage measured after a later one, or on the wrong side of the firing."""

from collections.abc import Iterator, Mapping

import numpy as np

from bodytest.intake.all_bars import AllBars
from bodytest.intake.days import FiringDay, also
from bodytest.intake.merging import group_by
from bodytest.lab.record import BEFORE_FIRING, Reading
from bodytest.quantities import DATES
from bodytest.units import iso_day

_AFTER_FIRING = ("fired", "cold-soaked", "boiled")
"""Stages of a fired bar; its bisque may be another firing, and what was broken may have been broken dry."""


def settle_days(every: AllBars, firings: Mapping[str, FiringDay]) -> None:
    """Refuse dates that cannot be right beside the others of their bar or beside the firing of that code."""
    dates = [one for one in DATES if one.column in every.bars]
    _refuse_disorder(every, dates)
    codes = every.texts("firing")
    for code in np.unique(codes).tolist() if dates else ():
        if code in firings:
            _refuse_beside_firing(every, dates, np.flatnonzero(codes == code), code, firings[code])


def _refuse_disorder(every: AllBars, dates: list[Reading]) -> None:
    """Refuse both dates of bars that were measured at a stage before the last one that has a date."""
    last_day, last_date = np.full(len(every), np.nan), np.full(len(every), -1)
    odd: dict[str, set[int]] = {one.key: set() for one in dates}
    for number, one in enumerate(dates):
        days = every.values(one.key)
        out = days < last_day
        for before in np.unique(last_date[out]).tolist():
            earlier = dates[before]
            for bars in _alike(every, one, np.flatnonzero(out & (last_date == before)), last_day):
                first = int(bars[0])
                partner = f"{one.heading}, {iso_day(days[first])} in {_cell(every, one, first)}"
                _tell(every, earlier, bars, "after", partner, " Neither is used.")
                every.mention(one.key, bars)
                odd[one.key].update(bars.tolist())
                odd[earlier.key].update(bars.tolist())
        given = ~np.isnan(days)
        last_day[given], last_date[given] = days[given], number
    for key, bars_of in odd.items():
        every.forget(key, np.array(sorted(bars_of), dtype=np.int64))


def _refuse_beside_firing(every: AllBars, dates: list[Reading], bars: np.ndarray, code: str, fired: FiringDay) -> None:
    """Refuse dates of unfired stages after the firing, and of fired ones before it."""
    for one in dates:
        days = every.values(one.key)[bars]
        unfired = one.stage in BEFORE_FIRING
        if not unfired and one.stage not in _AFTER_FIRING:
            continue
        odd = bars[days > fired.day if unfired else days < fired.day]
        for alike in _alike(every, one, odd):
            first = int(alike[0])
            there = "" if fired.sheet == every.table(one.key, first).notes.sheet else f"{fired.sheet}, "
            partner = f"firing {code}, {iso_day(fired.day)} in {there}{fired.cell}"
            _tell(every, one, alike, "after" if unfired else "before", partner, " The date of the bar is not used.")
        every.forget(one.key, odd)


def _alike(every: AllBars, date: Reading, bars: np.ndarray, *others: np.ndarray) -> Iterator[np.ndarray]:
    """Yield bars of one table with the same dates together."""
    if len(bars):
        same = group_by([every.table_of[date.key][bars], every.values(date.key)[bars], *(o[bars] for o in others)])
        for number in range(len(same)):
            yield bars[same.ids == number]


def _cell(every: AllBars, date: Reading, bar: int) -> str:
    return every.cell(date.key, bar, every.table(date.key, bar))


def _tell(every: AllBars, date: Reading, bars: np.ndarray, relation: str, partner: str, verdict: str) -> None:
    """Write down one date that lies on the wrong side of another, at the first of the bars."""
    first, rows = int(bars[0]), np.unique(every.rows[date.key][bars])
    value = iso_day(every.values(date.key)[first])
    words = {"heading": date.heading, "relation": relation, "partner": partner, "verdict": verdict}
    every.tell("dates-out-of-order", date.key, first, value=value, more=also(len(rows) - 1), **words)
    every.mention(date.key, bars[1:])
