"""Porosity and densities from dry, saturated and suspended mass, by Archimedes' principle."""

import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, number, ratio
from bodytest.lab.readings import BOILED_MASS, FIRED_MASS, SUSPENDED_MASS, WATER_DENSITY
from bodytest.lab.record import PRACTICE, Order, Quantity, Way


def apparent_porosity(
    fired_mass_g: npt.ArrayLike, saturated_mass_g: npt.ArrayLike, suspended_mass_g: npt.ArrayLike
) -> FloatArray:
    """Return the open pores, in per cent of the exterior volume.

    Parameters:
        fired_mass_g: mass of the dry fired bar D [g].
        saturated_mass_g: mass of the saturated bar M [g].
        suspended_mass_g: apparent mass of the saturated bar hung in water S [g].

    Equation: P = 100 (M − D) / (M − S)

    Reference: ASTM C373, apparent porosity (clause number not seen). Worked value: fired clay discs Y 1020 A, B, C, doi
        10.11583/DTU.30157108.v1, published mean 0.33520211 as a fraction.

    >>> fired, saturated, suspended = [2.8395, 2.9006, 2.8621], [3.364, 3.433, 3.388], [1.803, 1.841, 1.819]
    >>> print(round(apparent_porosity(fired, saturated, suspended).mean(), 6))
    33.520211
    """
    saturated = number(saturated_mass_g)
    return 100.0 * ratio(saturated - number(fired_mass_g), saturated - number(suspended_mass_g))


def bulk_density(
    fired_mass_g: npt.ArrayLike,
    saturated_mass_g: npt.ArrayLike,
    suspended_mass_g: npt.ArrayLike,
    water_density_g_cm3: npt.ArrayLike,
) -> FloatArray:
    """Return the dry mass over the exterior volume, pores included, in g/cm³.

    The buoyancy of air is left out; on a porous body it changes the value by about −0.07 %.

    Parameters:
        fired_mass_g: mass of the dry fired bar D [g].
        saturated_mass_g: mass of the saturated bar M [g].
        suspended_mass_g: apparent mass of the saturated bar hung in water S [g].
        water_density_g_cm3: density of that water ρ_w [g/cm³], see `bodytest.lab.water.water_density` (kg/m³).

    Equation: B = ρ_w D / (M − S)

    Reference: ASTM C373, bulk density (clause number not seen), there with ρ_w = 1 g/cm³. Worked value: fired clay
        discs Y 1020 A, B, C, doi 10.11583/DTU.30157108.v1, water 998.2 kg/m³, published mean 1818.4431 kg/m³.

    >>> fired, saturated, suspended = [2.8395, 2.9006, 2.8621], [3.364, 3.433, 3.388], [1.803, 1.841, 1.819]
    >>> print(round(bulk_density(fired, saturated, suspended, 0.9982).mean(), 7))
    1.8184431
    """
    volume = number(saturated_mass_g) - number(suspended_mass_g)
    return ratio(number(water_density_g_cm3) * number(fired_mass_g), volume)


def apparent_specific_gravity(fired_mass_g: npt.ArrayLike, suspended_mass_g: npt.ArrayLike) -> FloatArray:
    """Return the density of the solid with its closed pores, relative to the water.

    Parameters:
        fired_mass_g: mass of the dry fired bar D [g].
        suspended_mass_g: apparent mass of the saturated bar hung in water S [g].

    Equation: T = D / (D − S)

    Reference: ASTM C373, apparent specific gravity (clause number not seen). Worked value: disc Y 1020 B, doi
        10.11583/DTU.30157108.v1, computed here as 2.9006 / 1.0596; the source does not state it.

    >>> print(round(apparent_specific_gravity(2.9006, 1.841), 4))
    2.7374
    """
    fired = number(fired_mass_g)
    return ratio(fired, fired - number(suspended_mass_g))


# fmt: off
QUANTITIES = (
    Quantity(
        "apparent_porosity", "Apparent porosity", "P", "%",
        (Way(apparent_porosity, (FIRED_MASS, BOILED_MASS, SUSPENDED_MASS)),), "exterior volume", "{method}",
        (-0.3, 55.0), PRACTICE, (-5.0, 100.0), "no body has more pores than volume",
    ),
    Quantity(
        "bulk_density", "Bulk density", "B", "g/cm³",
        (Way(bulk_density, (FIRED_MASS, BOILED_MASS, SUSPENDED_MASS, WATER_DENSITY)),), "exterior volume",
        "{method}; water density: Tanaka et al. 2001, Metrologia 38, 301",
        (1.0, 3.2), PRACTICE, (0.05, 8.0), "between foam and iron (common practice, no source)", digits=2,
    ),
    Quantity(
        "apparent_specific_gravity", "Apparent specific gravity", "T", "",
        (Way(apparent_specific_gravity, (FIRED_MASS, SUSPENDED_MASS)),), "solid and closed pores", "{method}",
        (1.5, 3.6), PRACTICE, (1.0, 12.0), "water, below which nothing sinks; above lead (common practice, no source)",
        digits=2,
        orders=(
            Order(FIRED_MASS, SUSPENDED_MASS, "Suspended is not lighter than fired.", "suspended-not-below-fired",
                  strict=True),
        ),
    ),
)
# fmt: on
