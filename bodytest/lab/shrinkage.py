"""Linear and volume shrinkage, how shrinkages compound, and how much bigger to make a piece."""

import numpy as np
import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, ratio


def linear_shrinkage(initial_length_mm: npt.ArrayLike, final_length_mm: npt.ArrayLike) -> FloatArray:
    """Return how much shorter a bar became, in per cent of what it was.

    Drying shrinkage takes wet and dry length, firing shrinkage dry and fired, total shrinkage wet and fired.
    A negative value is an expansion.

    Args:
        initial_length_mm: length between the marks before [mm]
        final_length_mm: length between the same marks after [mm]

    Returns:
        linear shrinkage [%] of the initial length.

    Equation:
        S = 100 (L₀ − L₁) / L₀

    Source:
        ASTM C326, calculation of drying and firing shrinkages of ceramic whiteware clays (clause number not seen).
        Worked value: fired clay discs Y 1020 A to G, mean dry and fired diameters, doi 10.11583/DTU.30157108.v1,
        published mean −0.16238092 %.

    >>> dry = [18.606667, 18.58, 18.603333, 18.673333, 18.52, 18.58, 18.703333]
    >>> fired = [18.643333, 18.633333, 18.566667, 18.633333, 18.726667, 18.62, 18.653333]
    >>> print(round(linear_shrinkage(dry, fired).mean(), 5))
    -0.16238

    """
    initial = np.asarray(initial_length_mm, dtype=np.float64)
    return 100.0 * ratio(initial - np.asarray(final_length_mm, dtype=np.float64), initial)


def volume_shrinkage(linear_shrinkage_percent: npt.ArrayLike) -> FloatArray:
    """Return the volume shrinkage of a bar that shrinks alike in every direction.

    Args:
        linear_shrinkage_percent: linear shrinkage S [%]

    Returns:
        volume shrinkage [%] of the initial volume.

    Equation:
        V = 100 (1 − (1 − S/100)³)

    Source:
        geometry of similar bodies. Worked value: State Hospital Red Sandy clay, 6.40 % linear and 17.90 % volume air
        shrinkage, Bell, Florida State Geological Survey 15th Annual Report (1923), p. 161.

    >>> print(round(volume_shrinkage(6.40), 1))
    18.0

    """
    left = 1.0 - np.asarray(linear_shrinkage_percent, dtype=np.float64) / 100.0
    volume: FloatArray = 100.0 * (1.0 - left**3)
    return volume


def compound_shrinkage(*percentages: npt.ArrayLike) -> FloatArray:
    """Return the shrinkage over several steps, each in per cent of the length that it starts from.

    Args:
        *percentages: shrinkages of the steps in their order [%], each on the length at its own beginning

    Returns:
        shrinkage over all steps [%] of the first length.

    Equation:
        1 − S/100 = (1 − S₁/100)(1 − S₂/100) …

    Source:
        algebra of the definitions in ASTM C326 (drying and total shrinkage on the wet length, firing on the dry one).
        Worked value computed by hand: 0.95 × 0.90 = 0.855.

    >>> print(round(compound_shrinkage(5.0, 10.0), 10))
    14.5

    """
    left: FloatArray = np.float64(1.0) * np.ones(())
    for percentage in percentages:
        left = left * (1.0 - np.asarray(percentage, dtype=np.float64) / 100.0)
    return 100.0 * (1.0 - left)


def wet_size_factor(total_shrinkage_percent: npt.ArrayLike) -> FloatArray:
    """Return by what to multiply a fired size to get the size to make wet.

    Args:
        total_shrinkage_percent: total linear shrinkage S on the wet length [%]

    Returns:
        wet size over fired size [ratio]; NaN for a shrinkage of 100 % or more, which no body has.

    Equation:
        f = 1 / (1 − S/100)

    Source:
        ASTM C326 definition of total shrinkage, solved for the wet length. Worked value computed by hand: 1 / 0.88.

    >>> print(round(wet_size_factor(12.0), 6))
    1.136364

    """
    left = 100.0 - np.asarray(total_shrinkage_percent, dtype=np.float64)
    return ratio(100.0, np.where(left > 0.0, left, np.nan))
