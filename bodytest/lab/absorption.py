"""Water absorption of the fired bar, and how much of it cold water alone reaches."""

import math

import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, number, ratio
from bodytest.lab.readings import BOILED_MASS, COLD_SOAKED_MASS, FIRED_MASS
from bodytest.lab.record import PRACTICE, Order, Quantity, Way


def absorption(fired_mass_g: npt.ArrayLike, saturated_mass_g: npt.ArrayLike) -> FloatArray:
    """Return the water that a fired bar takes up, in per cent of its dry fired mass.

    It depends on how the bar was saturated: boiling, vacuum and cold soaking fill different pores (ISO 10545-3). It
    proves neither food safety nor frost resistance. Slightly negative for a dense bar within its reading error.

    Parameters:
        fired_mass_g: mass of the dry fired bar D [g].
        saturated_mass_g: mass of the saturated bar, blotted, M [g].

    Equation: A = 100 (M − D) / D

    Reference: ASTM C373, water absorption; ISO 10545-3, water absorption (clause numbers not seen). Worked value: fired
        clay discs Y 1020 A, B, C, doi 10.11583/DTU.30157108.v1, published mean 0.18400335 as a fraction.

    >>> fired, saturated = [2.8395, 2.9006, 2.8621], [3.364, 3.433, 3.388]
    >>> print(round(absorption(fired, saturated).mean(), 6))
    18.400335
    """
    fired = number(fired_mass_g)
    return 100.0 * ratio(number(saturated_mass_g) - fired, fired)


def saturation_coefficient(
    cold_absorption_percent: npt.ArrayLike, boiled_absorption_percent: npt.ArrayLike
) -> FloatArray:
    """Return what part of the absorption by boiling is reached by a cold soak.

    There is none (NaN) where boiling adds nothing.

    Parameters:
        cold_absorption_percent: absorption after 24 h in cold water [%].
        boiled_absorption_percent: absorption after 5 h in boiling water [%].

    Equation: C/B = A_cold / A_boiled

    Reference: ASTM C67, saturation coefficient (clause number not seen). Worked value computed by hand: 9 / 12.

    >>> print(saturation_coefficient(9.0, 12.0))
    0.75
    """
    return ratio(cold_absorption_percent, boiled_absorption_percent)


# fmt: off
_FULL = (-5.0, 400.0)
_FULL_SOURCE = "pores of nine tenths of the volume (common practice, no source)"
ABSORPTION = Quantity(
    "absorption", "Water absorption", "A", "%",
    (Way(absorption, (FIRED_MASS, BOILED_MASS)),), "dry fired mass", "{method}",
    (-0.1, 30.0), PRACTICE, _FULL, _FULL_SOURCE, live=True,
    orders=(Order(BOILED_MASS, FIRED_MASS, "Boiled is lighter than fired.", "boiled-below-fired", slack=0.001),),
)
COLD_ABSORPTION = Quantity(
    "cold_absorption", "Cold-soak absorption", "A_c", "%",
    (Way(absorption, (FIRED_MASS, COLD_SOAKED_MASS)),), "dry fired mass", "ASTM C67",
    (-0.1, 30.0), PRACTICE, _FULL, _FULL_SOURCE,
    orders=(
        Order(COLD_SOAKED_MASS, FIRED_MASS, "Cold-soaked is lighter than fired.", "cold-soaked-below-fired",
              slack=0.001),
    ),
)
QUANTITIES = (
    ABSORPTION,
    COLD_ABSORPTION,
    Quantity(
        "saturation_coefficient", "Saturation coefficient", "C/B", "",
        (Way(saturation_coefficient, (COLD_ABSORPTION, ABSORPTION)),), "24 h cold soak over 5 h boil", "ASTM C67",
        (0.0, 1.1), PRACTICE, (-math.inf, math.inf), "none: of a dense body two small gains divide to anything",
        digits=2, methods=("", "boil 5 h", "boil 5 h and soak 24 h"),
    ),
)
# fmt: on
