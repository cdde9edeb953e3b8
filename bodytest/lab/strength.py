"""Bending strength: the stress at which a bar breaks on two supports under a load in the middle."""

import math

import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, number, ratio
from bodytest.lab.readings import DRY_LENGTH, FIRED_LENGTH, WET_LENGTH
from bodytest.lab.record import PRACTICE, STAGES, Choice, Quantity, Reading, Way
from bodytest.units import DIMENSIONS


def rectangular_bar_strength(
    breaking_load_n: npt.ArrayLike, span_mm: npt.ArrayLike, bar_width_mm: npt.ArrayLike, bar_thickness_mm: npt.ArrayLike
) -> FloatArray:
    """Return the bending strength in MPa of a rectangular bar, broken by a load in the middle of its span.

    Parameters:
        breaking_load_n: load that breaks the bar F [N].
        span_mm: distance of the supports L [mm].
        bar_width_mm: width of the bar, across the span, b [mm].
        bar_thickness_mm: thickness of the bar, in the direction of the load, h [mm].

    Equation: R = 3 F L / (2 b h²)

    Reference: ASTM C689 (unfired), ASTM C674 (fired), ISO 10545-4 (from memory, clauses not seen). Worked value
        computed by hand: 3 × 180 × 100 / (2 × 30 × 12²).

    >>> print(rectangular_bar_strength(180.0, 100.0, 30.0, 12.0))
    6.25
    """
    section = 2.0 * number(bar_width_mm) * number(bar_thickness_mm) ** 2
    return ratio(3.0 * number(breaking_load_n) * number(span_mm), section)


def round_bar_strength(
    breaking_load_n: npt.ArrayLike, span_mm: npt.ArrayLike, bar_diameter_mm: npt.ArrayLike
) -> FloatArray:
    """Return the bending strength in MPa of a round bar, broken by a load in the middle of its span.

    Parameters:
        breaking_load_n: load that breaks the bar F [N].
        span_mm: distance of the supports L [mm].
        bar_diameter_mm: diameter of the bar d [mm].

    Equation: R = 8 F L / (π d³)

    Reference: ASTM C689 (unfired), ASTM C674 (fired) (from memory, clauses not seen). Worked value computed by hand: 8
        × 150 × 101.6 / (π 12.7³).

    >>> print(round(float(round_bar_strength(150.0, 101.6, 12.7)), 2))
    18.95
    """
    return ratio(8.0 * number(breaking_load_n) * number(span_mm), math.pi * number(bar_diameter_mm) ** 3)


def _size(key: str, symbol: str, hint: str, *spellings: str) -> Reading:
    hint += ", in {unit}, down to the last step of your rule."
    return Reading(key, key.replace("_", " "), DIMENSIONS["size"], "broken", symbol, spellings, hint, set_alike=True)


BREAKING_LOAD = Reading(
    "breaking_load", "breaking load", DIMENSIONS["force"], "broken", "F", ("load at break", "breaking force"),
    "The load in the middle that breaks the bar, in {unit}. Leave blank until broken.",
)  # fmt: skip
SPAN = _size("span", "L", "Between the two supports", "support span", "span of supports")
BAR_WIDTH = _size("bar_width", "b", "Across the bar where it broke", "width", "width of bar")
BAR_THICKNESS = _size("bar_thickness", "h", "In the direction of the load, where it broke", "thickness", "bar height")
BAR_DIAMETER = _size("bar_diameter", "d", "Of a round bar where it broke", "diameter", "diameter of bar")
BROKEN = Choice(
    "broken", "broken", ("dry", "fired"), {"dry": frozenset(STAGES[3:-1])}, ("broken when", "state when broken")
)
_ANYTHING = (-math.inf, math.inf)
_WAYS = (
    Way(round_bar_strength, (BREAKING_LOAD, SPAN, BAR_DIAMETER)),
    Way(rectangular_bar_strength, (BREAKING_LOAD, SPAN, BAR_WIDTH, BAR_THICKNESS)),
)
_LATER = "stronger than any hard porcelain (common practice, no source)"


def _checks(option: str, lengths: tuple[Reading, ...]) -> tuple[Quantity, ...]:
    """Return what tells whether a bar was broken soundly; the first length that was measured stands for the bar's."""
    slender = tuple(Way(ratio, (SPAN, depth)) for depth in (BAR_DIAMETER, BAR_THICKNESS))
    within = tuple(Way(ratio, (SPAN, length)) for length in lengths)
    # fmt: off
    return (
        Quantity(
            f"{option}_span_over_thickness", "Span over thickness", "L/h", "", slender, "thickness or diameter",
            PRACTICE, (4.0, math.inf), PRACTICE, _ANYTHING, "none", when=(BROKEN, option),
        ),
        Quantity(
            f"{option}_span_over_length", "Span over the length of the bar", "L/l", "", within, "length of the bar",
            PRACTICE, _ANYTHING, "none", (0.0, 0.999), "a bar that lies on both supports is longer", digits=2,
            when=(BROKEN, option),
        ),
    )
    # fmt: on


# fmt: off
QUANTITIES: tuple[Quantity, ...] = (
    Quantity(
        "dry_strength", "Dry bending strength", "R_d", "MPa", _WAYS, "section of the bar",
        "ASTM C689; ISO 10545-4 (from memory)",
        (0.2, 15.0), PRACTICE, (0.0, 100.0), _LATER, live=True, when=(BROKEN, "dry"),
        checks=_checks("dry", (DRY_LENGTH, WET_LENGTH)),
    ),
    Quantity(
        "fired_strength", "Fired bending strength", "R_f", "MPa", _WAYS, "section of the bar",
        "ASTM C674; ISO 10545-4 (from memory)",
        (1.0, 150.0), PRACTICE, (0.0, 1000.0), _LATER, live=True, when=(BROKEN, "fired"),
        checks=_checks("fired", (FIRED_LENGTH, DRY_LENGTH, WET_LENGTH)),
    ),
)
# fmt: on
