"""The response of a body to firing, from tables to sentences."""

from dataclasses import replace

import pytest

from bodytest.analysis.analysing import summarise
from bodytest.analysis.response import firing_responses
from bodytest.analysis.response_levels import level_means, levels_of, with_wrong_temperatures
from bodytest.tables import Lab
from tests.analysis.example_tables import bar, checked, firing

MEANS = {"F1": (1160.0, 10.0, 5.4), "F2": (1190.0, 11.4, 3.0), "F3": (1220.0, 12.4, 1.4), "F4": (1240.0, 12.0, 0.8)}
LIMITED = Lab(
    absorption_method="boil 5 h and soak 24 h", length_step_mm=0.001, mass_step_g=0.0001, absorption_limit_percent=2.0
)
EXACT = " This holds for exact temperatures only: state temperature ± for each firing."


def bars_at(code, shrinkage, absorption, *, each=5, batch="", direction="along"):
    """Return bars with the means given and a small even scatter."""
    made = []
    for number in range(each):
        off = number - (each - 1) / 2
        made.append(
            bar(
                f"{code}{batch}{number}",
                {"wet_length": 100.0, "fired_length": 100.0 - shrinkage - 0.05 * off},
                body="Grey", firing=code, batch=batch, direction=direction,
                fired_mass=100.0, boiled_mass=100.0 + absorption + 0.05 * off,
            )
        )  # fmt: skip
    return made


def fired(means=MEANS, *, lab=LIMITED, firings=None, **options):
    bars = [one for code, (_, s, a) in means.items() for one in bars_at(code, s, a, **options)]
    rows = firings or [firing(code, celsius=celsius) for code, (celsius, _, _) in means.items()]
    return checked(bars, firings=rows, labs=(lab,))


def response_of(sheets):
    (found,) = firing_responses(summarise(sheets))
    return found


def test_a_body_that_tightens_and_turns_is_told_in_one_sentence():
    found = response_of(fired())
    assert found.summary == (
        "Absorption falls to 2\xa0% at about 1207\xa0°C (1202 to 1210\xa0°C); shrinkage is largest at about"
        " 1221\xa0°C (1197 to 1240\xa0°C). No safe window is known yet: absorption is surely below 2\xa0% only from"
        " 1210\xa0°C, and shrinkage may turn from 1197\xa0°C. A firing at about 1205\xa0°C, between 1190 and"
        f" 1220\xa0°C, would show more.{EXACT}"
    )
    assert (found.safe_window, found.test_next_c) == (None, 1205.0)
    assert found.firing_range == (found.at_limit.celsius, found.densest.celsius)
    assert (found.firings, found.temperatures_c) == (("F1", "F2", "F3", "F4"), (1160.0, 1190.0, 1220.0, 1240.0))
    assert found.nominal == (False,) * 4


def test_curves_and_bands_stand_on_one_grid():
    found = response_of(fired())
    assert (found.grid_c[0], found.grid_c[-1], len(found.grid_c)) == (1160.0, 1240.0, 121)
    for key in ("total_shrinkage", "absorption"):
        low, curve, high = found.bands_low[key], found.curves[key], found.bands_high[key]
        assert len(low) == len(curve) == len(high) == 121
        assert all(a < b < c for a, b, c in zip(low, curve, high, strict=True))
    assert found.curves["absorption"][0] == pytest.approx(5.4)
    assert found.curves["total_shrinkage"][-1] == pytest.approx(12.0)


@pytest.mark.parametrize(("densest", "edge"), [(0.04, 0.0), (-0.02, -0.02)])
def test_the_band_of_absorption_ends_at_zero_unless_the_readings_lie_below(densest, edge):
    found = response_of(fired(MEANS | {"F4": (1240.0, 12.0, densest)}))
    assert found.bands_low["absorption"][-1] == pytest.approx(edge)
    assert found.bands_low["absorption"][0] == pytest.approx(2 * 5.4 - found.bands_high["absorption"][0])


