import math

import numpy as np
import pytest

from bodytest.analysis.analysing import summarise
from bodytest.analysis.timeline import timelines
from bodytest.tables import Lab
from tests.analysis.example_tables import bar, checked, firing


def batches(means, *, dates=None, bars_each=2, **cells):
    """Return bars of batches B1, B2 …, each fired on its own at cone 6, with the total shrinkages given in per cent."""
    dates = dates or [f"2026-{1 + at // 28:02d}-{1 + at % 28:02d}" for at in range(len(means))]
    bars = [
        bar(
            f"{at}-{number}",
            {"wet_length": 100.0, "dry_length": 94.0, "fired_length": 100.0 - mean + 0.02 * (number - 0.5)},
            body="Grey", batch=f"B{at + 1}", firing=f"F{at + 1}", **cells,
        )
        for at, mean in enumerate(means) for number in range(bars_each)
    ]  # fmt: skip
    return checked(bars, firings=[firing(f"F{at + 1}", cone="6", date=date) for at, date in enumerate(dates)])


def timeline(sheets, key="total_shrinkage", **options):
    (found,) = timelines(summarise(sheets), key, **options)
    return found


STEADY = [12.0, 12.1, 11.9, 12.05, 11.95, 12.0]


def test_firings_at_one_cone_are_followed_together_by_date():
    found = timeline(batches([12.0, 12.2, 12.1], dates=["2026-03-01", "2026-01-01", "2026-02-01"]))
    assert (found.body, found.fired, found.order) == ("Grey", "cone 6", "date")
    assert [(p.batch, p.firings, p.date, p.bars) for p in found.points] == [
        ("B2", ("F2",), "2026-01-01", 2),
        ("B3", ("F3",), "2026-02-01", 2),
        ("B1", ("F1",), "2026-03-01", 2),
    ]
    assert [p.mean for p in found.points] == pytest.approx([12.2, 12.1, 12.0])
    listed = timeline(batches([12.0, 12.2, 12.1], dates=["2026-03-01", "2026-01-01", "2026-02-01"]), order="listed")
    assert [p.batch for p in listed.points] == ["B1", "B2", "B3"]


def test_a_batch_without_a_date_makes_all_stand_as_listed_and_says_so():
    found = timeline(batches([12.0, 12.2, 12.1], dates=["2026-03-01", "", "2026-02-01"]))
    assert found.order == "listed"
    assert found.notes[0] == "Not every batch has a firing with a date, so the batches stand as listed in the sheets."


def test_the_newest_batch_outside_limits_is_named_with_what_to_do():
    found = timeline(batches([*STEADY, 12.0, 13.0]), reference=6)
    assert found.newest_signal == "B8"
    assert found.points[7].signals == ("outside", "drift")
    assert found.summary == (
        "Batch B8 (2026-01-08), the newest, left the limits: total linear shrinkage 13.00\xa0%, above 12.32\xa0%."
        " Measure its bars again; if that stands, look for what changed: the clay, the water in it, or the firing."
    )
    # Mean moving range 0.12, so 12 ± 3 × 0.12 / 1.128 (NIST/SEMATECH e-Handbook 6.3.2.2).
    assert (found.low, found.high) == pytest.approx((12 - 0.31915, 12 + 0.31915), abs=1e-5)
    assert found.reference == ("B1", "B2", "B3", "B4", "B5", "B6")


def test_an_older_batch_outside_limits_is_told_with_how_many_came_since():
    found = timeline(batches([*STEADY, 13.0, 11.6, 12.0]), reference=6)
    assert found.points[7].signals == ("outside",)
    assert found.summary == (
        "Batch B8 (2026-01-08) left the limits: total linear shrinkage 11.60\xa0%, below 11.68\xa0%; the batch since"
        " lies within them."
    )


def test_a_late_shift_is_the_news_and_not_the_batches_before_it():
    means = [12.0 + 0.05 * (-1) ** at + 0.03 * (at % 3 - 1) for at in range(25)]
    means[19:] = [mean + 0.4 for mean in means[19:]]
    found = timeline(batches(means))
    assert (found.shift.since, found.shift.batches, found.newest_signal) == ("B20", 6, "B25")
    assert not any(point.signals for point in found.points[:19])
    assert found.reference == tuple(f"B{at}" for at in range(1, 20))
    assert found.summary == (
        "Since batch B20 (2026-01-20) total linear shrinkage lies higher: 12.40\xa0% (6 batches), before 12.00\xa0%."
        " Work from the batches since, and look for what changed: the clay, the water in it, or the firing."
    )


