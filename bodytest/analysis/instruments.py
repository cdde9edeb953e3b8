"""What the instruments add to the uncertainty of a group's mean: reading step and calibration."""

import math
from dataclasses import dataclass

import numpy as np

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.values import ALIKE
from bodytest.lab.record import Quantity, Reading
from bodytest.lab.uncertainty import calibration_uncertainty, step_uncertainty
from bodytest.stats.summary import shared_step_uncertainty

_ALIKE = 1.0 / 3.0
"""Values that scatter by less than this part of their step uncertainty are taken to be all alike (by simulation)."""


_FEWEST = 2
"""Fewer bars show no uncertainty of their mean."""


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
    """Unit of the reading step."""
    parts: dict[str, tuple[float, float, float]]
    """Name of each instrument → its parts of the variances of step, shared step and calibration, 0 to 1."""

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
    instrument = quantity.readings[0].dimension.instrument
    step = float(np.sqrt(np.mean(np.square(bench.values.step[quantity.key][rows]))))
    stated = bench.values.stated_of(quantity.key, rows)
    by_readings = {} if stated or len(rows) < _FEWEST else _shared_by_readings(bench, quantity, rows)
    shared, by_values = math.sqrt(sum(by_readings.values())), _shared_by_values(bench, quantity, rows, step)
    steps, calibrations = _parts(bench, quantity, rows)
    of_shared = _shares(by_readings) if shared > by_values else steps
    unit = bench.sheets.length_unit if instrument.name == "length" else instrument.unit
    return InstrumentErrors(
        reading_step=_coarsest_step(bench, instrument.name, rows) / instrument.units[unit],
        unit=unit,
        step=step,
        shared_step=max(shared, by_values),
        calibration=float(np.mean(bench.values.calibration[quantity.key][rows])),
        parts={name: (steps[name], of_shared[name], calibrations[name]) for name in steps},
    )


def _parts(bench: Bench, quantity: Quantity, rows: Rows) -> tuple[dict[str, float], dict[str, float]]:
    """Return the parts of each instrument in the variances of reading step and calibration."""
    names = list(dict.fromkeys(reading.dimension.instrument.name for reading in quantity.readings))
    if len(names) == 1:
        return {names[0]: 1.0}, {names[0]: 1.0}
    labs = [source.lab for source in bench.sheets.sheets]
    sheet = bench.sheet_of_bar[rows]
    readings = {need: bench.values.readings[need][rows] for need in quantity.needs}
    apart = {"length": np.array([float(lab.length_errors != ALIKE) for lab in labs])[sheet]}
    steps, calibrations = {}, {}
    for name in names:
        of_step = step_uncertainty(quantity, readings, steps={name: bench.reading_steps[name][rows]})
        known = {name: np.array([lab.calibration(name) or 0.0 for lab in labs])[sheet]}
        of_calibration = calibration_uncertainty(quantity, readings, calibrations=known, apart=apart)
        steps[name], calibrations[name] = float(np.mean(np.square(of_step))), float(np.mean(of_calibration)) ** 2
    return _shares(steps), _shares(calibrations)


def _shares(variances: dict[str, float]) -> dict[str, float]:
    """Return variances as parts of their sum, alike where all are 0."""
    whole = sum(variances.values())
    return {name: one / whole if whole > 0 else 1.0 / len(variances) for name, one in variances.items()}


def _shared_by_readings(bench: Bench, quantity: Quantity, rows: Rows) -> dict[str, float]:
    """Return the variance by instrument of the reading steps that all bars share, reading by reading.

    Wet lengths that all read 100.0 mm, because the marks were set with a template, carry one and the same error,
    however much the fired lengths scatter; masses that differ by grams carry none that they share.
    """
    readings = {need: bench.values.readings[need][rows] for need in quantity.needs}
    given = {need: values[~np.isnan(values)] for need, values in readings.items()}
    middles = {need: float(values.mean()) if len(values) else math.nan for need, values in given.items()}
    slopes = quantity.slopes(middles)
    variances = {reading.dimension.instrument.name: 0.0 for reading in quantity.readings}
    for reading in quantity.readings:
        values = given[reading.key]
        if not len(values):
            continue
        spread = float(values.std(ddof=1)) if len(values) > 1 else 0.0
        shared = shared_step_uncertainty(spread, _step_of_reading(bench, reading, rows))
        variances[reading.dimension.instrument.name] += (float(slopes[reading.key]) * shared) ** 2
    return variances


def _shared_by_values(bench: Bench, quantity: Quantity, rows: Rows, step: float) -> float:
    """Return the part of the reading step that all bars share where all their values are alike, else 0.

    Of a dense body on a kitchen scale all bars may gain 0 g: masses that differ do not help then.
    """
    values = bench.values.values[quantity.key][rows]
    spread = float(values.std(ddof=1)) if len(values) > 1 else 0.0
    return shared_step_uncertainty(spread, step) if spread < _ALIKE * step else 0.0


def _step_of_reading(bench: Bench, reading: Reading, rows: Rows) -> float:
    """Return the standard uncertainty of one bar's reading from its step, the coarsest of the sheets."""
    marks = max(float(np.mean(bench.values.marks[rows])), 1.0) if reading.of_mark else 1.0
    return _coarsest_step(bench, reading.dimension.instrument.name, rows) / math.sqrt(12.0 * marks)


def _coarsest_step(bench: Bench, instrument: str, rows: Rows) -> float:
    """Return the coarsest reading step of the sheets that the bars are from, in the unit held; 0 when unknown."""
    return float(bench.reading_steps[instrument][rows].max())
