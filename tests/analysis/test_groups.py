from dataclasses import replace

import numpy as np
import pytest

from bodytest.analysis.analysing import summarise
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.tables import Lab
from tests.analysis.example_tables import FINE_LAB, bar, checked, firing

# Devore, Probability and Statistics, examples 7.12 and 7.13 (figures from memory, agree with recomputation):
# fat content of ten hot dogs; here as loss on ignition and as absorption of ten bars of 100 g.
FAT = (25.2, 21.3, 22.8, 17.0, 29.8, 21.0, 25.5, 16.0, 20.9, 19.5)


def soaked(percent, **cells):
    return {"body": "A", "firing": "F1", "fired_mass": 100.0, "boiled_mass": 100.0 + percent, **cells}


def absorption_of(results, position=0):
    return results.groups[position].quantities["absorption"]


def test_mean_and_intervals_of_one_batch_are_the_published_ones():
    bars = [bar(f"B{i}", body="A", firing="F1", dry_mass=100.0, fired_mass=100.0 - p) for i, p in enumerate(FAT)]
    found = summarise(checked(bars)).groups[0].quantities["loss_on_ignition"]
    assert found.n == 10
    assert found.mean == pytest.approx(21.9)
    assert found.sd == pytest.approx(4.134, abs=0.0005)
    assert (found.low, found.high) == pytest.approx((18.94, 24.86), abs=0.005)
    assert (found.next_low, found.next_high) == pytest.approx((12.09, 31.71), abs=0.006)
    assert found.batch_sd is None


def test_absorption_that_scatters_widely_leaves_room_for_a_long_upper_tail():
    found = absorption_of(summarise(checked([bar(f"B{i}", **soaked(p)) for i, p in enumerate(FAT)])))
    # m exp(h/m (1 + 0.3 s/m)), m = 21.9, s = 4.134, h = 24.86 − 21.9: 21.9 · exp(0.1350 · 1.0566) = 25.26
    assert (found.low, found.high) == pytest.approx((18.94, 25.26), abs=0.005)
    assert found.skew == "allowed for"


def test_bars_are_grouped_by_body_firing_direction_and_absorption_method():
    other = replace(FINE_LAB, absorption_method="vacuum")
    bars = [
        bar("B1", body="A", firing="F1", direction="along"),
        bar("B2", body="A", firing="F1", direction="across"),
        bar("B3", body="A", firing="F2", direction="along"),
        bar("B4", body="B", firing="F1", direction="along"),
        bar("B1", body="A", firing="F1", direction="along", sheet=1),
        bar("B5", body="A", firing="F1", direction="along"),
    ]
    groups = summarise(checked(bars, labs=(FINE_LAB, other))).groups
    assert sorted((g.body, g.firing, g.direction, g.absorption_method, g.bars) for g in groups) == [
        ("A", "F1", "across", "boil 5 h and soak 24 h", 1),
        ("A", "F1", "along", "boil 5 h and soak 24 h", 2),
        ("A", "F1", "along", "vacuum", 1),
        ("A", "F2", "along", "boil 5 h and soak 24 h", 1),
        ("B", "F1", "along", "boil 5 h and soak 24 h", 1),
    ]


def test_groups_stand_in_order_of_body_and_temperature_with_a_cone_placed_by_its_nominal_one():
    bars = [bar(f"B{f}", body="A", firing=f) for f in ("hot", "", "cone6", "low")]
    firings = [firing("hot", celsius=1240.0), firing("cone6", cone="6"), firing("low", celsius=1000.0)]
    groups = summarise(checked(bars, firings=firings)).groups
    assert [g.firing for g in groups] == ["low", "cone6", "hot", ""]
    assert [(g.peak_temperature_c, g.nominal_temperature_c) for g in groups] == [
        (1000.0, None), (None, 1222.0), (1240.0, None), (None, None),
    ]  # fmt: skip


def test_a_left_out_bar_is_counted_apart_and_shown_but_not_in_the_mean():
    bars = [bar("B1", **soaked(2.0)), bar("B2", **soaked(4.0)), bar("B3", **soaked(90.0, left_out="cracked"))]
    results = summarise(checked(bars))
    assert (results.groups[0].bars, results.groups[0].left_out) == (2, 1)
    assert absorption_of(results).mean == pytest.approx(3.0)
    assert results.bars["absorption"].to_list() == pytest.approx([2.0, 4.0, 90.0])
    assert results.bars["left_out"].to_list() == ["", "", "cracked"]


def test_one_bar_gives_a_mean_without_an_interval_and_says_why():
    found = absorption_of(summarise(checked([bar("B1", **soaked(2.0))])))
    assert found.mean == pytest.approx(2.0)
    assert (found.low, found.next_low, found.tolerance_low, found.sd) == (None, None, None, None)
    assert found.why_no_interval == (
        "One bar alone shows no scatter, so no interval can be given; measure at least two more."
    )


