"""What the statistics of a group look up: tables, values of the bars, firings, confidence."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from bodytest.body.values import BarValues
from bodytest.tables import CheckedSheets

Rows = npt.NDArray[np.int64]
"""Positions in the bars table."""


@dataclass(frozen=True)
class Bench:
    """Everything that the statistics of a group look up."""

    sheets: CheckedSheets
    """The checked tables."""
    values: BarValues
    """Values of each bar."""
    firings: "dict[str, pd.Series]"
    """First row of the Firings table for each code."""
    confidence: float
    """Confidence of all intervals."""
