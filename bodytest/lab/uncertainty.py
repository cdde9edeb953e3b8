"""What the reading step and the calibration of the instruments do to one bar's value of a quantity."""

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from bodytest.lab.propagation import propagate
from bodytest.lab.ratio import FloatArray
from bodytest.lab.sensitivity import Sensitivities, sensitivities
from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY, Dimension


def step_uncertainty(
    quantity_key: str,
    readings: Mapping[str, npt.ArrayLike],
    *,
    marks: npt.ArrayLike,
    length_step_mm: npt.ArrayLike | None,
    mass_step_g: npt.ArrayLike | None,
    water_density_g_cm3: npt.ArrayLike = 1.0,
) -> FloatArray:
    """Return the standard uncertainty of each bar's value that comes from the reading steps.

    Each reading lies anywhere within its step with equal chance, independent of the others. Lengths are means over
    the marks of the bar, so their part shrinks with the root of the number of marks.

    Args:
        quantity_key: key in `bodytest.quantities.QUANTITIES` [name]
        readings: reading key to values, mean lengths [mm] and masses [g]
        marks: number of marks on each bar [count]
        length_step_mm: reading step δ of the length instrument [mm]; None counts as 0
        mass_step_g: reading step δ of the balance [g]; None counts as 0
        water_density_g_cm3: density of the water bars were suspended in [g/cm³]

    Returns:
        standard uncertainty [unit of the quantity].

    Equation:
        u² = Σ_i (c_i δ_i/√12)², with δ_i/√(12 marks) for a mean length

    Source:
        JCGM 100:2008 (GUM) F.2.2.1 (δ/√12), 5.1.2 equation 10. Worked value computed by hand: 0.1 mm on readings
        near 100 mm, 100 × 0.1/√12 × √2 / 100 = 0.041 percentage points.

    >>> lengths = {"wet_length": 100.0, "fired_length": 100.0}
    >>> print(round(step_uncertainty("total_shrinkage", lengths, marks=1, length_step_mm=0.1, mass_step_g=0.01), 3))
    0.041

    """
    slopes = sensitivities(quantity_key, readings, water_density_g_cm3=water_density_g_cm3)
    length = _known(length_step_mm) / np.sqrt(12.0 * np.asarray(marks, dtype=np.float64))
    mass = _known(mass_step_g) / np.sqrt(12.0)
    uncertainties = [length if _dimension(key) == "length" else mass for key in slopes]
    return propagate(list(slopes.values()), uncertainties)


def calibration_uncertainty(
    quantity_key: str,
    readings: Mapping[str, npt.ArrayLike],
    *,
    length_calibration_mm: npt.ArrayLike | None,
    mass_calibration_g: npt.ArrayLike | None,
    water_density_g_cm3: npt.ArrayLike = 1.0,
) -> FloatArray:
    """Return the standard uncertainty of each bar's value that comes from the calibration of the instruments.

    One caliper reads all lengths of a ratio and one balance all masses, so their error is the same offset in every
    term and mostly cancels. The same offset stands in every bar, so that it does not average out over bars.

    Args:
        quantity_key: key in `bodytest.quantities.QUANTITIES` [name]
        readings: reading key to values, mean lengths [mm] and masses [g]
        length_calibration_mm: expanded uncertainty, k = 2, of the length instrument [mm]; None counts as 0
        mass_calibration_g: expanded uncertainty, k = 2, of the balance [g]; None counts as 0
        water_density_g_cm3: density of the water bars were suspended in [g/cm³]

    Returns:
        standard uncertainty [unit of the quantity].

    Equation:
        u = |Σ_i c_i| U/2, over the readings of one instrument (r_ij = 1)

    Source:
        JCGM 100:2008 (GUM) 5.2.2 equation 16 and its note 1 (all r = 1), 4.3.3 (U/k). Worked value computed by hand:
        (100 × 90/100² − 100/100) × 0.05/2 = −0.0025 percentage points.

    >>> lengths = {"wet_length": 100.0, "fired_length": 90.0}
    >>> print(round(calibration_uncertainty("total_shrinkage", lengths, length_calibration_mm=0.05,
    ...                                     mass_calibration_g=None), 6))
    0.0025

    """
    if not np.any(_known(length_calibration_mm)) and not np.any(_known(mass_calibration_g)):
        return _nothing(quantity_key, readings)
    slopes = sensitivities(quantity_key, readings, water_density_g_cm3=water_density_g_cm3)
    length = np.abs(_instrument_slope(slopes, "length")) * _known(length_calibration_mm) / 2.0
    mass = np.abs(_instrument_slope(slopes, "mass")) * _known(mass_calibration_g) / 2.0
    return propagate([1.0, 1.0], [length, mass])


def _nothing(quantity_key: str, readings: Mapping[str, npt.ArrayLike]) -> FloatArray:
    """Return 0 for each bar that has the readings, NaN for the others."""
    total: FloatArray = np.zeros(())
    for key in QUANTITY_BY_KEY[quantity_key].needs:
        total = total + np.asarray(readings[key], dtype=np.float64)
    return total * 0.0


def _instrument_slope(slopes: Sensitivities, dimension: Dimension) -> FloatArray:
    """Return the change of the quantity when every reading of one instrument is off by the same amount."""
    total: FloatArray = np.zeros(())
    for key, slope in slopes.items():
        if _dimension(key) == dimension:
            total = total + slope
    return total


def _known(value: npt.ArrayLike | None) -> FloatArray:
    """Return the value, 0 where nothing was stated."""
    return np.asarray(0.0 if value is None else value, dtype=np.float64)


def _dimension(reading_key: str) -> Dimension:
    return READING_BY_KEY[reading_key].dimension
