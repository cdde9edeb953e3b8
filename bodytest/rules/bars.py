"""All checks of the bars of one workbook, in one pass."""

from bodytest.grids.notebook import Notebook
from bodytest.intake.bars import SheetBars
from bodytest.rules.bounds import ask_about_unlikely, refuse_untrue
from bodytest.rules.completeness import tell_alike, tell_left_out, tell_shared_codes, tell_what_is_to_come
from bodytest.rules.conditions import settle_conditions
from bodytest.rules.impossible import refuse_impossible
from bodytest.rules.magnitudes import ask_about_magnitudes, ask_about_no_bars_size
from bodytest.rules.neighbours import readings_of, together
from bodytest.rules.plausible import ask_about_far
from bodytest.tables import Lab


def check_bars(sheet: SheetBars, lab: Lab, notes: Notebook) -> None:
    """Run every rule over the bars; readings that cannot be used become blank."""
    if sheet.bars.empty:
        return
    tell_what_is_to_come(sheet, notes)
    settle_conditions(sheet, notes)
    tables = readings_of(sheet)
    odd_columns = ask_about_magnitudes(tables, notes)
    for readings in tables:
        asked = refuse_impossible(readings, lab, notes)
        asked |= refuse_untrue(readings, lab, odd_columns, notes)
        ask_about_unlikely(readings, lab, asked, odd_columns, notes)
        ask_about_far(readings, asked, odd_columns, notes)
        ask_about_no_bars_size(readings, notes)
        tell_alike(readings, lab, notes)
    whole = together(tables)
    asked = refuse_untrue(whole, lab, odd_columns, notes)
    ask_about_unlikely(whole, lab, asked, odd_columns, notes)
    tell_left_out(sheet, notes)
    tell_shared_codes(sheet, notes)
