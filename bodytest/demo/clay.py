"""A made-up clay that dries, fires and soaks like one, so that invented readings agree with each other.

The fired volume follows from the shrinkages and the fired mass from the losses; density, porosity and the mass in
water are computed from them, never chosen.
"""

from dataclasses import dataclass, field

import numpy as np

_WATER_DENSITY = 0.998
"""g/cm³ at 21 °C."""


@dataclass(frozen=True)
class Fired:
    """What one firing makes of a clay."""

    total_shrinkage: float
    """Along the bar, %."""
    absorption: float
    """% of the fired mass."""
    loss_on_ignition: float
    """% of the dry mass."""


@dataclass(frozen=True)
class Clay:
    """One invented body."""

    name: str
    """Name on the sheets."""
    letters: str
    """Letters of its bar codes."""
    wet_density: float
    """g/cm³."""
    water_of_plasticity: float
    """% of the dry mass."""
    drying_shrinkage: float
    """Along the bar, % of the wet length."""
    across: float
    """Percentage points that it shrinks more across the bar, half of them in drying."""
    fired: dict[str, Fired]
    """By firing."""
    absorption_sd: float
    """Scatter of absorption between bars, percentage points."""
    shrinkage_sd: float = 0.10
    """Scatter of drying and of firing shrinkage between bars, percentage points each."""


@dataclass(frozen=True)
class BatchShift:
    """How one batch differs from the body's usual self, percentage points."""

    drying: float = 0.0
    """Added to the drying shrinkage."""
    firing: float = 0.0
    """Added to the firing shrinkage."""
    absorption: float = 0.0
    """Added to the absorption."""


@dataclass(frozen=True)
class TrueBar:
    """One bar as it really is; what is read from it is rounded and slightly off."""

    masses: dict[str, float]
    """Mass by heading, g."""
    drying: float
    """Drying shrinkage along the gauge lines, as a fraction."""
    total: float
    """Total shrinkage along the gauge lines, as a fraction."""


@dataclass(frozen=True)
class Circumstances:
    """Where and how a bar was made and fired."""

    firing: str
    """Key of `Clay.fired`."""
    direction: str = "along"
    """``along`` or ``across``."""
    batch: BatchShift = field(default_factory=BatchShift)
    """How its batch differs."""
    coolness: float = 0.0
    """Percentage points of absorption gained, and a third of that shrinkage lost, by standing in a cooler place."""


def make_bar(clay: Clay, at: Circumstances, draw: np.random.Generator) -> TrueBar:
    """Draw one bar of this clay."""
    fired = clay.fired[at.firing]
    extra = clay.across if at.direction == "across" else 0.0
    drying_scatter, firing_scatter = draw.normal(0.0, clay.shrinkage_sd, 2)
    drying = clay.drying_shrinkage + at.batch.drying + extra / 2 + drying_scatter
    total = fired.total_shrinkage + at.batch.drying + at.batch.firing + extra - at.coolness / 3
    total += drying_scatter + firing_scatter
    absorption = fired.absorption + at.batch.absorption + at.coolness + draw.normal(0.0, clay.absorption_sd)
    volume = draw.normal(38.5, 1.1)
    return TrueBar(
        _masses(clay, fired, volume, max(absorption, 0.02), (total - extra / 2) / 100, draw),
        drying / 100,
        total / 100,
    )


def read_lengths(bar: TrueBar, draw: np.random.Generator) -> dict[str, float]:
    """Press one pair of gauge lines and read it wet, dry and fired with a caliper of 0.1 mm."""
    wet = draw.normal(100.0, 0.35)
    true = {"wet length": wet, "dry length": wet * (1 - bar.drying), "fired length": wet * (1 - bar.total)}
    return {heading: round(float(length + draw.normal(0.0, 0.04)), 1) for heading, length in true.items()}


def read_masses(bar: TrueBar, draw: np.random.Generator) -> dict[str, float]:
    """Weigh the bar with a balance of 0.01 g."""
    return {heading: round(float(mass + draw.normal(0.0, 0.01)), 2) for heading, mass in bar.masses.items()}


def _masses(
    clay: Clay, fired: Fired, wet_volume: float, absorption: float, total: float, draw: np.random.Generator
) -> dict[str, float]:
    wet = wet_volume * clay.wet_density
    dry = wet / (1 + (clay.water_of_plasticity + draw.normal(0.0, 0.25)) / 100)
    after_kiln = dry * (1 - (fired.loss_on_ignition + draw.normal(0.0, 0.05)) / 100)
    boiled = after_kiln * (1 + absorption / 100)
    fired_volume = wet_volume * (1 - total) ** 3
    suspended = boiled - _WATER_DENSITY * fired_volume
    return {
        "wet mass": wet,
        "dry mass": dry,
        "fired mass": after_kiln,
        "boiled mass": boiled,
        "suspended mass": suspended,
    }