def test_a_limit_that_was_not_reached_is_not_extrapolated():
    found = response_of(fired({code: MEANS[code] for code in ("F1", "F2")} | {"F3": (1200.0, 11.9, 2.6)}))
    assert found.at_limit.celsius is None
    assert found.at_limit.high is None
    assert found.at_limit.note == "not reached in the tested range: absorption is lowest, 2.6\xa0%, at 1200\xa0°C"
    assert found.densest.celsius is None
    assert found.firing_range is None
    assert found.summary == (
        "The absorption limit of 2\xa0% is not reached in the tested range: absorption is lowest, 2.6\xa0%, at"
        " 1200\xa0°C; the peak of shrinkage is not reached in the tested range: shrinkage is largest at the hottest"
        f" firing, 1200\xa0°C.{EXACT}"
    )


def test_a_body_that_is_tight_already_at_the_coolest_firing_says_so():
    found = response_of(fired({"F1": (1160.0, 10.0, 1.9), "F2": (1190.0, 11.4, 1.0), "F3": (1220.0, 12.4, 0.4)}))
    assert found.at_limit.celsius is None
    assert found.at_limit.note == (
        "not reached in the tested range: absorption is at or below 2\xa0% already at the coolest firing, 1160\xa0°C"
    )


def test_a_body_that_overfires_before_it_is_tight_is_told_so():
    turned = {
        "F1": (1160.0, 10.0, 5.4),
        "F2": (1190.0, 11.4, 3.0),
        "F3": (1220.0, 11.0, 2.4),
        "F4": (1240.0, 10.2, 1.4),
    }
    found = response_of(fired(turned))
    assert found.firing_range is None
    assert found.summary.endswith(f" It overfires before it is tight.{EXACT}")


def test_a_turn_that_may_be_chance_is_told_as_such():
    flat = {**MEANS, "F4": (1240.0, 12.39, 0.8)}
    found = response_of(fired(flat))
    assert found.densest.high is None
    assert found.densest.note == "but it is not certain that it turns: the hottest firing may shrink as much"


def test_without_a_limit_the_absorption_is_told_from_end_to_end():
    found = response_of(fired(lab=Lab(length_step_mm=0.001, mass_step_g=0.0001)))
    assert found.at_limit is None
    assert found.summary.startswith(
        "Absorption goes from 5.4\xa0% at 1160\xa0°C to 0.8\xa0% at 1240\xa0°C, no limit is stated; shrinkage is"
    )


def test_a_firing_with_a_cone_and_no_temperature_stands_at_the_nominal_one_and_is_marked():
    rows = [firing("F1", celsius=1160.0), firing("F2", celsius=1190.0), firing("F3", cone="6"), firing("F4", cone="7")]
    found = response_of(fired(firings=rows))
    assert found.temperatures_c == (1160.0, 1190.0, 1222.0, 1239.0)
    assert found.nominal == (False, False, True, True)


def test_two_firings_at_one_temperature_are_put_together():
    twice = {**MEANS, "F5": (1220.0, 12.2, 1.6)}
    found = response_of(fired(twice))
    assert sorted(found.temperatures_c) == [1160.0, 1190.0, 1220.0, 1220.0, 1240.0]
    assert found.firings == ("F1", "F2", "F3", "F5", "F4")
    place = round((1220.0 - 1160.0) / 80.0 * 120)
    assert found.curves["total_shrinkage"][place] == pytest.approx(12.3, abs=0.01)
    assert found.curves["absorption"][place] == pytest.approx(1.5, abs=0.01)


def test_two_temperatures_are_too_few():
    assert firing_responses(summarise(fired({code: MEANS[code] for code in ("F1", "F2")}))) == ()


def test_bars_without_a_temperature_or_cone_are_not_placed():
    rows = [firing(code, celsius=celsius) for code, (celsius, _, _) in MEANS.items() if code != "F2"] + [firing("F2")]
    found = response_of(fired(firings=rows))
    assert found.firings == ("F1", "F3", "F4")
    assert found.summary.endswith(" Not on the curves: F2 (no temperature and no cone with a nominal one).")


def test_a_firing_without_the_readings_of_the_others_is_named():
    sheets = fired()
    sheets.bars.loc[sheets.bars["firing"] == "F1", "boiled_mass_g"] = float("nan")
    found = response_of(sheets)
    assert found.firings == ("F2", "F3", "F4")
    assert found.summary.endswith(" Not on the curves: F1 (not every reading that the other firings have).")


