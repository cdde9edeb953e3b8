"""Marks within bars: whether to measure more marks or to make more bars."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt


@dataclass(frozen=True)
class MarkSpread:
    """Scatter between the marks of one bar, and between bars beyond what their marks explain."""

    mark_sd: float | None
    """Standard deviation between the marks of one bar; None when no bar has two."""
    bar_sd: float | None
    """Standard deviation between bars, marks apart; 0 when marks explain all of it, None with fewer than two bars or
    without `mark_sd`."""


def mark_spread(values: npt.ArrayLike, bar_index: npt.ArrayLike) -> MarkSpread:
    """Split the scatter of mark by mark values into marks of one bar and bars of one batch.

    Parameters:
        values: one value for each mark, none missing [unit of the quantity].
        bar_index: which bar each mark is on [any whole numbers].

    Equation: mark² = MS_within, bar² = max(0, (MS_between − MS_within)/n₀), n₀ = (N − Σ nᵢ²/N)/(k − 1)

    Reference: Snedecor and Cochran, Statistical Methods, one-way random effects with unequal numbers (from memory).
        The worked value is the dyestuff data, Davies & Goldsmith 1972, 6.4: 42.00 between, 49.51 within.

    >>> dyestuff = [1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
    ...             1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445]
    >>> found = mark_spread(dyestuff, [mark // 5 for mark in range(30)])
    >>> print(f"{found.bar_sd:.2f} {found.mark_sd:.2f}")
    42.00 49.51
    """
    marks = np.asarray(values, dtype=np.float64)
    _, index = np.unique(np.asarray(bar_index), return_inverse=True)
    sizes = np.bincount(index).astype(np.float64)
    bars, total = len(sizes), float(marks.size)
    centre = float(marks.mean()) if marks.size else 0.0
    distances = marks - centre
    means = np.bincount(index, weights=distances) / sizes
    if total <= bars:
        return MarkSpread(None, None)
    within = float(np.square(distances - means[index]).sum()) / (total - bars)
    if bars < 2:
        return MarkSpread(math.sqrt(within), None)
    usual = (total - float(np.square(sizes).sum()) / total) / (bars - 1)
    between = float((sizes * np.square(means - distances.mean())).sum()) / (bars - 1)
    return MarkSpread(math.sqrt(within), math.sqrt(max(between - within, 0.0) / usual))
