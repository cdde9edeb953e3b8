"""Which tables hold the same bars: the evidence is readings that agree where code, body, batch and firing do.

The rule and the ones that were rejected: ``docs/decisions/2026-11-28-journal-of-bars.md``.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bodytest.intake.all_bars import AllBars
from bodytest.intake.merging import group_by
from bodytest.lab.record import Reading
from bodytest.quantities import READINGS
from bodytest.units import DAY

MOST_AGREE = 0.9
"""Share of agreeing readings at which two tables hold the same bars, however coarse the readings are."""
ABOVE_CHANCE = 1 / 3
"""Else the share of the way from what chance makes agree to full agreement that the readings have to be …"""
SURE = 3.0
"""… and how many standard errors above what chance makes agree."""
FEWEST = 3
"""Bars that agree wholly between tables which on the whole hold other bars, before it is asked about."""
CANDIDATES = 5
"""Earlier tables that one is compared with: those with which it has most readings in common."""
FEW_FIRINGS = 4
"""Rows of one code in one table that are compared."""
FINEST = 6
"""Decimals beyond which a reading is not rounded for display."""


@dataclass(frozen=True)
class Part:
    """The bars of one body in one table."""

    table: int
    """Position of the table."""
    body: str
    """Name of the body."""


@dataclass(frozen=True)
class SamePart:
    """Two parts that were compared, and what was found."""

    earlier: int
    """Position of the part that was given first."""
    later: int
    """Position of the other one."""
    is_same: bool
    """Whether they are states of one sheet."""
    shared: int
    """Readings that both hold."""
    alike: np.ndarray
    """Bars of the later one that agree wholly with the earlier one, in two readings or more."""
    measured: bool
    """Whether both hold readings at all."""


def parts_of(every: AllBars) -> tuple[np.ndarray, list[Part]]:
    """Return the part of each bar, and all parts in the order of the tables."""
    tables, bodies = every.table_of["bar"], every.texts("body")
    grouping = group_by([tables, bodies])
    return grouping.ids, [Part(int(tables[i]), str(bodies[i])) for i in grouping.first]


def plain_codes(every: AllBars) -> np.ndarray:
    """Return the code of each bar as a number, the same one in every table."""
    return np.asarray(pd.factorize(pd.Series(every.texts("bar"), dtype=object).str.casefold())[0])


def compared_parts(every: AllBars, part: np.ndarray, parts: list[Part]) -> Iterator[SamePart]:
    """Compare each part with the earlier ones that are most like it."""
    codes = plain_codes(every)
    candidates = _candidates(every, part, parts, codes)
    if not len(candidates):
        return
    pairs = _matched(every, candidates, part, codes)
    evidence = _Evidence(every, pairs, len(candidates))
    same = evidence.is_same()
    only_here = np.bincount(_parts_by_code(part, codes), minlength=1)[codes] == 2
    apart = ~np.bincount(pairs["pair"], ~only_here[pairs["bar"]], minlength=len(candidates)).astype(bool)
    read = np.bincount(part, evidence.readings_of_bar > 0, minlength=len(parts)) > 0
    for number, (earlier, later) in enumerate(candidates.tolist()):
        shared = int(evidence.shared[number])
        joined = same[number] or (shared == 0 and apart[number] and evidence.bars[number] > 0)
        measured = bool(read[earlier] and read[later])
        yield SamePart(earlier, later, bool(joined), shared, evidence.alike(number), measured)


def _parts_by_code(part: np.ndarray, codes: np.ndarray) -> np.ndarray:
    """Return the code of each pair of a code and a part that holds it."""
    return np.asarray(codes[group_by([codes, part]).first])


def _candidates(every: AllBars, part: np.ndarray, parts: list[Part], codes: np.ndarray) -> np.ndarray:
    """Return pairs of an earlier and a later part that hold one reading of one code, the likeliest ones of each."""
    links = [_neighbours(part, codes, np.zeros(len(codes)))]
    for reading in _evidence(every):
        values = every.values(reading.key)
        given = np.flatnonzero(~np.isnan(values))
        bars = every.bar_of_mark()[given] if reading.of_mark else given
        links.append(_neighbours(part[bars], codes[bars], values[given]))
    pairs, counts = np.unique(np.concatenate(links), axis=0, return_counts=True)
    fit = np.array([can_be_one(parts[a], parts[b]) for a, b in pairs.tolist()], dtype=bool)
    pairs, counts = pairs[fit], counts[fit]
    order = np.lexsort((-counts, pairs[:, 1]))
    later = pairs[order, 1]
    rank = np.arange(len(later)) - np.searchsorted(later, later)
    return np.asarray(pairs[order][rank < CANDIDATES])


def _evidence(every: AllBars) -> list[Reading]:
    """Return what tells bars apart: readings, but no dates, which many bars share."""
    return [reading for reading in every.typed if reading.dimension is not DAY]


def can_be_one(earlier: Part, later: Part) -> bool:
    """Tell whether the names of two parts allow that they hold the same bars."""
    return earlier.table != later.table and (earlier.body == later.body or "" in (earlier.body, later.body))


def _neighbours(part: np.ndarray, codes: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Return, for each part in which a code has a value, the part before it in which it has that value too."""
    order = np.lexsort((part, values, codes))
    part, codes, values = part[order], codes[order], values[order]
    same = (codes[1:] == codes[:-1]) & (values[1:] == values[:-1]) & (part[1:] != part[:-1])
    return np.stack([part[:-1][same], part[1:][same]], axis=1)


