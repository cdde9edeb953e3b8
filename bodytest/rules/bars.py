"""All checks of the bars of one workbook, in one pass."""

from bodytest.grids.notebook import Notebook
from bodytest.intake.bars import SheetBars
from bodytest.rules.completeness import tell_alike, tell_left_out, tell_shared_codes, tell_what_is_to_come
from bodytest.rules.impossible import refuse_impossible
from bodytest.rules.magnitudes import ask_about_magnitudes, ask_about_no_bars_size
from bodytest.rules.neighbours import readings_of
from bodytest.rules.plausible import ask_about_odd
from bodytest.tables import Lab


def check_bars(sheet: SheetBars, lab: Lab, notes: Notebook) -> None:
    """Run every rule over the bars; readings that cannot be used become blank."""
    if sheet.bars.empty:
        return
    tell_what_is_to_come(sheet, notes)
    lengths, masses = readings_of(sheet)
    odd_columns = ask_about_magnitudes(lengths, masses, notes)
    for readings, step in ((lengths, lab.length_step_mm), (masses, lab.mass_step_g)):
        asked = refuse_impossible(readings, step, notes)
        ask_about_odd(readings, asked, odd_columns, notes)
        ask_about_no_bars_size(readings, notes)
        tell_alike(readings, step, notes)
    tell_left_out(sheet, notes)
    tell_shared_codes(sheet, notes)
