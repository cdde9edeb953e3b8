"""Water absorption of the fired bar, and how much of it cold water alone reaches."""

import numpy as np
import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, ratio


def absorption(fired_mass_g: npt.ArrayLike, saturated_mass_g: npt.ArrayLike) -> FloatArray:
    """Return the water that a fired bar takes up, in per cent of its dry fired mass.

    It depends on how the bar was saturated: boiling, vacuum and cold soaking fill different pores (ISO 10545-3).
    It proves neither food safety nor frost resistance.

    Args:
        fired_mass_g: mass of the dry fired bar D [g]
        saturated_mass_g: mass of the saturated bar, blotted, M [g]

    Returns:
        water absorption [%] of the dry fired mass; slightly negative for a dense bar within its reading error.

    Equation:
        A = 100 (M − D) / D

    Source:
        ASTM C373, water absorption; ISO 10545-3, water absorption (clause numbers not seen). Worked value: fired clay
        discs Y 1020 A, B, C, doi 10.11583/DTU.30157108.v1, published mean 0.18400335 as a fraction.

    >>> fired, saturated = [2.8395, 2.9006, 2.8621], [3.364, 3.433, 3.388]
    >>> print(round(absorption(fired, saturated).mean(), 6))
    18.400335

    """
    fired = np.asarray(fired_mass_g, dtype=np.float64)
    return 100.0 * ratio(np.asarray(saturated_mass_g, dtype=np.float64) - fired, fired)


def saturation_coefficient(
    cold_absorption_percent: npt.ArrayLike, boiled_absorption_percent: npt.ArrayLike
) -> FloatArray:
    """Return what part of the absorption by boiling is reached by a cold soak.

    Args:
        cold_absorption_percent: absorption after 24 h in cold water [%]
        boiled_absorption_percent: absorption after 5 h in boiling water [%]

    Returns:
        saturation coefficient [ratio]; NaN where boiling adds nothing.

    Equation:
        C/B = A_cold / A_boiled

    Source:
        ASTM C67, saturation coefficient (clause number not seen). Worked value computed by hand: 9 / 12.

    >>> print(saturation_coefficient(9.0, 12.0))
    0.75

    """
    return ratio(cold_absorption_percent, boiled_absorption_percent)
