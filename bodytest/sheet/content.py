"""What stands in a workbook of ours when it is written: planned bars, firings, and readings where there are any."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from bodytest.sheet.chosen_columns import KindsOfTest, Units

Row = Mapping[str, object]
"""A row by heading without unit, e.g. ``{"bar": "A1", "wet length": 100.5}``; a missing heading is an empty cell."""


@dataclass(frozen=True)
class SheetContent:
    """Everything that the writer needs to know."""

    bars: tuple[Row, ...]
    """Rows of the Bars sheet; the marks of one bar follow each other."""
    firings: tuple[Row, ...]
    """Rows of the Firings sheet."""
    lab: Row = field(default_factory=dict)
    """Values of the Lab sheet by name."""
    pieces: tuple[Row, ...] = ()
    """Rows of the Pieces sheet."""
    specs: tuple[Row, ...] = ()
    """Rows of the Specs sheet."""
    kinds: KindsOfTest = field(default_factory=KindsOfTest)
    """Which stages and kinds of test there are columns for."""
    units: Units = field(default_factory=Units)
    """Units in the headings."""
    bodies: tuple[str, ...] = ()
    """Names offered in drop-down lists."""
    batches: tuple[str, ...] = ()
    """Names offered in drop-down lists."""
    directions: tuple[str, ...] = ("along", "across")
    """Names offered in drop-down lists."""
    notice: str = ""
    """Said at the top of every sheet, e.g. that all numbers are invented."""
    spare_bars: int = 20
    """Empty rows under the planned ones, for further bars and bars fired again."""
    spare_pieces: int = 20
    """Empty rows of the Pieces sheet."""
    paper: str = "A4"
    """``A4`` or ``Letter``."""
