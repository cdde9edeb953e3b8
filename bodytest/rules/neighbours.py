"""What a reading should be, going by the other readings of its bar and by the bars around it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from bodytest.intake.all_bars import AllBars
from bodytest.intake.merging import group_by
from bodytest.lab.record import BEFORE_FIRING, Reading
from bodytest.quantities import READING_BY_KEY, READINGS

FEWEST = 3
"""Neighbours that are needed to know what is usual."""
MOST = 400
"""Neighbours that are looked at."""
LOOSEST = 0.03
"""A reading farther than this share from what is usual never fits."""


@dataclass(frozen=True)
class Expected:
    """What a reading should be."""

    value: float
    """Usual value, in the unit held."""
    tolerance: float
    """How far around it still fits, in the unit held."""

    def fits(self, value: float) -> bool:
        """Tell whether a value is as usual."""
        return abs(value - self.value) <= self.tolerance


class Neighbourhood:
    """Which entries stand together."""

    def __init__(self, ids: np.ndarray) -> None:
        self.ids = ids

    @cached_property
    def _order(self) -> np.ndarray:
        return np.argsort(self.ids, kind="stable")

    def members(self, position: int) -> np.ndarray:
        """Return the entries that stand with one, without it."""
        start, end = np.searchsorted(self.ids, (self.ids[position], self.ids[position] + 1), sorter=self._order)
        members = self._order[start:end]
        return np.asarray(members[members != position][:MOST])


@dataclass
class Readings:
    """Readings that can be compared with each other: lengths by mark, masses by bar, the others by bar."""

    every: AllBars
    """Where they come from."""
    readings: tuple[Reading, ...]
    """Which ones."""
    values: dict[str, np.ndarray]
    """As typed, by key, in the unit held."""
    bar_rows: np.ndarray
    """Position of the bar of each entry."""
    group: "Neighbourhood"
    """Workbook, body, batch, firing, direction and forming; bars of a batch of few stand with such of others."""
    load: "Neighbourhood"
    """Workbook, body, firing, direction and forming of each entry: asked where the batch is too small."""
    batch: "Neighbourhood"
    """Body, batch, direction and forming, whatever firing it went to; without a batch, the workbook too."""

    def tell(self, code: str, key: str, position: int, **words: object) -> None:
        """Write down a finding about the cell of one reading, as whose value it counts where no other is given."""
        own = {"value": float(self.values[key][position]), "heading": READING_BY_KEY[key].heading}
        self.every.tell(code, key, self.entry(key, position), **{**own, **words})

    def is_told(self, key: str, position: int) -> bool:
        """Tell whether something was written down about the cell of one reading."""
        return self.every.is_told(key, self.entry(key, position))

    def cell(self, key: str, position: int, *, beside: str) -> str:
        """Return the cell of one reading as a finding about the cell of another one of the bar names it."""
        return self.every.cell(key, self.entry(key, position), self.every.table(beside, self.entry(beside, position)))

    def shown(self, key: str, position: int, number: float) -> str:
        """Return a number that is held as readings of a key are, in the unit of the column of one of them."""
        return self.every.shown(key, self.entry(key, position), number)

    def unit(self, key: str, position: int) -> str:
        """Return the unit of the column of one reading."""
        return self.every.table(key, self.entry(key, position)).unit(key)

    def given(self) -> dict[str, np.ndarray]:
        """Return the values of those readings that some entry has."""
        return {key: values for key, values in self.values.items() if not np.isnan(values).all()}

    def texts(self, key: str) -> np.ndarray:
        """Return a text of the bar of each entry."""
        return np.asarray(self.every.texts(key)[self.bar_rows])

    def steps(self, instrument: str) -> np.ndarray:
        """Return the reading step of each entry, 0 where it is not known."""
        return np.asarray(self.every.steps(instrument)[self.bar_rows])

    @property
    def is_whole(self) -> bool:
        """Whether these are all readings of the bars, `together`."""
        return len({reading.of_mark for reading in self.readings}) > 1

    def entry(self, key: str, position: int) -> int:
        """Return where a reading stands among those of its own table: by mark for lengths, else by bar."""
        if not (self.is_whole and READING_BY_KEY[key].of_mark):
            return position
        of_bar = self.every.bar_of_mark() == self.bar_rows[position]
        given = np.flatnonzero(of_bar & ~np.isnan(self.every.values(key)))
        return int(given[0] if len(given) else np.flatnonzero(of_bar)[0])

    def tables(self) -> np.ndarray:
        """Return the table of each entry's bar, by its position in those of `every`."""
        return np.asarray(self.every.table_of["bar"][self.bar_rows])

    def pass_over(self, columns: Mapping[str, np.ndarray]) -> None:
        """Judge nothing further by some columns, given as key → in which tables."""
        for key in columns.keys() & self.values.keys():
            self.values[key] = np.where(columns[key][self.tables()], np.nan, self.values[key])

    def forget(self, refused: set[tuple[str, int]]) -> None:
        """Blank readings that cannot be used, given by key and position."""
        for key in {key for key, _ in refused}:
            positions = np.array([p for k, p in refused if k == key])
            self.every.forget(key, np.array([self.entry(key, p) for p in positions]))
            self.values[key] = self.values[key].copy()
            self.values[key][positions] = np.nan

    def around(self, *keys: str) -> "Neighbourhood":
        """Return among which entries readings are judged: those before the firing among the whole batch."""
        return self.batch if all(READING_BY_KEY[key].stage in BEFORE_FIRING for key in keys) else self.group

    def expected(self, key: str, position: int, doubtful: frozenset[str] = frozenset()) -> Expected | None:
        """Return what a reading should be, from readings of the same bar that are not doubtful; None if unknown."""
        near = self._expected_among(key, position, doubtful, widely=False)
        return near or self._expected_among(key, position, doubtful, widely=True)

    def _expected_among(self, key: str, position: int, doubtful: frozenset[str], *, widely: bool) -> Expected | None:
        guesses = []
        for other in self.readings:
            beside = self.values[other.key][position]
            comparable = other.dimension is READING_BY_KEY[key].dimension and other.dimension.staged
            if other.key == key or other.key in doubtful or np.isnan(beside) or not comparable:
                continue
            members = (self.load if widely else self.around(key, other.key)).members(position)
            ratios = self.values[key][members] / self.values[other.key][members]
            ratios = ratios[np.isfinite(ratios)]
            if len(ratios) >= FEWEST:
                guesses.append(_guess(ratios, beside))
        if not guesses:
            return self._expected_alone(key, (self.load if widely else self.around(key)).members(position))
        guesses.sort(key=lambda g: g.tolerance / g.value)
        return guesses[0]

    def _expected_alone(self, key: str, members: np.ndarray) -> Expected | None:
        """Return what the same reading of the neighbours says, where it varies little."""
        values = self.values[key][members]
        values = values[np.isfinite(values)]
        if len(values) < FEWEST:
            return None
        guess = _guess(values, 1.0)
        return guess if guess.tolerance < LOOSEST * guess.value else None