def test_bars_that_all_read_alike_get_the_interval_of_the_reading_step():
    coarse = replace(FINE_LAB, length_step_mm=0.5)
    bars = [bar(f"B{i}", {"wet_length": 100.0, "fired_length": 88.0}, body="A", firing="F1") for i in range(5)]
    found = summarise(checked(bars, labs=(coarse,))).groups[0].quantities["total_shrinkage"]
    assert found.mean == pytest.approx(12.0)
    assert found.high - found.low > 0.3
    assert found.certainty.shares[0].source == "reading step"


def test_the_size_factor_is_the_inverse_of_what_is_left_after_shrinking():
    bars = [
        bar(f"B{i}", {"wet_length": 100.0, "fired_length": f}, body="A", firing="F1")
        for i, f in enumerate((87.9, 88.0, 88.1))
    ]
    group = summarise(checked(bars)).groups[0]
    total = group.quantities["total_shrinkage"]
    assert group.wet_size_factor == pytest.approx(1 / 0.88)
    assert group.wet_size_factor_low == pytest.approx(1 / (1 - total.low / 100))
    assert group.wet_size_factor_high == pytest.approx(1 / (1 - total.high / 100))


def test_each_batch_has_its_own_line_and_the_group_rests_on_batches():
    rng = np.random.default_rng(3)
    bars = [
        bar(f"{batch}{i}", **soaked(3.0 + shift + rng.normal(0, 0.05), batch=batch))
        for batch, shift in (("D1", -0.4), ("D2", 0.0), ("D3", 0.4))
        for i in range(6)
    ]
    group = summarise(checked(bars)).groups[0]
    assert group.batches == ("D1", "D2", "D3")
    assert [(b.batch, b.bars) for b in group.by_batch] == [("D1", 6), ("D2", 6), ("D3", 6)]
    pooled = group.quantities["absorption"]
    assert pooled.batch_sd == pytest.approx(0.4, rel=0.15)
    assert pooled.bar_sd == pytest.approx(0.05, rel=0.5)
    assert pooled.high - pooled.low > 8 * (
        group.by_batch[0].quantities["absorption"].high - group.by_batch[0].quantities["absorption"].low
    )
    assert pooled.certainty.shares[0].source == "batches"


def test_the_limit_is_decided_and_an_open_decision_says_how_many_bars_would_settle_it():
    limited = replace(FINE_LAB, absorption_limit_percent=3.0)
    spread = (-0.2, -0.1, 0.0, 0.1, 0.2)
    decisions = {}
    for mean in (2.0, 2.9, 4.0):
        bars = [bar(f"B{i}", **soaked(mean + s)) for i, s in enumerate(spread)]
        decisions[mean] = absorption_of(summarise(checked(bars, labs=(limited,))))
    assert [d.decision for d in decisions.values()] == ["meets", "cannot tell yet", "does not meet"]
    assert decisions[2.9].limit == 3.0
    assert 5 < decisions[2.9].further_bars < 20
    assert decisions[2.0].further_bars is None


def test_the_lowest_limit_is_used_where_sheets_differ_and_a_finding_says_so():
    labs = (replace(FINE_LAB, absorption_limit_percent=3.0), replace(FINE_LAB, absorption_limit_percent=2.0))
    bars = [bar(f"B{i}", **soaked(2.5 + i / 100), sheet=i % 2) for i in range(6)]
    results = summarise(checked(bars, labs=labs))
    assert absorption_of(results).limit == 2.0
    assert results.lab.absorption_limit_percent is None
    assert [f.sentence for f in results.findings] == [
        "The sheets state different values for absorption limit; the lowest one is used where bars are put together."
    ]


def test_the_lab_table_of_a_sheet_without_bars_does_not_count():
    limited = replace(FINE_LAB, absorption_limit_percent=3.0)
    bars = [bar(f"B{i}", **soaked(2.5 + i / 100)) for i in range(6)]
    results = summarise(checked(bars, labs=(limited, Lab())))
    assert results.lab.absorption_limit_percent == 3.0
    assert results.findings == ()


def test_an_odd_bar_is_flagged_with_its_odd_reading_and_stays_in_the_mean():
    values = (2.0, 2.01, 1.99, 2.02, 1.98, 2.0, 2.01, 6.0)
    found = absorption_of(summarise(checked([bar(f"B{i}", **soaked(v)) for i, v in enumerate(values)])))
    assert [(f.bar, f.sheet, f.row, f.odd_reading) for f in found.flagged] == [("B7", "sheet-0.xlsx", 9, "boiled mass")]
    assert found.mean == pytest.approx(np.mean(values))
    assert found.mean_without_flagged == pytest.approx(np.mean(values[:-1]))


