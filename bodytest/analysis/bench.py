"""What the statistics of a group look up: tables, values of the bars, firings, confidence."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
import pandas as pd

from bodytest.analysis.values import BarValues
from bodytest.results import FlaggedBar
from bodytest.tables import CheckedSheets, Lab
from bodytest.units import INSTRUMENTS

Rows = npt.NDArray[np.int64]
"""Positions in the bars table."""


@dataclass(frozen=True)
class Bench:
    """Everything that the statistics of a group look up."""

    sheets: CheckedSheets
    """The checked tables."""
    values: BarValues
    """Values of each bar."""
    confidence: float
    """Confidence of all intervals."""
    flagged: dict[tuple[str, bytes], dict[int, FlaggedBar]] = field(default_factory=dict)
    """Bars that stand apart, by quantity and rows of a cell: what is asked for a group is asked for its batches too."""

    @cached_property
    def firings(self) -> "dict[str, pd.Series]":
        """First row of the Firings table for each code."""
        return {str(row["firing"]): row for _, row in self.sheets.firings.drop_duplicates("firing").iterrows()}

    @cached_property
    def sheet_of_bar(self) -> Rows:
        """Position of each bar's workbook."""
        return self.sheets.bars["sheet"].to_numpy(dtype=np.int64)

    @cached_property
    def left_out(self) -> npt.NDArray[np.bool_]:
        """Whether the user left a bar out."""
        return np.asarray(self.sheets.bars["left_out"].to_numpy(dtype=object) != "", dtype=bool)

    @cached_property
    def batch_names(self) -> tuple[str, ...]:
        """Names of all batches, in the order of the sheets."""
        return tuple(str(name) for name in pd.unique(self.sheets.bars["batch"].to_numpy(dtype=object)))

    @cached_property
    def batch_of_bar(self) -> Rows:
        """Position of each bar's batch in ``batch_names``."""
        codes, _ = pd.factorize(self.sheets.bars["batch"].to_numpy(dtype=object))
        return codes.astype(np.int64)

    @cached_property
    def bar_of_row(self) -> Rows:
        """Number of each bar, the same one in all firings of a sheet; one without a code is a bar of its own."""
        bars = self.sheets.bars
        codes, _ = pd.factorize(bars["bar"].to_numpy(dtype=object))
        own = np.where(bars["bar"].to_numpy(dtype=object) == "", len(bars) + np.arange(len(bars)), codes)
        return own + 2 * len(bars) * self.sheet_of_bar

    @cached_property
    def load_of_bar(self) -> Rows:
        """Number of each bar's load."""
        codes, _ = pd.factorize(self.sheets.bars["firing"].to_numpy(dtype=object))
        return codes.astype(np.int64)

    @cached_property
    def cell_of_bar(self) -> Rows:
        """Number of each bar's cell, a batch in a load; cells are numbered by batch, then by load."""
        return self.batch_of_bar * (int(self.load_of_bar.max(initial=0)) + 1) + self.load_of_bar

    def lab_of(self, rows: Rows) -> Lab:
        """Return the Lab table of some bars; of the absorption limits of several the lowest counts."""
        labs = [self.sheets.sheets[int(sheet)].lab for sheet in np.unique(self.sheet_of_bar[rows])] or [Lab()]
        limits = [lab.absorption_limit_percent for lab in labs if lab.absorption_limit_percent is not None]
        return replace(labs[0], absorption_limit_percent=min(limits, default=None))

    def unfired(self) -> "Bench":
        """Return the bench as it is before the kiln, where all bars are in one place."""
        before = replace(self)
        before.__dict__["load_of_bar"] = np.zeros(len(self.sheets.bars), dtype=np.int64)
        return before

    @cached_property
    def reading_steps(self) -> dict[str, npt.NDArray[np.float64]]:
        """Reading step of each bar's instruments in the unit held, by their name; 0 where none is known."""
        labs = [source.lab for source in self.sheets.sheets]
        return {name: np.array([lab.step(name) or 0.0 for lab in labs])[self.sheet_of_bar] for name in INSTRUMENTS}
