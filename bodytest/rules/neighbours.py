"""What a reading should be, going by the other readings of its bar and by the bars around it."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from bodytest.intake.bars import SheetBars
from bodytest.intake.merging import group_by
from bodytest.quantities import LENGTHS, MASSES, READING_BY_KEY, Reading

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
    """Usual value, mm or g."""
    tolerance: float
    """How far around it still fits, mm or g."""

    def fits(self, value: float) -> bool:
        """Tell whether a value is as usual."""
        return abs(value - self.value) <= self.tolerance


@dataclass
class Readings:
    """The lengths of all marks, or the masses of all bars, of one workbook."""

    sheet: SheetBars
    """Where they come from."""
    readings: tuple[Reading, ...]
    """`LENGTHS` or `MASSES`."""
    values: dict[str, np.ndarray]
    """As typed, by key, in mm or g."""
    bar_rows: np.ndarray
    """Position of the bar of each entry."""
    group: np.ndarray
    """Body, firing and direction of each entry, as a number."""
    _order: np.ndarray = field(default_factory=lambda: np.array([], dtype=np.int64))
    _starts: np.ndarray = field(default_factory=lambda: np.array([], dtype=np.int64))

    def cell(self, key: str, position: int) -> dict[str, Any]:
        """Return the place of one reading for a notebook."""
        row = int(self.sheet.rows[key][position])
        return {"table": self.sheet.table, "row": row, "column": self.sheet.places.get(key)}

    def members(self, position: int) -> np.ndarray:
        """Return the entries of the same group, without this one."""
        if not len(self._order):
            self._order = np.argsort(self.group, kind="stable")
            self._starts = np.searchsorted(self.group[self._order], np.arange(self.group.max() + 2))
        group = self.group[position]
        members = self._order[self._starts[group] : self._starts[group + 1]]
        return np.asarray(members[members != position][:MOST])

    def expected(self, key: str, position: int, doubtful: frozenset[str] = frozenset()) -> Expected | None:
        """Return what a reading should be, from readings of the same bar that are not doubtful; None if unknown."""
        members = self.members(position)
        guesses = []
        for other in self.readings:
            beside = self.values[other.key][position]
            if other.key == key or other.key in doubtful or np.isnan(beside):
                continue
            ratios = self.values[key][members] / self.values[other.key][members]
            ratios = ratios[np.isfinite(ratios)]
            if len(ratios) >= FEWEST:
                guesses.append(_guess(ratios, beside))
        if not guesses:
            return self._expected_alone(key, members)
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


def readings_of(sheet: SheetBars) -> tuple[Readings, Readings]:
    """Return the lengths by mark and the masses by bar of a workbook."""
    bars, marks = sheet.bars, sheet.marks
    group = group_by([bars[k].to_numpy(dtype=object) for k in ("body", "firing", "direction")]).ids
    of_mark = marks["bar_row"].to_numpy(dtype=np.int64)
    lengths = {r.key: sheet.values(r.key) for r in LENGTHS}
    masses = {r.key: sheet.values(r.key) for r in MASSES}
    return (
        Readings(sheet, LENGTHS, lengths, of_mark, group[of_mark]),
        Readings(sheet, MASSES, masses, np.arange(len(bars)), group),
    )


def unit_of(key: str) -> str:
    """Return the unit in which a reading is held."""
    return "mm" if READING_BY_KEY[key].dimension == "length" else "g"


def measured(key: str, value: float) -> str:
    """Return a reading with its unit, for sentences.

    >>> measured("wet_length", 100.10000000000001)
    '100.1 mm'
    """
    return f"{value:.8g} {unit_of(key)}"