@pytest.mark.parametrize(("odd", "factor"), [("boiled", 1.02), ("fired", 0.98)])
def test_the_odd_reading_is_found_among_bars_of_different_sizes(odd, factor):
    """Masses that differ by a quarter hide a slip of 2 % in a single column, not beside the other masses of the bar."""
    dry = (60.0, 75.3, 66.1, 71.7, 63.4, 68.9)
    masses = [{"dry": d, "fired": 0.93 * d, "boiled": 0.93 * (1.03 + i / 2000) * d} for i, d in enumerate(dry)]
    masses[2][odd] *= factor
    bars = [
        bar(f"B{i}", body="A", firing="F1", **{f"{stage}_mass": round(m, 2) for stage, m in of_bar.items()})
        for i, of_bar in enumerate(masses)
    ]
    found = absorption_of(summarise(checked(bars)))
    assert [(f.bar, f.odd_reading) for f in found.flagged] == [("B2", f"{odd} mass")]


def test_a_flagged_bar_is_looked_at_by_the_readings_it_has_alone():
    """Bars have a width and a thickness or a diameter, never both."""
    cut = {"body": "A", "firing": "F1", "broken": "fired", "span": 70.0, "bar_width": 24.8}
    bars = [
        bar(f"B{i}", **cut, breaking_load=load, bar_thickness=19.9 if i == 2 else 11.9)
        for i, load in enumerate((412.0, 419.0, 426.0, 412.0, 419.0, 426.0))
    ]
    (group,) = summarise(checked(bars)).groups
    assert [(f.bar, f.odd_reading) for f in group.quantities["fired_strength"].flagged] == [("B2", "bar thickness")]


def test_no_number_of_bars_is_advised_where_the_interval_rests_on_batches_that_agree():
    """Two batches with the same mean: the interval has one degree of freedom, however many bars they have."""
    values = (2.0, 2.2, 2.4, 1.9, 2.2, 2.5)
    bars = [bar(f"B{i}", **soaked(v, batch="D1" if i < 3 else "D2")) for i, v in enumerate(values)]
    certainty = absorption_of(summarise(checked(bars))).certainty
    assert certainty.bars_to_halve is None
    assert "The interval rests on 2 batches all the same. Testing 2 further batches" in certainty.advice


def test_shares_of_the_variance_add_up_to_one_and_to_the_uncertainty():
    limited = replace(FINE_LAB, length_calibration_mm=0.5, length_step_mm=0.1)
    bars = [
        bar(f"B{i}", {"wet_length": 100.0, "fired_length": f}, {"wet_length": 100.0, "fired_length": f + 0.4},
            body="A", firing="F1")
        for i, f in enumerate((87.5, 88.0, 88.6, 88.1))
    ]  # fmt: skip
    found = summarise(checked(bars, labs=(limited,))).groups[0].quantities["total_shrinkage"]
    assert sum(s.share for s in found.certainty.shares) == pytest.approx(1.0)
    assert sum(s.standard_uncertainty**2 for s in found.certainty.shares) == pytest.approx(
        found.standard_uncertainty**2
    )
    assert {s.source for s in found.certainty.shares if s.instrument == "length"} == {"reading step", "calibration"}
    assert found.mark_sd == pytest.approx(0.4 / np.sqrt(2))


def test_no_bars_give_no_groups():
    results = summarise(checked([]))
    assert results.groups == ()
    assert len(results.bars) == 0


def test_quantities_stand_in_the_order_of_the_table():
    bars = [bar("B1", {"wet_length": 100.0, "dry_length": 94.0, "fired_length": 88.0}, **soaked(2.0))]
    keys = list(summarise(checked(bars)).groups[0].quantities)
    assert keys == [key for key in QUANTITY_BY_KEY if key in keys]


def test_groups_and_bars_have_names_that_stay_the_same_whatever_stands_before_them():
    one = bar("B1", {"wet_length": 100.0, "fired_length": 88.0}, body="A", firing="F1", direction="along")
    nameless = bar("", {"wet_length": 100.0, "fired_length": 88.0}, body="A", firing="F1", direction="along")
    other = bar("B0", {"wet_length": 100.0, "fired_length": 90.0}, body="A", firing="F0", direction="along")
    alone, among = summarise(checked([one, nameless])), summarise(checked([other, one, nameless]))
    (group,), sheet = alone.groups, alone.bars["sheet"].iloc[0]
    assert group.id == f"A | F1 | along | {FINE_LAB.absorption_method or ''}"
    assert group.id in {found.id for found in among.groups}
    named = "A |  | B1 | F1"
    without = f"A |  |  | F1 | {sheet}, row {alone.bars['row'].iloc[1]}"
    assert list(alone.bars["id"]) == [named, without]
    assert list(among.bars["id"])[1] == alone.bars["id"].iloc[0]
    again = summarise(checked([one, one])).bars
    assert list(again["id"]) == [named, f"{named} | {sheet}, row {again['row'].iloc[1]}"]


def test_a_bar_keeps_its_name_when_its_file_gets_another_one():
    sheets = checked([bar("B1", {"wet_length": 100.0, "fired_length": 88.0}, body="A", batch="D1", firing="F1")])
    renamed = replace(sheets, sheets=(replace(sheets.sheets[0], name="copy of march.xlsx"),))
    assert list(summarise(renamed).bars["id"]) == list(summarise(sheets).bars["id"]) == ["A | D1 | B1 | F1"]