def test_single_bars_give_a_curve_and_no_interval():
    found = response_of(fired(each=1))
    assert found.at_limit.celsius == pytest.approx(1207.0, abs=3.0)
    assert (found.at_limit.low, found.at_limit.high) == (None, None)
    assert found.bands_low == {}


def test_a_single_bar_among_others_borrows_their_scatter():
    sheets = fired()
    lone = sheets.bars["bar"].str.startswith("F2") & (sheets.bars["bar"] != "F22")
    sheets.bars.loc[lone, "left_out"] = "cracked"
    found = response_of(sheets)
    assert found.at_limit.low is not None
    assert found.bands_low["absorption"][0] < found.curves["absorption"][0]


def test_batches_fired_together_do_not_hide_the_turn():
    bars = []
    for batch, shift in (("A", -0.5), ("B", 0.0), ("C", 0.6)):
        for code, (_, shrinkage, absorption) in MEANS.items():
            bars += bars_at(code, shrinkage + shift, absorption + 0.3 * shift, batch=batch)
    rows = [firing(code, celsius=celsius) for code, (celsius, _, _) in MEANS.items()]
    found = response_of(checked(bars, firings=rows, labs=(LIMITED,)))
    assert found.densest.high == 1240.0
    assert found.at_limit.high - found.at_limit.low > 15.0


def test_each_direction_has_its_own_response():
    bars = [
        one
        for direction, more in (("along", 0.0), ("across", 0.8))
        for code, (_, s, a) in MEANS.items()
        for one in bars_at(code, s + more, a, direction=direction)
    ]
    rows = [firing(code, celsius=celsius) for code, (celsius, _, _) in MEANS.items()]
    found = firing_responses(summarise(checked(bars, firings=rows, labs=(LIMITED,))))
    assert [one.direction for one in found] == ["across", "along"]
    assert found[0].curves["total_shrinkage"][0] == pytest.approx(10.8)


def test_shrinkage_alone_is_enough():
    sheets = fired()
    sheets.bars["boiled_mass_g"] = float("nan")
    found = response_of(sheets)
    assert set(found.curves) == {"total_shrinkage"}
    assert found.at_limit is None
    assert found.summary == f"Shrinkage is largest at about 1221\xa0°C (1197 to 1240\xa0°C).{EXACT}"


def test_the_same_bars_give_the_same_response():
    assert response_of(fired()) == response_of(fired())


CLOSE_TOGETHER = {
    "F1": (1160.0, 10.0, 5.4),
    "F2": (1180.0, 11.2, 3.4),
    "F3": (1200.0, 12.0, 1.6),
    "F4": (1220.0, 12.5, 0.8),
    "F5": (1240.0, 12.7, 0.5),
    "F6": (1260.0, 11.9, 0.4),
}


def stated(means, expanded, **options):
    rows = [firing(code, celsius=celsius) for code, (celsius, _, _) in means.items()]
    return fired(means, firings=[{**row, "temperature_expanded_c": expanded} for row in rows], **options)


def test_the_safe_window_runs_from_surely_tight_to_surely_not_overfired():
    found = response_of(stated(CLOSE_TOGETHER, 4.0))
    low, high = found.safe_window
    assert (low, high) == (found.at_limit.high, found.densest.low)
    assert found.at_limit.celsius < low < high < found.densest.celsius
    assert found.summary == (
        "Absorption falls to 2\xa0% at about 1194\xa0°C (1189 to 1199\xa0°C); shrinkage is largest at about"
        " 1234\xa0°C (1220 to 1261\xa0°C). Safe window: 1199 to 1220\xa0°C."
    )
    assert not found.exact_temperatures_only


def test_a_stated_uncertainty_of_the_temperature_widens_what_is_read_off():
    exact, stated_10 = response_of(fired()), response_of(stated(MEANS, 10.0))
    assert (exact.exact_temperatures_only, stated_10.exact_temperatures_only) == (True, False)
    assert stated_10.at_limit.high - stated_10.at_limit.low > 1.5 * (exact.at_limit.high - exact.at_limit.low)
    assert EXACT not in stated_10.summary


