"""The density of water, which turns a difference of masses into a volume."""

import numpy as np
import numpy.typing as npt

from bodytest.lab.ratio import FloatArray


def water_density(temperature_c: npt.ArrayLike) -> FloatArray:
    """Return the density of air-free water at 101.325 kPa, in kg/m³.

    NaN outside 0 to 40 °C, where the formula was not fitted.

    Parameters:
        temperature_c: temperature of the water t [°C], 0 to 40.

    Equation: ρ = 999.974950 (1 − (t − 3.983035)² (t + 301.797) / (522528.9 (t + 69.34881)))

    Reference: Tanaka, Girard, Davis, Peuto, Bignell 2001, Recommended table for the density of water between 0 °C and
        40 °C, Metrologia 38, 301–309, doi 10.1088/0026-1394/38/4/3, formula 1; 998.2067 kg/m³ at 20 °C, 997.0470 at 25
        °C.

    >>> [float(round(density, 3)) for density in water_density([20.0, 25.0])]
    [998.207, 997.047]
    """
    given = np.asarray(temperature_c, dtype=np.float64)
    t = np.where((given >= 0.0) & (given <= 40.0), given, np.nan)
    density: FloatArray = 999.974950 * (1.0 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))
    return density