def test_of_two_shifts_the_newest_is_told_and_limits_are_those_of_the_level_before_it():
    means = [12.0 + shift + 0.05 * (-1) ** at for at, shift in enumerate([0.0] * 9 + [0.6] * 10 + [0.2] * 6)]
    found = timeline(batches(means))
    assert (found.shift.since, found.shift.before) == ("B20", pytest.approx(12.6, abs=0.01))
    assert found.reference == tuple(f"B{at}" for at in range(10, 20))
    assert all(point.average is None and not point.signals for point in found.points[:9])


def test_a_slow_drift_is_told_as_one():
    found = timeline(batches([*STEADY, 12.15, 12.2, 12.05, 12.25, 12.1, 12.25]), reference=6)
    assert found.shift is None
    assert found.points[-1].signals == ("drift",)
    assert found.summary == (
        "Total linear shrinkage drifts up from batch B12 (2026-01-12) on. Work from the newest batches, and look for"
        " what changed: the clay, the water in it, or the firing."
    )


def test_eight_batches_on_one_side_are_told_as_such():
    means = [12.3, 11.5, 12.4, 11.6, *[12.08, 12.1] * 4, 11.5, 12.3, 11.5, 12.2]
    found = timeline(batches(means))
    assert found.summary == (
        "Batches B5 to B12, 8 in a row, lie above the middle. The batches since lie within the limits. Work from the"
        " newest batches, and look for what changed: the clay, the water in it, or the firing."
    )


def test_steady_batches_are_told_to_be_steady():
    found = timeline(batches([*STEADY, 12.02]))
    assert (found.shift, found.newest_signal) == (None, None)
    assert found.summary == (
        "None of the 7 batches left the limits, 11.73 to 12.28\xa0%: nothing here says that the body changes."
    )
    assert found.notes == ("Limits drawn from 7 batches are rough; 20 or more make them firm (common practice).",)


def test_three_batches_cannot_show_an_odd_one_and_the_text_says_so():
    found = timeline(batches([12.0, 12.1, 14.0]))
    assert (found.shift, found.newest_signal) == (None, None)
    assert found.summary == "3 batches are too few to show an odd one. Compare them with each other."


@pytest.mark.parametrize(
    ("means", "said"),
    [([12.0], "One batch shows nothing about change over time; test the next ones in the same way."),
     ([12.0, 12.1], "Two batches show nothing about change over time; test the next ones in the same way.")],
)  # fmt: skip
def test_one_or_two_batches_have_no_limits(means, said):
    found = timeline(batches(means))
    assert (found.summary, found.centre, found.low, found.high, found.batch_sd) == (said, None, None, None, None)


def test_bars_without_a_batch_and_bars_left_out_are_not_charted():
    sheets = batches([12.0, 12.1, 12.2])
    sheets.bars.loc[0, "left_out"] = "chipped"
    sheets.bars.loc[2:3, "batch"] = ""
    found = timeline(sheets)
    assert [(p.batch, p.bars) for p in found.points] == [("B1", 1), ("B3", 2)]
    assert found.notes[-1] == "2 bars name no batch and are not in the chart."


def test_the_shrinkage_of_drying_does_not_ask_how_the_bars_were_fired_and_counts_a_bar_once():
    sheets = batches([12.0, 12.1, 12.2])
    sheets.bars.loc[2:3, ["batch", "firing", "bar"]] = [["B1", "F2", "0-0"], ["B1", "F2", "0-1"]]
    found = timeline(sheets, "drying_shrinkage")
    assert found.fired == ""
    assert [(p.batch, p.bars) for p in found.points] == [("B1", 2), ("B3", 2)]


def test_other_cones_and_directions_have_their_own_timelines():
    sheets = batches([12.0, 12.1, 12.2])
    sheets.firings.loc[0, "cone"] = "7"
    sheets.bars.loc[2, "direction"] = "across"
    found = timelines(summarise(sheets), "total_shrinkage")
    assert [(one.fired, one.direction, len(one.points)) for one in found] == [
        ("cone 6", "", 2), ("cone 6", "across", 1), ("cone 7", "", 1),
    ]  # fmt: skip


def test_loads_without_a_cone_belong_together_by_set_temperature_and_else_stand_alone():
    sheets = batches([12.0, 12.1, 12.2, 12.3])
    sheets.firings["cone"] = ""
    sheets.firings["peak_temperature_c"] = [1218.0, 1222.0, 1250.0, 1250.0]
    sheets.firings["set_temperature_c"] = [1220.0, 1220.0, 1250.0, math.nan]
    found = timelines(summarise(sheets), "total_shrinkage")
    assert [len(one.points) for one in found] == [2, 1, 1]


