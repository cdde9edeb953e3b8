"""Linear and volume shrinkage, how shrinkages compound, and how much bigger to make a piece."""

import numpy as np
import numpy.typing as npt

from bodytest.lab.forming import PRESSED
from bodytest.lab.ratio import FloatArray, number, ratio
from bodytest.lab.readings import BISQUE_LENGTH, DRY_LENGTH, FIRED_LENGTH, LEATHER_HARD_LENGTH, WET_LENGTH
from bodytest.lab.record import PRACTICE, Order, Quantity, Way


def linear_shrinkage(initial_length_mm: npt.ArrayLike, final_length_mm: npt.ArrayLike) -> FloatArray:
    """Return how much shorter a bar became, in per cent of what it was.

    Drying shrinkage takes wet and dry length, firing shrinkage dry and fired, total shrinkage wet and fired. A negative
    value is an expansion.

    Parameters:
        initial_length_mm: length between the marks before [mm].
        final_length_mm: length between the same marks after [mm].

    Equation: S = 100 (L₀ − L₁) / L₀

    Reference: ASTM C326, calculation of drying and firing shrinkages of ceramic whiteware clays (clause number not
        seen). Worked value: fired clay discs Y 1020 A to G, mean dry and fired diameters, doi 10.11583/DTU.30157108.v1,
        published mean −0.16238092 %.

    >>> dry = [18.606667, 18.58, 18.603333, 18.673333, 18.52, 18.58, 18.703333]
    >>> fired = [18.643333, 18.633333, 18.566667, 18.633333, 18.726667, 18.62, 18.653333]
    >>> print(round(linear_shrinkage(dry, fired).mean(), 5))
    -0.16238
    """
    initial = number(initial_length_mm)
    return 100.0 * ratio(initial - number(final_length_mm), initial)


def volume_shrinkage(linear_shrinkage_percent: npt.ArrayLike) -> FloatArray:
    """Return the volume shrinkage of a bar that shrinks alike in every direction.

    Parameters:
        linear_shrinkage_percent: linear shrinkage S [%].

    Equation: V = 100 (1 − (1 − S/100)³)

    Reference: geometry of similar bodies. Worked value: State Hospital Red Sandy clay, 6.40 % linear and 17.90 % volume
        air shrinkage, Bell, Florida State Geological Survey 15th Annual Report (1923), p. 161.

    >>> print(round(volume_shrinkage(6.40), 1))
    18.0
    """
    left = 1.0 - number(linear_shrinkage_percent) / 100.0
    volume: FloatArray = 100.0 * (1.0 - left**3)
    return volume


def compound_shrinkage(*percentages: npt.ArrayLike) -> FloatArray:
    """Return the shrinkage over several steps, each in per cent of the length that it starts from.

    Parameters:
        *percentages: shrinkages of the steps in their order [%], each on the length at its own beginning.

    Equation: 1 − S/100 = (1 − S₁/100)(1 − S₂/100) …

    Reference: algebra of the definitions in ASTM C326 (drying and total shrinkage on the wet length, firing on the dry
        one). Worked value computed by hand: 0.95 × 0.90 = 0.855.

    >>> print(round(compound_shrinkage(5.0, 10.0), 10))
    14.5
    """
    left: FloatArray = np.float64(1.0) * np.ones(())
    for percentage in percentages:
        left = left * (1.0 - number(percentage) / 100.0)
    return 100.0 * (1.0 - left)


def wet_size_factor(total_shrinkage_percent: npt.ArrayLike) -> FloatArray:
    """Return by what to multiply a fired size to get the size to make wet.

    There is none (NaN) for a shrinkage of 100 % or more, which no body has.

    Parameters:
        total_shrinkage_percent: total linear shrinkage S on the wet length [%].

    Equation: f = 1 / (1 − S/100)

    Reference: ASTM C326 definition of total shrinkage, solved for the wet length. Worked value computed by hand: 1 /
        0.88.

    >>> print(round(wet_size_factor(12.0), 6))
    1.136364
    """
    left = 100.0 - number(total_shrinkage_percent)
    return ratio(100.0, np.where(left > 0.0, left, np.nan))


