"""How much clay a piece needs, and how big a vessel's capacity has to be when wet."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from bodytest.errors import NotMeasured
from bodytest.plan.measured import ONLY_ONE, Basis, Wanted, choose
from bodytest.plan.measures import Asked, parse_as
from bodytest.plan.stages import Change
from bodytest.plan.student import of_mean
from bodytest.results import QuantityResult, Summary
from bodytest.scope import SpeaksOf
from bodytest.stats.combined_freedom import combined_freedom, student_factor


@dataclass(frozen=True)
class _Amount:
    """What is asked for, and the bars that answer."""

    asked: str
    """Finished mass or capacity as typed."""
    unit: str
    """Unit typed."""
    body: str
    """Name of the body."""
    firing: str
    """The programme or the one load, in words."""
    speaks_of: SpeaksOf
    """Which batches and loads the ranges hold for."""
    batch: str | None
    """Batch that it rests on, ``""`` where it has no name; None for a new batch."""


@dataclass(frozen=True)
class MassPlan(_Amount):
    """Wet and dry mass for a finished mass."""

    fired_g: float
    """Finished mass, g."""
    dry_g: float
    """Dry mass that becomes it, g."""
    wet_g: float | None
    """Wet mass that becomes it, g; None when the water of plasticity was not measured."""
    wet_low_g: float | None
    """Lower end of the interval of the wet mass from the uncertainty of both means, g."""
    wet_high_g: float | None
    """Upper end of it, g."""
    notes: tuple[str, ...]
    """What has to be known about the answer, in sentences."""


@dataclass(frozen=True)
class CapacityPlan(_Amount):
    """Wet capacity for a finished capacity."""

    directions: tuple[str, str]
    """Directions of the bars taken for height and for width."""
    fired_ml: float
    """Finished capacity, ml."""
    wet_ml: float
    """Capacity to make wet, ml."""
    wet_low_ml: float | None
    """Lower end of the interval from the uncertainty of the mean shrinkage, ml."""
    wet_high_ml: float | None
    """Upper end of it, ml."""
    notes: tuple[str, ...]
    """What has to be known about the answer, in sentences."""


@dataclass(frozen=True)
class ClayFactor:
    """Wet mass for a finished mass of 1."""

    wet: float | None
    """What it takes; None where bars were not weighed wet, dry and fired."""
    low: float | None
    """Lower end of the interval from the uncertainty of both means."""
    high: float | None
    """Upper end of it."""


def clay_factor(quantities: dict[str, QuantityResult], confidence: float) -> ClayFactor:
    """Return the wet mass that becomes a finished mass of 1: (1 + W/100) / (1 − LOI/100).

    >>> lost, water = QuantityResult("%", 1, 10.0), QuantityResult("%", 1, 35.0)
    >>> clay_factor({"loss_on_ignition": lost, "water_of_plasticity": water}, 0.95).wet
    1.5
    """
    lost, water = quantities.get("loss_on_ignition"), quantities.get("water_of_plasticity")
    if lost is None or lost.mean is None or water is None or water.mean is None:
        return ClayFactor(None, None, None)
    wet = (1.0 + water.mean / 100.0) / (1.0 - lost.mean / 100.0)
    half = _relative_half_width(lost, water, confidence)
    ends = (None, None) if half is None else (wet * math.exp(-half), wet * math.exp(half))
    return ClayFactor(wet, *ends)


def clay_masses(measured: Summary, fired_masses: Iterable[str], *, wanted: Wanted = ONLY_ONE) -> tuple[MassPlan, ...]:
    """Return the wet mass that becomes each finished mass: m_wet = m_fired (1 + W/100) / (1 − LOI/100).

    Raises:
        NotMeasured: that body and firing was not weighed dry and fired.
        UnusableRequest: a mass or unit that cannot be meant.
    """
    basis = choose(measured, wanted)
    return tuple(_mass_plan(basis, parse_as("mass", text), measured.confidence) for text in fired_masses)


def wet_capacities(
    measured: Summary,
    fired_capacities: Iterable[str],
    *,
    wanted: Wanted = ONLY_ONE,
    height_direction: str | None = None,
) -> tuple[CapacityPlan, ...]:
    """Return the capacity to make wet for each finished one: V_wet = V_fired × f_height × f_width².

    ``height_direction`` is that of the bars that show how height shrinks; the same as for width when None.

    Raises:
        NotMeasured: nobody measured that.
        UnusableRequest: a capacity or unit that cannot be meant.
    """
    width = choose(measured, wanted)
    height = width
    if height_direction is not None:
        height = choose(measured, replace(wanted, body=width.group.body, direction=height_direction))
    return tuple(
        _capacity_plan(height, width, parse_as("capacity", text), measured.confidence) for text in fired_capacities
    )


def _mass_plan(basis: Basis, asked: Asked, confidence: float) -> MassPlan:
    lost = basis.quantities.get("loss_on_ignition")
    if lost is None or lost.mean is None:
        raise NotMeasured("not-weighed", of=basis.of)
    clay = clay_factor(basis.quantities, confidence)
    return MassPlan(
        asked=asked.text,
        unit=asked.unit,
        **basis.told,
        fired_g=asked.value,
        dry_g=asked.value / (1.0 - lost.mean / 100.0),
        wet_g=clay.wet and asked.value * clay.wet,
        wet_low_g=clay.low and asked.value * clay.low,
        wet_high_g=clay.high and asked.value * clay.high,
        notes=(*basis.notes, _NO_WATER if clay.wet is None else _AS_MOIST),
    )


_AS_MOIST = "The clay has to be as moist as the bars were when they were weighed; trimmings and slop come on top."
_NO_WATER = "The bars were not weighed wet, so only the dry mass can be told."


def _relative_half_width(lost: QuantityResult, water: QuantityResult, confidence: float) -> float | None:
    """Combine both means as independent relative uncertainties of the wet mass; None when it says nothing."""
    of_loss, of_water = of_mean(lost), of_mean(water)
    if of_loss is None or of_water is None:
        return None
    relative = (of_loss.scale / (100.0 - of_loss.mean), of_water.scale / (100.0 + of_water.mean))
    variances = [part**2 for part in relative]
    freedom = combined_freedom(variances, (of_loss.degrees_of_freedom, of_water.degrees_of_freedom))
    half = student_factor(float(freedom), confidence) * math.hypot(*relative)
    return half if half < 1.0 else None


def _capacity_plan(height: Basis, width: Basis, asked: Asked, confidence: float) -> CapacityPlan:
    of_height, of_width = (_wet_factor(basis, confidence) for basis in (height, width))
    ends = [
        None if h is None or w is None else asked.value * h * w**2
        for h, w in ((of_height.low, of_width.low), (of_height.high, of_width.high))
    ]
    directions = (height.group.direction, width.group.direction)
    notes = () if directions[0] != directions[1] else (_ONE_DIRECTION,)
    return CapacityPlan(
        asked=asked.text,
        unit=asked.unit,
        **width.told,
        directions=directions,
        fired_ml=asked.value,
        wet_ml=asked.value * of_height.ratio * of_width.ratio**2,
        wet_low_ml=ends[0],
        wet_high_ml=ends[1],
        notes=(*width.on_direction, *width.notes, *notes),
    )


_ONE_DIRECTION = "Height and width are taken to shrink alike; say --direction height=NAME where they do not."


def _wet_factor(basis: Basis, confidence: float) -> Change:
    found = basis.change("fired", "wet", confidence)
    if found is None:
        raise NotMeasured("stage-not-measured", value="wet", of=basis.of, there="dry")
    return found
