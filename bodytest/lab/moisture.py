"""What leaves a bar as mass: the water that made it plastic, and what burns or boils out of it."""

import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, number, ratio
from bodytest.lab.readings import DRY_MASS, FIRED_MASS, WET_MASS
from bodytest.lab.record import PRACTICE, Order, Quantity, Way


def water_of_plasticity(wet_mass_g: npt.ArrayLike, dry_mass_g: npt.ArrayLike) -> FloatArray:
    """Return the water in the plastic body, in per cent of the dry body.

    Parameters:
        wet_mass_g: mass of the freshly made bar [g].
        dry_mass_g: mass of the same bar after drying [g].

    Equation: W = 100 (m_wet − m_dry) / m_dry

    Reference: Bell, A Preliminary Report on the Clays of Florida, Florida State Geological Survey 15th Annual Report
        (1923), p. 100. Worked value: disc Y 1020 B, 3.9058 g green and 3.1890 g dried, doi 10.11583/DTU.30157108.v1.

    >>> print(round(water_of_plasticity(3.9058, 3.1890), 4))
    22.4773
    """
    dry = number(dry_mass_g)
    return 100.0 * ratio(number(wet_mass_g) - dry, dry)


def moisture_wet_basis(wet_mass_g: npt.ArrayLike, dry_mass_g: npt.ArrayLike) -> FloatArray:
    """Return the water in the plastic body, in per cent of the plastic body.

    It is W / (1 + W/100), W the water of plasticity.

    Parameters:
        wet_mass_g: mass of the freshly made bar [g].
        dry_mass_g: mass of the same bar after drying [g].

    Equation: M_w = 100 (m_wet − m_dry) / m_wet

    Reference: definition of moisture on the wet basis (common practice, no source). Worked value computed by hand: 25
        of 125 g.

    >>> print(moisture_wet_basis(125.0, 100.0))
    20.0
    """
    wet = number(wet_mass_g)
    return 100.0 * ratio(wet - number(dry_mass_g), wet)


def loss_on_ignition(dry_mass_g: npt.ArrayLike, fired_mass_g: npt.ArrayLike) -> FloatArray:
    """Return what a dry bar loses in the kiln, in per cent of its dry mass.

    Parameters:
        dry_mass_g: mass of the dry bar [g].
        fired_mass_g: mass of the same bar fired [g].

    Equation: LOI = 100 (m_dry − m_fired) / m_dry

    Reference: common practice, no source for the method. Worked value: kaolinite Al₂O₃·2SiO₂·2H₂O loses its water, 2 of
        18.015 in 258.16 g/mol (conventional atomic masses), which is the handbook's 13.96 %.

    >>> print(round(loss_on_ignition(258.160, 258.160 - 2 * 18.015), 2))
    13.96
    """
    dry = number(dry_mass_g)
    return 100.0 * ratio(dry - number(fired_mass_g), dry)


# fmt: off
QUANTITIES = (
    Quantity(
        "water_of_plasticity", "Water of plasticity", "W", "%",
        (Way(water_of_plasticity, (WET_MASS, DRY_MASS)),), "dry mass",
        "Bell, Florida State Geological Survey 15th Annual Report (1923), p. 100",
        (8.0, 60.0), PRACTICE, (-5.0, 400.0), "no bar keeps its shape with more water (common practice, no source)",
        orders=(Order(WET_MASS, DRY_MASS, "Dry is heavier than wet.", "dry-heavier-than-wet"),),
    ),
    Quantity(
        "moisture_wet_basis", "Moisture on the wet basis", "M_w", "%",
        (Way(moisture_wet_basis, (WET_MASS, DRY_MASS)),), "wet mass", PRACTICE,
        (7.0, 38.0), PRACTICE, (-5.0, 80.0), "no bar keeps its shape with more water (common practice, no source)",
    ),
    Quantity(
        "loss_on_ignition", "Loss on ignition", "LOI", "%",
        (Way(loss_on_ignition, (DRY_MASS, FIRED_MASS)),), "dry mass", PRACTICE,
        (0.0, 20.0), "prepared bodies 4–9 %, calcareous 10–18 % (from memory)",
        (-5.0, 80.0), "pure limestone loses 44 %; the rest could only be fuel (common practice, no source)",
        orders=(Order(DRY_MASS, FIRED_MASS, "Fired is heavier than dry.", "fired-heavier-than-dry"),),
    ),
)
# fmt: on
