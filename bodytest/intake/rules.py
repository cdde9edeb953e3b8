"""Checks of the bars of one workbook; each rule knows its cells."""

from bodytest.intake.bars import SheetBars
from bodytest.intake.notebook import Notebook
from bodytest.tables import Lab


def check_bars(sheet: SheetBars, lab: Lab, notes: Notebook) -> None:
    """Run every rule over the bars; readings that cannot be used become blank."""
