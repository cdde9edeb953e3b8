"""What the instruments add to the uncertainty of a group's mean: reading step and calibration."""

import math
from dataclasses import dataclass

import numpy as np

from bodytest.analysis.bench import Bench, Rows
from bodytest.lab.sensitivity import sensitivities
from bodytest.quantities import READING_BY_KEY, Dimension, Quantity
from bodytest.stats.summary import shared_step_uncertainty

_ALIKE = 1.0 / 3.0
"""Values that scatter by less than this part of their step uncertainty are taken to be all alike (by simulation)."""


@dataclass(frozen=True)
class InstrumentErrors:
    """Standard uncertainties from the instruments, in the quantity's unit."""

    step: float
    """Of one bar's value, from the reading steps."""
    shared_step: float
    """The part of it that is the same error in every bar, so does not average out."""
    calibration: float
    """From calibration, the same error in every bar."""
    reading_step: float
    """Coarsest reading step, in ``unit``."""
    unit: str
    """``mm`` or ``g``."""

    @property
    def step_text(self) -> str:
        """The reading step with its unit."""
        return f"{self.reading_step:g} {self.unit}"

    @property
    def finer_step_text(self) -> str:
        """Half of the reading step with its unit."""
        return f"{self.reading_step / 2.0:g} {self.unit}"


def instrument_errors(bench: Bench, quantity: Quantity, rows: Rows) -> InstrumentErrors:
    """Return what the instruments add for the bars in ``rows``, which all have a value of the quantity."""
    dimension = READING_BY_KEY[quantity.needs[0]].dimension
    step = float(np.sqrt(np.mean(np.square(bench.values.step[quantity.key][rows]))))
    return InstrumentErrors(
        reading_step=_coarsest_step(bench, dimension, rows),
        unit="mm" if dimension == "length" else "g",
        step=step,
        shared_step=max(_shared_by_readings(bench, quantity, rows), _shared_by_values(bench, quantity, rows, step)),
        calibration=float(np.mean(bench.values.calibration[quantity.key][rows])),
    )


def _shared_by_readings(bench: Bench, quantity: Quantity, rows: Rows) -> float:
    """Return the part of the reading step that all bars share, reading by reading.

    Wet lengths that all read 100.0 mm, because the marks were set with a template, carry one and the same error,
    however much the fired lengths scatter; masses that differ by grams carry none that they share.
    """
    readings = {need: bench.values.readings[need][rows] for need in quantity.needs}
    slopes = sensitivities(quantity.key, {need: float(values.mean()) for need, values in readings.items()})
    variance = 0.0
    for need, values in readings.items():
        spread = float(values.std(ddof=1)) if len(values) > 1 else 0.0
        shared = shared_step_uncertainty(spread, _step_of_reading(bench, need, rows))
        variance += (float(slopes[need]) * shared) ** 2
    return math.sqrt(variance)


def _shared_by_values(bench: Bench, quantity: Quantity, rows: Rows, step: float) -> float:
    """Return the part of the reading step that all bars share where all their values are alike, else 0.

    Of a dense body on a kitchen scale all bars may gain 0 g: masses that differ do not help then.
    """
    values = bench.values.values[quantity.key][rows]
    spread = float(values.std(ddof=1)) if len(values) > 1 else 0.0
    return shared_step_uncertainty(spread, step) if spread < _ALIKE * step else 0.0


def _step_of_reading(bench: Bench, reading_key: str, rows: Rows) -> float:
    """Return the standard uncertainty of one bar's reading from its step, the coarsest of the sheets."""
    dimension = READING_BY_KEY[reading_key].dimension
    marks = max(float(np.mean(bench.values.marks[rows])), 1.0) if dimension == "length" else 1.0
    return _coarsest_step(bench, dimension, rows) / math.sqrt(12.0 * marks)


def _coarsest_step(bench: Bench, dimension: Dimension, rows: Rows) -> float:
    """Return the coarsest reading step of the sheets that the bars are from, mm or g; 0 when none is known."""
    return float(bench.reading_steps[dimension][rows].max())
