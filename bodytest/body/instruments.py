"""What the instruments add to the uncertainty of a group's mean: reading step and calibration."""

import math
from dataclasses import dataclass

import numpy as np

from bodytest.body.bench import Bench, Rows
from bodytest.lab.sensitivity import sensitivities
from bodytest.quantities import READING_BY_KEY, Quantity
from bodytest.stats.summary import shared_step_uncertainty


@dataclass(frozen=True)
class InstrumentErrors:
    """Standard uncertainties from the instruments, in the quantity's unit."""

    step: float
    """Of one bar's value, from the reading steps."""
    shared_step: float
    """The part of it that is the same error in every bar, so does not average out."""
    calibration: float
    """From calibration, the same error in every bar."""


def instrument_errors(bench: Bench, quantity: Quantity, rows: Rows) -> InstrumentErrors:
    """Return what the instruments add for the bars in ``rows``, which all have a value of the quantity."""
    return InstrumentErrors(
        step=float(np.sqrt(np.mean(np.square(bench.values.step[quantity.key][rows])))),
        shared_step=_shared_step(bench, quantity, rows),
        calibration=float(np.mean(bench.values.calibration[quantity.key][rows])),
    )


def _shared_step(bench: Bench, quantity: Quantity, rows: Rows) -> float:
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


def _step_of_reading(bench: Bench, reading_key: str, rows: Rows) -> float:
    """Return the standard uncertainty of one bar's reading from its step, the coarsest of the sheets."""
    labs = [bench.sheets.sheets[int(sheet)].lab for sheet in np.unique(bench.sheets.bars["sheet"].to_numpy()[rows])]
    if READING_BY_KEY[reading_key].dimension == "mass":
        return max(lab.mass_step_g or 0.0 for lab in labs) / math.sqrt(12.0)
    marks = max(float(np.mean(bench.values.marks[rows])), 1.0)
    return max(lab.length_step_mm or 0.0 for lab in labs) / math.sqrt(12.0 * marks)
