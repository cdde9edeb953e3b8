"""How far the temperatures of loads stray from what was read, judged by loads that were fired alike."""

import numpy as np

from bodytest.stats.design import FloatArray, IntArray


def temperature_scatter(
    deviations: FloatArray, slopes: FloatArray, variances: FloatArray, level_of_load: IntArray
) -> tuple[float, float] | None:
    """Return the standard deviation of a load's temperature and its degrees of freedom, None where no two are alike.

    Parameters:
        deviations: mean of each load less the mean of the loads of its level, shape (quantities, loads)
            [unit of the quantity].
        slopes: slope of each quantity at the level of each load, same shape [unit of the quantity for each °C].
        variances: mean variance of a load's mean by its bars, shape (quantities,) [unit of the quantity, squared].
        level_of_load: position of each load's level, shape (loads,) [count].

    Equation: u² = Σ d²/v / Σ (L − 1) b²/v over quantities and levels of L loads; ν = (Σ (L − 1) W)² / Σ (L − 1) W²,
        W = Σ b²/v of a level. The scatter of bars is not taken off, which keeps u on the safe side

    Reference: derived here; ν as Welch–Satterthwaite (JCGM 100:2008, G.4.1). Worked value by hand: two loads at one
        temperature differ by 1.2 % where absorption falls by 0.06 % for each °C: s = 1.2/√2/0.06 = 14.1 °C.

    >>> deviations, slopes = np.array([[0.6, -0.6, 0.0]]), np.array([[-0.06, -0.06, -0.02]])
    >>> u, freedom = temperature_scatter(deviations, slopes, np.array([0.01]), np.array([0, 0, 1]))
    >>> print(f"{u:.1f} {freedom:.0f}")
    14.1 1
    """
    levels, first, loads = np.unique(level_of_load, return_index=True, return_counts=True)
    if len(levels) == len(level_of_load):
        return None
    known = np.where(variances > 0.0, variances, 1.0)[:, None]
    weights = np.square(slopes[:, first] / np.sqrt(known)).sum(axis=0)
    total = float(((loads - 1.0) * weights).sum())
    if total <= 0.0:
        return None
    u = float(np.sqrt((np.square(deviations) / known).sum() / total))
    return u, total**2 / float(((loads - 1.0) * weights**2).sum())