def _matched(every: AllBars, candidates: np.ndarray, part: np.ndarray, codes: np.ndarray) -> pd.DataFrame:
    """Return the pairs of bars with one code, and with one batch and firing where both name them."""
    names = {key: every.texts(key) for key in ("batch", "firing")}
    bars = pd.DataFrame({"part": part, "code": codes, "bar": np.arange(len(part))})
    bars = bars[bars.groupby(["part", "code"]).cumcount() < FEW_FIRINGS]
    pairs = pd.DataFrame({"pair": np.arange(len(candidates)), "first": candidates[:, 0], "second": candidates[:, 1]})
    pairs = pairs.merge(bars, left_on="first", right_on="part")[["pair", "second", "code", "bar"]]
    pairs = pairs.merge(bars, left_on=["second", "code"], right_on=["part", "code"], suffixes=("", "_later"))
    fit = np.ones(len(pairs), dtype=bool)
    for texts in names.values():
        first, second = texts[pairs["bar"].to_numpy()], texts[pairs["bar_later"].to_numpy()]
        fit &= (first == second) | (first == "") | (second == "")
    return pairs[fit].sort_values("pair", kind="stable", ignore_index=True)


class _Evidence:
    """How many readings of matched bars agree, by pair of parts."""

    def __init__(self, every: AllBars, pairs: pd.DataFrame, count: int) -> None:
        self.pair = pairs["pair"].to_numpy()
        self.first, self.second = pairs["bar"].to_numpy(), pairs["bar_later"].to_numpy()
        self.bars = np.bincount(self.pair, minlength=count)
        start = np.searchsorted(self.pair, self.pair)
        of_pair = self.bars[self.pair]
        other = self.second[start + (np.arange(len(self.pair)) - start + of_pair // 2) % np.maximum(of_pair, 1)]
        self.both, self.agree, self.told, self.right = (np.zeros(len(self.pair), dtype=int) for _ in range(4))
        chance, chances = (np.zeros(len(self.pair), dtype=int) for _ in range(2))
        self.readings_of_bar = np.zeros(len(every), dtype=int)
        for reading in _evidence(every):
            values = ReadingOfBars(every, reading.key)
            self.readings_of_bar += ~np.isnan(values.values)
            both, agree = values.compared(self.first, self.second)
            self.both, self.agree = self.both + both, self.agree + agree
            if not reading.set_alike:
                self.told, self.right = self.told + both, self.right + agree
                both, agree = values.compared(self.first, other)
                chances, chance = chances + both, chance + agree
        self.shared = np.bincount(self.pair, self.both, minlength=count)
        self._differ = np.bincount(self.pair, self.both - self.agree, minlength=count)
        self._share = self._of(self.right, self.told, count)
        self._chance = np.where(self.bars > 1, self._of(chance, chances, count), 0.0)
        self._told = np.bincount(self.pair, self.told, minlength=count)

    def _of(self, part: np.ndarray, whole: np.ndarray, count: int) -> np.ndarray:
        """Return what share one number is of another, summed over each pair of parts."""
        total = np.bincount(self.pair, whole, minlength=count)
        return np.asarray(np.bincount(self.pair, part, minlength=count) / np.maximum(total, 1))

    def is_same(self) -> np.ndarray:
        """Tell which pairs of parts hold the same bars."""
        error = np.sqrt(2 * self._chance * (1 - self._chance) / np.maximum(self._told, 1))
        needed = np.maximum(ABOVE_CHANCE * (1 - self._chance), SURE * error)
        above = (self._share > self._chance) & (self._share - self._chance >= needed)
        agree = (self._differ == 0) | (self._share >= MOST_AGREE) | above
        return np.asarray((self.shared > 0) & agree)

    def alike(self, number: int) -> np.ndarray:
        """Return the later bars of a pair of parts that agree wholly, in two readings or more."""
        mine = slice(*np.searchsorted(self.pair, (number, number + 1)).tolist())
        return np.asarray(self.second[mine][(self.both[mine] >= 2) & (self.both[mine] == self.agree[mine])])


class ReadingOfBars:
    """One reading of each bar, of several marks the first one, with the decimals that its column is written to."""

    def __init__(self, every: AllBars, key: str) -> None:
        values = every.values(key)
        self.labels: np.ndarray | None = None
        tables = every.table_of[key]
        if len(values) and key in _OF_MARK:
            first = np.unique(every.bar_of_mark(), return_index=True)[1]
            self.labels = every.marks["mark"].to_numpy(dtype=object)[first]
            values, tables = values[first], tables[first]
        self.values = values
        self.decimals = column_decimals(values, tables, len(every.tables))[tables]

    def compared(self, first: np.ndarray, second: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Tell which pairs of bars both have the reading, and which of them agree in it."""
        mine, theirs = self.values[first], self.values[second]
        both = ~np.isnan(mine) & ~np.isnan(theirs)
        if self.labels is not None:
            here, there = self.labels[first], self.labels[second]
            both &= (here == there) | (here == "") | (there == "")
        return both, both & agrees(mine, theirs, self.decimals[first], self.decimals[second])


_OF_MARK = frozenset(reading.key for reading in READINGS if reading.of_mark)


def column_decimals(values: np.ndarray, tables: np.ndarray, count: int) -> np.ndarray:
    """Return to how many decimals a reading is written in each table.

    >>> column_decimals(np.array([94.0, 94.25, 88.0]), np.array([0, 0, 1]), 2).tolist()
    [2, 0]
    """
    needed = np.full(len(values), FINEST)
    for decimals in reversed(range(FINEST)):
        needed[np.abs(np.round(values, decimals) - values) < 1e-9] = decimals
    most = np.zeros(count, dtype=int)
    np.maximum.at(most, tables[~np.isnan(values)], needed[~np.isnan(values)])
    return most


def decimals_of(values: np.ndarray) -> int:
    """Return to how many decimals the values of one column are written.

    >>> decimals_of(np.array([11.6, 12.25, np.nan]))
    2
    """
    return int(column_decimals(values, np.zeros(len(values), dtype=int), 1)[0])


def agrees(mine: np.ndarray, theirs: np.ndarray, decimals: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Tell which readings are the same, or one the other as rounded for display in a column of fewer decimals.

    A column without decimals may hold 94.0 as well, so that nothing is taken as rounded to a whole number.

    >>> agrees(np.array([94.25, 94.2]), np.array([94.3, 94.3]), np.array([2, 1]), np.array([1, 1])).tolist()
    [True, False]
    """
    fewer = np.minimum(decimals, other)
    rounded = np.where((decimals == other) | (fewer == 0), 0.0, 0.5 * 10.0**-fewer)
    return np.asarray(np.abs(mine - theirs) <= rounded + 1e-9 * np.abs(mine))
