"""Several batches of a body without regard to loads: mean, next bar and tolerance for any batch to come."""

import numpy as np
import numpy.typing as npt

from bodytest.stats.effects import EffectsSummary, Instruments, summarise_effects

BatchesSummary = EffectsSummary


def summarise_batches(
    values: npt.ArrayLike,
    batch_index: npt.ArrayLike,
    *,
    confidence: float = 0.95,
    step_uncertainty: float = 0.0,
    calibration_uncertainty: float = 0.0,
    shared_uncertainty: float | None = None,
) -> BatchesSummary:
    """Return the mean of a body over batches, and the intervals for it, for a bar of a new batch and for 95 % of bars.

    Parameters:
        values: one value for each bar [unit of the quantity].
        batch_index: batch of each bar, any whole numbers, at least two batches [code].
        confidence: of the intervals [fraction].
        step_uncertainty: standard uncertainty of one bar's value from the reading steps [unit of the quantity].
        calibration_uncertainty: standard uncertainty from calibration, the same in all bars [unit of the quantity].
        shared_uncertainty: the part of the reading-step uncertainty that is the same error in all bars; found from
            the scatter of the values when None [unit of the quantity].

    Equation: `bodytest.stats.effects.summarise_effects` with all bars in one load

    Reference: as there. Worked values: Davies & Goldsmith 1972, 6.4 (dyestuff), 42.0, 49.51, 1527.5, 19.383.

    >>> dyestuff = [1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
    ...             1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445]
    >>> found = summarise_batches(dyestuff, [bar // 5 for bar in range(30)])
    >>> print(f"{found.batch_sd:.2f} {found.bar_sd:.2f} {found.mean:.1f} {found.standard_uncertainty:.3f}")
    42.00 49.51 1527.5 19.383
    """
    one_load = np.zeros(np.shape(values), dtype=np.int64)
    instruments = Instruments(step_uncertainty, calibration_uncertainty, shared_uncertainty)
    return summarise_effects(values, batch_index, one_load, confidence=confidence, instruments=instruments)
