"""All checks of the bars, in one pass."""

from bodytest.intake.all_bars import AllBars
from bodytest.rules.bounds import ask_about_unlikely, refuse_untrue
from bodytest.rules.completeness import tell_alike, tell_shared_codes, tell_what_is_to_come
from bodytest.rules.conditions import settle_conditions
from bodytest.rules.impossible import refuse_impossible
from bodytest.rules.left_out import settle_left_out
from bodytest.rules.magnitudes import ask_about_magnitudes, ask_about_no_bars_size
from bodytest.rules.neighbours import readings_of, together
from bodytest.rules.plausible import ask_about_far, ask_about_mass_and_length
from bodytest.rules.stated import settle_stated


def check_bars(every: AllBars) -> None:
    """Run every rule over the bars; readings that cannot be used become blank."""
    if not len(every):
        return
    tell_what_is_to_come(every, settle_left_out(every))
    settle_conditions(every)
    tables = readings_of(every)
    odd_columns = ask_about_magnitudes(tables)
    for readings in tables:
        asked = refuse_impossible(readings)
        readings.pass_over(odd_columns)
        refuse_untrue(readings)
        ask_about_unlikely(readings, asked)
        ask_about_far(readings, asked)
        ask_about_no_bars_size(readings)
        tell_alike(readings)
    whole = together(tables)
    asked = set()
    refuse_untrue(whole)
    ask_about_unlikely(whole, asked)
    ask_about_mass_and_length(whole, asked)
    settle_stated(every)
    tell_shared_codes(every)