def test_a_batch_that_rests_on_few_bars_is_named():
    sheets = batches([12.0, 12.1, 11.9], bars_each=3)
    sheets.bars.loc[3:4, "left_out"] = "chipped"
    assert timeline(sheets).notes[-1] == (
        "Batch B2 rests on far fewer bars than the others, so a mean outside the limits says less there."
    )


def test_a_quantity_that_nobody_measured_has_no_timeline():
    assert timelines(summarise(batches([12.0, 12.1])), "absorption") == ()


CONTROL = Lab(length_step_mm=0.001, control_body="Rod")


def with_control(of_batches, of_loads, *, without=()):
    """Return a batch of Grey in each load with a mean as given, and two control bars of Rod in all loads but some."""
    made = []
    for at, (mean, load) in enumerate(zip(of_batches, of_loads, strict=True)):
        bodies = [("Grey", f"B{at + 1}", mean + load, 4)] + [("Rod", "R1", 10.0 + load, 2)] * (at not in without)
        made += [
            bar(
                f"{body}{at}-{number}",
                {"wet_length": 100.0, "fired_length": 100.0 - value + 0.02 * (number % 2 - 0.5)},
                body=body, batch=batch, firing=f"F{at + 1}",
            )
            for body, batch, value, bars in bodies
            for number in range(bars)
        ]  # fmt: skip
    firings = [firing(f"F{at + 1}", cone="6", date=f"2026-01-{at + 1:02d}") for at in range(len(of_batches))]
    return summarise(checked(made, firings=firings, labs=(CONTROL,)))


LOADS = [0.3, -0.2, 0.1, -0.4, 0.2, 0.0, -0.1, 0.4, -0.3]


def test_control_bars_tell_the_kiln_from_the_clay():
    clay, kiln = timelines(with_control([12.0] * 9, LOADS), "total_shrinkage")
    assert (clay.kind, clay.body, kiln.kind, kiln.body) == ("clay", "Grey", "kiln", "Rod")
    assert [point.batch for point in kiln.points] == [f"F{at}" for at in range(1, 10)]
    assert [point.mean for point in clay.points] == pytest.approx([12.0 + load for load in LOADS], abs=1e-6)
    assert [point.corrected for point in clay.points] == pytest.approx([12.0] * 9, abs=1e-6)
    # Four bars ± 0.01 in each load and two control bars: pooled s² = 0.0004/3 and 0.0002.
    assert clay.load_sd == pytest.approx(np.std(LOADS, ddof=1), abs=1e-3)
    # Two standard uncertainties are to hold 95 % though nine loads alone are known: t(8)/1.960.
    few = 2.306 / 1.960
    assert clay.points[0].measured_uncertainty == pytest.approx(few * np.hypot(0.0115 / 2, clay.load_sd), abs=1e-3)
    left = (2.262 / 1.960) ** 2 * 0.0002 / 2 * (1 - 2 / 9 + 1 / 9)  # 9 degrees of freedom of the control bars
    own = (2.052 / 1.960) ** 2 * 0.0004 / 12  # 27 of the others
    assert clay.points[0].corrected_uncertainty == pytest.approx(np.sqrt(own + left), abs=1e-5)
    assert clay.notes[0] == (
        "Means are corrected for their loads by the control bars, as far as this body answers to the kiln alike."
    )
    assert clay.centre == pytest.approx(12.0, abs=1e-6)


def test_a_shift_of_the_kiln_is_no_news_of_the_clay():
    loads = [0.02 * (-1) ** at + (0.5 if at >= 8 else 0.0) for at in range(12)]
    means = [12.0 + 0.03 * (-1) ** (at // 2) for at in range(12)]
    clay, kiln = timelines(with_control(means, loads), "total_shrinkage")
    assert clay.shift is None
    assert kiln.summary == (
        "Since load F9 (2026-01-09) total linear shrinkage lies higher: 10.50\xa0% (4 loads), before 10.00\xa0%."
        " Work from the loads since, and look for what changed: where the cone or the couple sits, the hold, how full"
        " it is."
    )


def test_a_load_without_control_bars_is_not_corrected_and_that_is_said():
    clay, _ = timelines(with_control([12.0] * 9, LOADS, without=(1, 4)), "total_shrinkage")
    assert [point.batch for point in clay.points if point.corrected is None] == ["B2", "B5"]
    assert clay.points[1].charted == pytest.approx(11.8, abs=1e-6)
    assert clay.points[1].measured_uncertainty is not None
    assert clay.notes[0] == (
        "Corrected for their loads by the control bars; not B2, B5, whose loads have no control bars."
    )


def test_one_load_with_control_bars_corrects_nothing():
    clay = timelines(with_control([12.0] * 4, LOADS[:4], without=(1, 2, 3)), "total_shrinkage")[0]
    assert all(point.measured_uncertainty is None and point.corrected is None for point in clay.points)
