import pytest

from bodytest.analysis.analysing import summarise
from bodytest.analysis.timeline import timelines
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


def test_the_first_batch_outside_limits_of_the_first_ones_is_named_with_what_to_do():
    found = timeline(batches([*STEADY, 13.0, 12.0]), reference=6)
    assert found.first_left == "B7"
    assert found.points[6].signals == ("outside", "drift")
    assert found.summary == (
        "Batch B7 (2026-01-07) is the first that left the limits: total linear shrinkage 13.0\xa0%, above 12.3\xa0%."
        " Measure its bars again. If that stands, work from this batch's own figures, and look for what changed: the"
        " clay, the water in it, or the firing."
    )
    # Mean moving range 0.12, so 12 ± 3 × 0.12 / 1.128 (NIST/SEMATECH e-Handbook 6.3.2.2).
    assert (found.low, found.high) == pytest.approx((12 - 0.31915, 12 + 0.31915), abs=1e-5)


def test_a_slow_drift_is_told_as_one():
    found = timeline(batches([*STEADY, 12.2, 12.2, 12.2, 12.25, 12.25]), reference=6)
    assert found.points[-1].signals == ("drift",)
    assert found.first_left == "B10"
    assert found.summary == (
        "The running average left its limits at batch B10 (2026-01-10): total linear shrinkage is"
        " drifting up. Work from the newest batches, not from the mean of all, and look for what changed."
    )


def test_eight_batches_on_one_side_are_told_as_a_shift():
    means = [12.3, 11.5, 12.4, 11.6, *[12.08, 12.1] * 4, 11.5, 12.3, 11.5, 12.2]
    found = timeline(batches(means))
    assert found.summary == (
        "Batches B5 to B12, eight in a row, lie above the middle: total linear shrinkage has shifted. Work from these"
        " batches, not from the mean of all."
    )


def test_steady_batches_are_told_to_be_steady():
    found = timeline(batches([*STEADY, 12.02]))
    assert found.first_left is None
    assert found.summary == (
        "None of the 7 batches left the limits, 11.73 to 12.28\xa0%: nothing here says that the body changes."
    )
    assert found.notes == ("Limits drawn from 7 batches are rough; 20 or more make them firm (common practice).",)


def test_three_batches_cannot_show_an_odd_one_and_the_text_says_so():
    found = timeline(batches([12.0, 12.1, 14.0]))
    assert found.first_left is None
    assert found.summary.startswith(
        "3 batches are too few to show an odd one: limits drawn from all of them hold each of them. Compare them with"
        " each other instead: bodytest compare --by batch."
    )


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


def test_firings_without_a_cone_belong_together_by_temperature():
    sheets = batches([12.0, 12.1, 12.2])
    sheets.firings["cone"] = ""
    sheets.firings["peak_temperature_c"] = [1220.0, 1220.0, 1250.0]
    found = timelines(summarise(sheets), "total_shrinkage")
    assert [(one.fired, len(one.points)) for one in found] == [("1220 °C", 2), ("1250 °C", 1)]


def test_a_batch_that_rests_on_few_bars_is_named():
    sheets = batches([12.0, 12.1, 11.9], bars_each=3)
    sheets.bars.loc[3:4, "left_out"] = "chipped"
    assert timeline(sheets).notes[-1] == (
        "Batch B2 rests on far fewer bars than the others, so a mean outside the limits says less there."
    )


def test_a_quantity_that_nobody_measured_has_no_timeline():
    assert timelines(summarise(batches([12.0, 12.1])), "absorption") == ()