_CLASS_NOTES = "published class notes, low authority; limits widened, soft"
_ALWAYS = (-100.0, 60.0)
_DRYING = {PRESSED: (-2.0, 8.0), "cast": (0.0, 8.0)}
_ALWAYS_SOURCE = "no clay doubles its length or keeps less than a fifteenth of its volume (common practice, no source)"
# fmt: off
TOTAL_SHRINKAGE = Quantity(
    "total_shrinkage", "Total linear shrinkage", "S_t", "%",
    (Way(linear_shrinkage, (WET_LENGTH, FIRED_LENGTH)),), "wet length", "ASTM C326",
    (0.0, 25.0), _CLASS_NOTES, _ALWAYS, _ALWAYS_SOURCE, live=True, told_as_length=True,
    plausible_by={PRESSED: (-2.0, 20.0)},
)
QUANTITIES = (
    Quantity(
        "leather_hard_shrinkage", "Shrinkage to leather-hard", "S_l", "%",
        (Way(linear_shrinkage, (WET_LENGTH, LEATHER_HARD_LENGTH)),), "wet length", PRACTICE,
        (-0.5, 12.0), PRACTICE, _ALWAYS, _ALWAYS_SOURCE, told_as_length=True,
        orders=(
            Order(WET_LENGTH, LEATHER_HARD_LENGTH, "Leather-hard is longer than wet.", "leather-hard-longer-than-wet",
                  not_when=PRESSED),
        ),
        plausible_by=_DRYING,
    ),
    Quantity(
        "drying_shrinkage", "Drying shrinkage", "S_d", "%",
        (Way(linear_shrinkage, (WET_LENGTH, DRY_LENGTH)),), "wet length", "ASTM C326",
        (0.0, 15.0), _CLASS_NOTES, _ALWAYS, _ALWAYS_SOURCE, live=True, told_as_length=True,
        orders=(
            Order(WET_LENGTH, DRY_LENGTH, "Dry is longer than wet.", "dry-longer-than-wet", not_when=PRESSED),
            Order(LEATHER_HARD_LENGTH, DRY_LENGTH, code="dry-longer-than-leather-hard"),
        ),
        plausible_by=_DRYING,
    ),
    Quantity(
        "bisque_shrinkage", "Shrinkage from dry to bisque", "S_b", "%",
        (Way(linear_shrinkage, (DRY_LENGTH, BISQUE_LENGTH)),), "dry length", PRACTICE,
        (-2.0, 10.0), PRACTICE, _ALWAYS, _ALWAYS_SOURCE, told_as_length=True,
    ),
    Quantity(
        "firing_shrinkage", "Firing shrinkage", "S_f", "%",
        (Way(linear_shrinkage, (DRY_LENGTH, FIRED_LENGTH)),), "dry length", "ASTM C326",
        (-2.0, 18.0), _CLASS_NOTES, _ALWAYS, _ALWAYS_SOURCE, live=True, told_as_length=True,
        orders=(Order(DRY_LENGTH, FIRED_LENGTH, "Fired is longer than dry: a slip, unless it swelled."),),
    ),
    TOTAL_SHRINKAGE,
    Quantity(
        "total_volume_shrinkage", "Total volume shrinkage", "V_t", "%",
        (Way(volume_shrinkage, (TOTAL_SHRINKAGE,)),), "wet volume", "geometry; isotropic shrinkage assumed",
        (0.0, 58.0), _CLASS_NOTES, (-700.0, 93.6), _ALWAYS_SOURCE, remark=", the same in every direction",
        plausible_by={PRESSED: (-6.2, 49.0)},
    ),
)
# fmt: on
