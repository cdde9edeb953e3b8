"""How each quantity changes with each reading that it is computed from, in closed form."""

from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, ratio

Readings = Mapping[str, npt.ArrayLike]
Sensitivities = dict[str, FloatArray]


def _loss(before: str, after: str, readings: Readings) -> Sensitivities:
    """Differentiate 100 (x₀ − x₁) / x₀."""
    first, last = _number(readings, before), _number(readings, after)
    return {before: 100.0 * ratio(last, first**2), after: ratio(-100.0, first)}


def _gain(before: str, after: str, readings: Readings) -> Sensitivities:
    """Differentiate 100 (x₁ − x₀) / x₀."""
    return {key: -slope for key, slope in _loss(before, after, readings).items()}


def _volume(readings: Readings) -> Sensitivities:
    """Differentiate 100 (1 − (L₁/L₀)³)."""
    linear = _loss("wet_length", "fired_length", readings)
    left = ratio(_number(readings, "fired_length"), _number(readings, "wet_length"))
    return {key: 3.0 * left**2 * slope for key, slope in linear.items()}


def _saturation(readings: Readings) -> Sensitivities:
    """Differentiate (m_cold − m_fired) / (m_boiled − m_fired)."""
    fired, cold, boiled = (_number(readings, key) for key in ("fired_mass", "cold_soaked_mass", "boiled_mass"))
    gain = boiled - fired
    return {
        "fired_mass": ratio(cold - boiled, gain**2),
        "cold_soaked_mass": ratio(1.0, gain),
        "boiled_mass": ratio(fired - cold, gain**2),
    }


def _porosity(readings: Readings) -> Sensitivities:
    """Differentiate 100 (m_boiled − m_fired) / (m_boiled − m_suspended)."""
    fired, boiled, suspended = (_number(readings, key) for key in ("fired_mass", "boiled_mass", "suspended_mass"))
    volume = boiled - suspended
    return {
        "fired_mass": ratio(-100.0, volume),
        "boiled_mass": 100.0 * ratio(fired - suspended, volume**2),
        "suspended_mass": 100.0 * ratio(boiled - fired, volume**2),
    }


def _bulk_density(readings: Readings) -> Sensitivities:
    """Differentiate m_fired / (m_boiled − m_suspended), for water of 1 g/cm³."""
    fired, boiled, suspended = (_number(readings, key) for key in ("fired_mass", "boiled_mass", "suspended_mass"))
    volume = boiled - suspended
    slope = ratio(fired, volume**2)
    return {"fired_mass": ratio(1.0, volume), "boiled_mass": -slope, "suspended_mass": slope}


def _specific_gravity(readings: Readings) -> Sensitivities:
    """Differentiate m_fired / (m_fired − m_suspended)."""
    fired, suspended = _number(readings, "fired_mass"), _number(readings, "suspended_mass")
    volume = fired - suspended
    return {"fired_mass": ratio(-suspended, volume**2), "suspended_mass": ratio(fired, volume**2)}


def _number(readings: Readings, key: str) -> FloatArray:
    return np.asarray(readings[key], dtype=np.float64)


_SLOPES: dict[str, Callable[[Readings], Sensitivities]] = {
    "leather_hard_shrinkage": lambda r: _loss("wet_length", "leather_hard_length", r),
    "drying_shrinkage": lambda r: _loss("wet_length", "dry_length", r),
    "bisque_shrinkage": lambda r: _loss("dry_length", "bisque_length", r),
    "firing_shrinkage": lambda r: _loss("dry_length", "fired_length", r),
    "total_shrinkage": lambda r: _loss("wet_length", "fired_length", r),
    "total_volume_shrinkage": _volume,
    "water_of_plasticity": lambda r: _gain("dry_mass", "wet_mass", r),
    "loss_on_ignition": lambda r: _loss("dry_mass", "fired_mass", r),
    "absorption": lambda r: _gain("fired_mass", "boiled_mass", r),
    "cold_absorption": lambda r: _gain("fired_mass", "cold_soaked_mass", r),
    "saturation_coefficient": _saturation,
    "apparent_porosity": _porosity,
    "bulk_density": _bulk_density,
    "apparent_specific_gravity": _specific_gravity,
}


def sensitivities(quantity_key: str, readings: Readings, *, water_density_g_cm3: npt.ArrayLike = 1.0) -> Sensitivities:
    """Return the partial derivative of a quantity by each of its readings.

    Args:
        quantity_key: key in `bodytest.quantities.QUANTITIES` [name]
        readings: reading key to values, lengths [mm] and masses [g]
        water_density_g_cm3: density of the water bars were suspended in, for the bulk density [g/cm³]

    Returns:
        reading key to derivative [unit of the quantity per mm or g].

    Equation:
        c_i = ∂f/∂x_i, e.g. for S = 100 (L₀ − L₁)/L₀: ∂S/∂L₀ = 100 L₁/L₀², ∂S/∂L₁ = −100/L₀

    Source:
        JCGM 100:2008 (GUM) 5.1.3; the derivatives are worked out here and compared with numeric ones in the tests.

    >>> slopes = sensitivities("total_shrinkage", {"wet_length": 100.0, "fired_length": 90.0})
    >>> {key: round(float(slope), 3) for key, slope in slopes.items()}
    {'wet_length': 0.9, 'fired_length': -1.0}

    """
    slopes = _SLOPES[quantity_key](readings)
    if quantity_key != "bulk_density":
        return slopes
    density = np.asarray(water_density_g_cm3, dtype=np.float64)
    return {key: density * slope for key, slope in slopes.items()}
