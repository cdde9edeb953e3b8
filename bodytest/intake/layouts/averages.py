"""Rows that are the averages or the spread of other bars, though nothing that stands in them says so."""

import math
from collections.abc import Iterator

import numpy as np

from bodytest.grids.notebook import Notebook
from bodytest.intake.layouts.meant import is_reading
from bodytest.intake.layouts.records import FILLED_DOWN, Record, number_in, text_in
from bodytest.intake.layouts.view import MOST_LINES
from bodytest.intake.merging import group_by

_NAMES = (*FILLED_DOWN, "mark")
_SAME = 1e-9
"""Share by which an average as a sheet computes it may differ from ours."""


def without_averages(records: list[Record], units: dict[str, str], notes: Notebook) -> list[Record]:
    """Return the rows that are bars; those that are averages of others are written down."""
    keys = [key for key in dict.fromkeys(k for record in records for k in record) if key.endswith(("_length", "_mass"))]
    if not keys or len(records) > MOST_LINES:
        return records
    values = np.array([[number_in(record, key, units.get(key, "")) for key in keys] for record in records])
    decimals = np.array([[*map(_decimals, row)] for row in values.tolist()])
    names = group_by([np.array([text_in(record, key).casefold() for record in records]) for key in _NAMES]).ids
    bars = np.ones(len(records), dtype=bool)
    codes = [text_in(record, "bar") for record in records]
    numbered = np.array([any(map(str.isdigit, code)) for code in codes])
    worded = ~numbered & np.array([code != "" for code in codes])
    for number in np.flatnonzero((decimals > np.median(decimals, axis=0)).any(axis=1) | worded).tolist():
        bars[number] = False
        for others in (bars & maybe for maybe in _averaged(names, number)):
            most = decimals[others].max(axis=0, initial=0)
            if worded[number] and numbered[others].all():
                step = 0.5001 * 0.1**most  # a word below numbered bars may be rounded as they are
            elif (decimals[number] > most).any():
                step = np.zeros(len(keys))
            else:
                continue
            if what := _summary(values[number], values[others], step):
                _tell(records[number], what, int(others.sum()), notes)
                break
        else:
            bars[number] = True
    return [record for record, is_bar in zip(records, bars.tolist(), strict=True) if is_bar]


def _tell(record: Record, what: str, bars: int, notes: Notebook) -> None:
    """Write down a row that sums up some bars."""
    places = [place for key, cell in record.items() if is_reading(key) for place in cell.places]
    for table, row, column in (place for cell in record.values() for place in cell.places):
        notes.accounts[table].set_aside("total row", columns=[column], rows=row)
    notes.add("averages-of-bars", **places[0]._asdict(), what=what, bars=bars)


def _averaged(names: np.ndarray, number: int) -> Iterator[np.ndarray]:
    """Yield what a row may be the average of: all of its names, those of one name right above it, all above it."""
    above = np.arange(len(names)) < number
    yield names == names[number]
    others = np.flatnonzero(above & (names != names[number - 1]))
    yield above & (np.arange(len(names)) > max(others, default=-1))
    yield above


def _summary(row: np.ndarray, others: np.ndarray, step: np.ndarray) -> str:
    """Return what the readings of a row are of the others', as far as they are told; nothing for those of a bar.

    >>> bars = np.array([[100.0, 94.1], [100.1, 94.3], [100.4, 94.4]])
    >>> exact, rounded = np.zeros(2), np.full(2, 0.05)
    >>> _summary(bars.mean(axis=0), bars, exact), _summary(bars[1], bars[::2], exact)
    ('averages', '')
    >>> _summary(np.array([100.2, 94.3]), bars, rounded), _summary(np.array([100.2, 94.3]), bars, exact)
    ('averages', '')
    >>> _summary(bars.std(axis=0, ddof=1), bars, exact)
    'standard deviations'
    """
    given = ~np.isnan(row)
    row, others, step = row[given], others[:, given], step[given]
    if len(others) < 2 or given.sum() < 2 or np.isnan(others).all(axis=0).any():
        return ""
    mean, count = np.nanmean(others, axis=0), (~np.isnan(others)).sum(axis=0)
    squares = np.nansum((others - mean) ** 2, axis=0)
    spreads = (np.sqrt(squares / divisor) for divisor in (np.maximum(count - 1, 1), count))
    for what, of_bars in (("averages", mean), *(("standard deviations", spread) for spread in spreads)):
        if (np.abs(row - of_bars) <= np.maximum(step, _SAME * mean)).all():
            return what
    return ""


def _decimals(value: float) -> int:
    """Return how many decimals a reading has.

    >>> _decimals(94.25), _decimals(94.0), _decimals(float("nan"))
    (2, 0, 0)
    """
    return len(f"{value:.9f}".rstrip("0").partition(".")[2]) if math.isfinite(value) else 0
