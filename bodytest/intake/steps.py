"""The reading step, told from the digits that were typed."""

import dataclasses
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from bodytest.intake.cells import factor
from bodytest.intake.columns import ReadTable
from bodytest.lab.record import Reading
from bodytest.quantities import READINGS
from bodytest.tables import Lab
from bodytest.units import DIMENSIONS

MOST = 0.9
"""Share of the readings that must be multiples of a step for it to count as theirs."""
_INCH_PARTS = (8, 16, 32, 64)


def infer_step(readings: Sequence[float] | np.ndarray, *, unit: str = "mm") -> float | None:
    """Return the finest step that most readings need, in their unit; None when it cannot be told.

    Parameters
    ----------
    readings : numbers as typed [unit]
    unit : ``in`` is also tried in eighths to sixty-fourths

    Decimals are found first; if nearly all last digits are then multiples of five, or of two, the step is that
    (callipers with a vernier of 0.05 or 0.02 mm). Common practice, no source.

    >>> infer_step([100.05, 99.9, 100.15, 100.3, 99.95]), infer_step([60.12, 59.88, 60.4])
    (0.05, 0.01)
    """
    values = np.asarray(readings, dtype=float)
    values = values[np.isfinite(values) & (np.abs(values) < 1e6)]
    if len(values) < 3:
        return None
    if unit == "in" and (part := _inch_part(values)) is not None:
        return part
    for decimals in range(5):
        if _share(values, 10.0**-decimals) >= MOST:
            return _within_decade(values, decimals)
    return None


def _share(values: np.ndarray, step: float) -> float:
    """Return the share of the values that are multiples of the step, rounding noise allowed."""
    multiples = values / step
    return float(np.mean(np.abs(multiples - np.round(multiples)) < 1e-5 * np.maximum(1.0, np.abs(multiples) * 1e-4)))


def _within_decade(values: np.ndarray, decimals: int) -> float:
    step = 10.0**-decimals
    if len(values) >= 5 and _share(values, 5 * step) >= 0.97:
        return round(5 * step, decimals)
    if len(values) >= 12 and _share(values, 2 * step) >= 0.97:
        return round(2 * step, decimals)
    return round(step, decimals)


def _inch_part(values: np.ndarray) -> float | None:
    if _share(values, 0.01) >= MOST and _share(values, 0.125) < 1:
        return None
    for part in _INCH_PARTS:
        if _share(values, 1 / part) >= MOST:
            return 1 / part
    return None


def with_steps(lab: Lab, table: ReadTable) -> Lab:
    """Add the reading steps that the Lab table does not state, told from the digits typed."""
    for dimension in DIMENSIONS.values():
        one = dimension.instrument
        readings = [r for r in READINGS if r.dimension is dimension]
        if lab.step(one.name) is None and (step := _step(table, readings)) is not None:
            found: dict[str, Any] = {one.step_field: step, one.inferred_field: True}
            lab = dataclasses.replace(lab, **found)
    return lab


def _step(table: ReadTable, readings: Iterable[Reading]) -> float | None:
    """Return the coarsest of the steps found in columns of one unit, in the unit held."""
    by_unit: dict[str, list[np.ndarray]] = {}
    for reading in readings:
        if reading.key in table.used:
            unit = table.used[reading.key].unit
            by_unit.setdefault(unit, []).append(table.numbers[reading.key][:5000] / factor(unit))
    steps = [
        step * factor(unit)
        for unit, columns in by_unit.items()
        if (step := infer_step(np.concatenate(columns), unit=unit)) is not None
    ]
    return max(steps, default=None)