def test_the_lab_sheet_states_it_for_all_firings():
    by_lab = response_of(fired(lab=replace(LIMITED, temperature_expanded_c=10.0)))
    assert by_lab.at_limit == response_of(stated(MEANS, 10.0)).at_limit


def test_a_firing_without_a_statement_among_others_leaves_the_range_for_exact_temperatures():
    sheets = stated(MEANS, 10.0)
    sheets.firings.loc[0, "temperature_expanded_c"] = float("nan")
    assert response_of(sheets).exact_temperatures_only


def test_loads_fired_alike_show_how_far_temperatures_stray():
    again = {**MEANS, "F5": (1191.0, 11.2, 3.7), "F6": (1222.0, 12.2, 1.9), "F7": (1190.5, 11.5, 2.6)}
    alike = {**MEANS, "F5": (1191.0, 11.4, 2.95), "F6": (1222.0, 12.4, 1.4), "F7": (1190.5, 11.4, 3.0)}
    strays, holds = response_of(fired(again)), response_of(fired(alike))
    assert not strays.exact_temperatures_only
    assert len(strays.temperatures_c) == 7
    width, narrow = (one.at_limit.high - one.at_limit.low for one in (strays, holds))
    assert width > 2.0 * narrow


def test_loads_of_one_programme_are_one_level_with_the_scatter_between_them():
    loads = {**MEANS, "F3": (1214.0, 12.3, 1.6), "F5": (1220.0, 12.4, 1.4), "F6": (1226.0, 12.5, 1.2)}
    rows = [firing(code, celsius=celsius) for code, (celsius, _, _) in loads.items()]
    for row in rows:
        row["programme"] = "glaze" if row["firing"] in ("F3", "F5", "F6") else ""
    results = summarise(fired(loads, firings=rows))
    (glaze,) = (one for one in results.programmes if one.programme == "glaze")
    levels = levels_of(results.groups, results.programmes)
    assert [[load.firing for load in level.loads] for level in levels] == [["F1"], ["F2"], ["F3", "F5", "F6"], ["F4"]]
    means = level_means(levels, "total_shrinkage")
    assert means.temperatures_c.tolist() == [1160.0, 1190.0, 1220.0, 1240.0]
    assert (means.means[2], means.standard_uncertainties[2]) == (
        pytest.approx(12.4),
        glaze.quantities["total_shrinkage"].standard_uncertainty,
    )
    assert means.standard_uncertainties[2] == pytest.approx(0.1 / 3**0.5, abs=0.005)  # by hand: loads scatter by 0.1
    told, exact = with_wrong_temperatures(levels, {"total_shrinkage": means})
    assert told["total_shrinkage"].temperature_uncertainties_c[2] == 0.0  # the scatter of its loads is in its mean
    assert told["total_shrinkage"].temperature_uncertainties_c[0] > 0.0
    assert not exact


def test_firing_shrinkage_serves_where_wet_lengths_were_not_measured():
    sheets = fired(CLOSE_TOGETHER)
    sheets.marks["dry_length_mm"] = sheets.marks["wet_length_mm"]
    sheets.marks["wet_length_mm"] = float("nan")
    found = response_of(sheets)
    assert found.shrinkage_quantity == "firing_shrinkage"
    assert set(found.curves) == {"firing_shrinkage", "absorption"}
    assert "; firing shrinkage is largest at about 1234\xa0°C (" in found.summary
    assert found.safe_window is not None


def test_a_body_tight_at_the_coolest_firing_is_safe_from_there():
    found = response_of(stated({code: (c, s, 0.1 * a) for code, (c, s, a) in CLOSE_TOGETHER.items()}, 4.0))
    assert found.safe_window == (pytest.approx(1160.0 + 3.92, abs=0.01), found.densest.low)


def test_where_a_further_firing_could_not_be_told_apart_the_same_ones_are_to_be_repeated():
    found = response_of(stated(MEANS, 16.0))
    assert found.test_next_c is None
    assert found.summary.endswith(" Repeat these firings: another load at the same temperatures would show more.")