def _guess(ratios: np.ndarray, beside: float) -> Expected:
    middle = float(np.median(ratios))
    spread = float(np.median(np.abs(ratios - middle))) * 1.4826
    tolerance = min(max(5 * spread, 0.004 * middle), LOOSEST * middle)
    return Expected(middle * beside, tolerance * beside)


def readings_of(every: AllBars) -> list[Readings]:
    """Return the readings in tables of those that can be compared with each other."""
    books, batches = every.book_of_bar(), every.texts("batch")
    names = [np.where(batches == "", books, -1), batches, *map(every.texts, ("body", "direction", "forming"))]
    batch = group_by(names).ids
    of_batch = group_by([books, batch, every.texts("firing")]).ids
    alone = np.bincount(of_batch)[of_batch] < FEWEST
    of_body = group_by([books, *map(every.texts, ("body", "firing", "direction", "forming"))]).ids
    group = group_by([alone, np.where(alone, of_body, of_batch)]).ids
    tables: dict[tuple[bool, bool], list[Reading]] = {}
    for reading in READINGS:
        tables.setdefault((reading.of_mark, reading.dimension.staged), []).append(reading)
    found = []
    for (of_mark, _), readings in tables.items():
        bar_rows = every.bar_of_mark() if of_mark else np.arange(len(every))
        values = {r.key: every.values(r.key) for r in readings}
        around = [Neighbourhood(ids[bar_rows]) for ids in (group, of_body, batch)]
        found.append(Readings(every, tuple(readings), values, bar_rows, *around))
    return found


def together(tables: list[Readings]) -> Readings:
    """Return all readings by bar; of several marks the first one with a reading stands for the bar."""
    every = tables[0].every
    bars = np.arange(len(every))
    values: dict[str, np.ndarray] = {}
    for table in tables:
        if np.array_equal(table.bar_rows, bars):
            values |= table.values
            continue
        for key, of_entry in table.values.items():
            first = pd.Series(of_entry).groupby(table.bar_rows).first()
            values[key] = first.reindex(bars).to_numpy(dtype=float)
    readings = tuple(r for table in tables for r in table.readings)
    last = tables[-1]
    return Readings(every, readings, values, bars, last.group, last.load, last.batch)


def least_fitting(readings: Readings, position: int, keys: list[str]) -> str:
    """Return the reading that does not fit what the others say it should be, the last one where that is open."""
    misfits = []
    for key in keys:
        expected = readings.expected(key, position, frozenset(keys))
        if expected is not None and not expected.fits(float(readings.values[key][position])):
            misfits.append(key)
    return misfits[-1] if misfits else keys[-1]


def only_misfit(readings: Readings, position: int, keys: Iterable[str]) -> str | None:
    """Return the one reading that does not fit what readings other than ``keys`` say; None where that is open."""
    doubtful = frozenset(keys)
    fitting = {}
    for key in doubtful:
        expected = readings.expected(key, position, doubtful)
        if expected is None:
            return None
        fitting[key] = expected.fits(float(readings.values[key][position]))
    misfits = [key for key, fits in fitting.items() if not fits]
    return misfits[0] if len(misfits) == 1 else None


def write_other(readings: Readings, key: str, at: str, position: int) -> None:
    """Write down the other one of two readings that cannot both be right, once."""
    if not readings.is_told(key, position):
        readings.tell("contradicts-another", key, position, other=readings.cell(at, position, beside=key))
