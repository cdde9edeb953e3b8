"""The readings that several methods share; a reading of one method alone stands beside that method."""

from bodytest.lab.record import Condition, Reading
from bodytest.units import DIMENSIONS

_BETWEEN = "Between the two gauge lines, in {unit}, down to the last step of your rule. Leave blank until measured."
_WEIGHED = "In {unit}, down to the last step of your balance. Leave blank until weighed."
_BLOTTED = "Blotted with a damp cloth and weighed at once, in {unit}. Leave blank until weighed."
_HANGING = "Hanging in water, in {unit}, less the empty wire. Leave blank until weighed."


def _reading(dimension: str, stage: str, symbol: str, hint: str, *, set_alike: bool = False) -> Reading:
    key = f"{stage.replace('-', '_')}_{dimension}"
    return Reading(key, f"{stage} {dimension}", DIMENSIONS[dimension], stage, symbol, hint=hint, set_alike=set_alike)


WET_LENGTH = _reading("length", "wet", "L_wet", _BETWEEN, set_alike=True)
LEATHER_HARD_LENGTH = _reading("length", "leather-hard", "L_lh", _BETWEEN)
DRY_LENGTH = _reading("length", "dry", "L_dry", _BETWEEN)
BISQUE_LENGTH = _reading("length", "bisque", "L_bisque", _BETWEEN)
FIRED_LENGTH = _reading("length", "fired", "L_fired", _BETWEEN)
WET_MASS = _reading("mass", "wet", "m_wet", _WEIGHED)
DRY_MASS = _reading("mass", "dry", "m_dry", _WEIGHED)
FIRED_MASS = _reading("mass", "fired", "m_fired", _WEIGHED)
COLD_SOAKED_MASS = _reading("mass", "cold-soaked", "m_cold", _BLOTTED)
BOILED_MASS = _reading("mass", "boiled", "m_boiled", _BLOTTED)
SUSPENDED_MASS = _reading("mass", "suspended", "m_susp", _HANGING)
WATER_DENSITY = Condition("water_density", "ρ_w", "water density", 1.0)
"""Density of the water that bars hang in [g/cm³]; see `bodytest.lab.water.water_density`."""
