"""Which batches stood in which loads: the design that tells whether both kinds of scatter can be told apart."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
Design = Literal["one load", "loads", "batches", "crossed", "nested", "confounded"]


@dataclass(frozen=True)
class CellLayout:
    """Bars counted by batch and load. A cell is one batch in one load; a piece is all that cells connect."""

    sizes: FloatArray
    """Bars of each cell, shape (cells,)."""
    batch: IntArray
    """Batch of each cell, whole numbers from 0."""
    load: IntArray
    """Load of each cell, whole numbers from 0."""
    batch_piece: IntArray
    """Piece of each batch: batches and loads that share bars, directly or by way of others, are one piece."""
    load_piece: IntArray
    """Piece of each load."""

    @cached_property
    def bars(self) -> float:
        """Number of bars in all."""
        return float(self.sizes.sum())

    @property
    def batches(self) -> int:
        """Number of batches."""
        return len(self.batch_piece)

    @property
    def loads(self) -> int:
        """Number of loads."""
        return len(self.load_piece)

    @cached_property
    def pieces(self) -> int:
        """Number of pieces; only between pieces do batch and load change together."""
        return int(self.batch_piece.max()) + 1

    @property
    def bar_freedom(self) -> int:
        """Degrees of freedom of what batches and loads do not add up to; with 0 bars show no scatter of their own."""
        return int(self.bars) - self.batches - self.loads + self.pieces

    @cached_property
    def design(self) -> Design:
        """The design in one word, as `classify` has it."""
        batches, loads, pieces = self.batches, self.loads, self.pieces
        if batches == loads == pieces:
            return "one load" if pieces == 1 else "confounded"
        if batches == 1 or loads == 1:
            return "loads" if batches == 1 else "batches"
        return "nested" if pieces in (batches, loads) else "crossed"


def cell_layout(batch_codes: npt.ArrayLike, load_codes: npt.ArrayLike) -> tuple[CellLayout, IntArray]:
    """Count bars by batch and load; return the layout and the cell of each bar.

    Parameters:
        batch_codes: batch of each bar, any whole numbers [code].
        load_codes: load of each bar, any whole numbers [code].

    Equation: pieces are the connected components of the graph whose edges are the cells

    Reference: connectedness of two-way data, Searle, Linear Models, 1971, 7.4 (from memory). Worked value by hand.

    >>> layout, cell = cell_layout([7, 7, 7, 9], [1, 1, 2, 3])
    >>> layout.sizes.tolist(), cell.tolist(), layout.pieces
    ([2.0, 1.0, 1.0], [0, 0, 1, 2], 2)
    """
    batches, loads = np.asarray(batch_codes), np.asarray(load_codes)
    if len(batches) and np.all(batches == batches[0]) and np.all(loads == loads[0]):
        return _one_cell(len(batches)), np.zeros(len(batches), dtype=np.int64)
    _, batch_of_bar = np.unique(batches, return_inverse=True)
    names, load_of_bar = np.unique(loads, return_inverse=True)
    keys, cell_of_bar, sizes = np.unique(
        batch_of_bar * len(names) + load_of_bar, return_inverse=True, return_counts=True
    )
    batch, load = np.divmod(keys, len(names))
    batch_piece, load_piece = _pieces(batch, load)
    layout = CellLayout(sizes.astype(np.float64), batch, load, batch_piece, load_piece)
    return layout, cell_of_bar.astype(np.int64)


def _one_cell(bars: int) -> CellLayout:
    """Return the layout of bars of one batch in one load; most calls are for such bars."""
    first = np.zeros(1, dtype=np.int64)
    return CellLayout(np.array([float(bars)]), first, first, first, first)


def classify(batch_codes: npt.ArrayLike, load_codes: npt.ArrayLike) -> Design:
    """Return in one word how batches and loads lie to each other.

    Parameters:
        batch_codes: batch of each bar, any whole numbers [code].
        load_codes: load of each bar, any whole numbers [code].

    Equation: with B batches, L loads and P pieces: "one load" B = L = 1; "loads" B = 1; "batches" L = 1;
        "confounded" B = L = P, so that batch and load change together; "nested" P = B or P = L, each batch in loads of
        its own or each load with batches of its own; else "crossed", wholly or partly

    Reference: as in `cell_layout`. Worked values by hand: two batches, each in two loads of its own; both in both.

    >>> classify([0, 0, 1, 1], [0, 1, 2, 3]), classify([0, 0, 1, 1], [0, 1, 0, 1])
    ('nested', 'crossed')
    """
    return cell_layout(batch_codes, load_codes)[0].design


def sums_by(values: FloatArray, level: IntArray) -> FloatArray:
    """Return the sums over each level.

    Parameters:
        values: shape (…, cells) [any unit].
        level: of each cell, whole numbers from 0, shape (cells,) [code].

    Equation: S_l = Σ v_c over the cells of level l, shape (…, levels)

    Reference: none needed; worked value by hand.

    >>> sums_by(np.array([1.0, 2.0, 4.0]), np.array([0, 1, 0])).tolist()
    [5.0, 2.0]
    """
    cells_first = values.T
    sums = np.zeros((int(level.max()) + 1, *cells_first.shape[1:]))
    np.add.at(sums, level, cells_first)
    return np.asarray(sums.T)


def _pieces(batch: IntArray, load: IntArray) -> tuple[IntArray, IntArray]:
    """Return the piece of each: every batch and load takes the lowest number within reach until nothing changes."""
    of_batch = np.arange(int(batch.max()) + 1)
    of_load = np.full(int(load.max()) + 1, len(of_batch))
    while True:
        np.minimum.at(of_load, load, of_batch[batch])
        before = of_batch.copy()
        np.minimum.at(of_batch, batch, of_load[load])
        of_batch = of_batch[of_batch]
        if np.array_equal(before, of_batch):
            numbers, batch_piece = np.unique(of_batch, return_inverse=True)
            return batch_piece.astype(np.int64), np.searchsorted(numbers, of_load).astype(np.int64)
