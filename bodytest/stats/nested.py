"""Marks within bars: how far the marks of one bar disagree."""

import math

import numpy as np
import numpy.typing as npt


def mark_scatter(values: npt.ArrayLike, bar_index: npt.ArrayLike) -> float | None:
    """Return the standard deviation between the marks of one bar, None where no bar has two.

    Parameters:
        values: one value for each mark, none missing [unit of the quantity].
        bar_index: which bar each mark is on [any whole numbers].

    Equation: s² = Σ (x − x̄)²/(N − k), x̄ the mean of each of k bars with N marks in all

    Reference: Snedecor and Cochran, Statistical Methods, one-way analysis with unequal numbers (from memory).
        The worked value is the dyestuff data, Davies & Goldsmith 1972, 6.4: 49.51 within.

    >>> dyestuff = [1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
    ...             1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445]
    >>> round(mark_scatter(dyestuff, [mark // 5 for mark in range(30)]), 2)
    49.51
    """
    marks = np.asarray(values, dtype=np.float64)
    _, index = np.unique(np.asarray(bar_index), return_inverse=True)
    sizes = np.bincount(index).astype(np.float64)
    freedom = marks.size - len(sizes)
    if freedom < 1:
        return None
    distances = marks - float(marks.mean())
    means = np.bincount(index, weights=distances) / sizes
    return math.sqrt(float(np.square(distances - means[index]).sum()) / freedom)
