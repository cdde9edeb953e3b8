import numpy as np
import pytest

from bodytest.analysis.analysing import summarise
from bodytest.analysis.bar_needs import Scatter, Wish, need_of_scatter, needs_of_sheets
from bodytest.stats.bar_count import half_width_of
from tests.analysis.example_tables import bar, checked

FOUR = (11.8, 12.0, 12.2, 12.0)
"""Mean 12.0, standard deviation 0.16330 (by hand, √(0.08/3))."""


def trial(*batches, marks=(0.0,)):
    """Return bars of the batches given as total shrinkages in per cent; marks of a bar differ from it as given."""
    return checked([
        bar(
            f"{name}{number}", *({"wet_length": 100.0, "fired_length": 100.0 - value - mark} for mark in marks),
            body="Grey", batch=name, firing="F1",
        )
        for name, values in zip("ABCDEF", batches, strict=False)
        for number, value in enumerate(values)
    ])  # fmt: skip


def need(sheets, half_width, **wish):
    (found,) = needs_of_sheets(summarise(sheets), "total_shrinkage", Wish(half_width, **wish))
    return found


def test_bars_for_a_half_width_are_counted_from_the_scatter_seen():
    found = need(trial(FOUR), 0.15)
    # t(0.975; 6) × 0.1633/√7 = 0.151, t(0.975; 7) × 0.1633/√8 = 0.137, so 8.
    # Safe side: 0.1633 × √(3/1.005) = 0.282, so 17.
    assert (found.bars, found.bars_needed, found.batch_sd) == (4, 8, None)
    assert found.summary == (
        "8 bars of one batch, 4 more than now, give ± 0.15 percentage points (now ± 0.26 percentage points) if they"
        " scatter as so far. 4 bars show their scatter only roughly: to be on the safe side make 17."
    )
    assert found.notes == ("± 0.15 percentage points of shrinkage is ± 0.3 mm on a length of 200 mm.",)


def test_enough_bars_are_told_to_be_enough():
    found = need(trial(FOUR), 0.3)
    assert found.summary == "The 4 bars give ± 0.26 percentage points already; ± 0.3 percentage points needs no more."


def test_batches_that_differ_ask_for_batches_and_not_for_bars():
    low, middle, high = np.array(FOUR) - 0.4, np.array(FOUR), np.array(FOUR) + 0.4
    found = need(trial(low, middle, high), 0.25)
    # Batch means 11.6, 12.0, 12.4: variance 0.16 = σ²_batch + 0.02667/4, so σ_batch = 0.3916.
    assert (found.bar_sd, found.batch_sd) == pytest.approx((0.16330, 0.39158), abs=1e-4)
    assert found.bars_each_needed is None
    assert found.least_half_width == pytest.approx(4.30265 * 0.39158 / 3**0.5, abs=1e-3)
    assert found.batches_needed == 13
    assert found.summary == (
        "More bars of these 3 batches cannot give ± 0.25 percentage points: the batches differ, which leaves ± 1.0"
        " percentage points however many bars are made. Test 13 batches in all with 4 bars each for ± 0.25 percentage"
        " points."
    )


def test_batches_that_hardly_differ_leave_the_choice():
    scatter = Scatter(0.3, batch_sd=0.05, bars=12, batches=4, bars_each=3.0, half_width_now=0.3)
    found = need_of_scatter("total_shrinkage", scatter, Wish(0.2))
    assert found.batches_needed == 6
    assert found.summary == (
        "Test 6 batches in all with 3 bars each for ± 0.20 percentage points. Or make 7 bars of each of the same 4."
    )


def test_a_scatter_given_by_hand_is_enough_and_differences_are_counted():
    found = need_of_scatter("absorption", Scatter(0.15), Wish(0.1, difference=0.3))
    assert (found.bars_needed, found.bars_to_be_safe, found.bars_to_notice) == (12, None, 6)
    assert found.summary == "12 bars of one batch give ± 0.10 percentage points."
    assert found.notes == (
        "A difference of 0.3 percentage points between two batches is noticed in four cases of five with 6 bars of"
        " each.",
    )


def test_what_no_number_of_bars_gives_is_told_with_what_to_do_instead():
    found = need_of_scatter("bulk_density", Scatter(0.01, shared=0.002), Wish(0.001, difference=0.0001))
    assert found.bars_needed is None
    assert found.summary.startswith("No sensible number of bars gives ± 0.0010 g/cm³: even a thousand leave ± 0.004")
    assert found.notes == ("No sensible number of bars shows a difference of 0.00010 g/cm³ between two batches.",)


def test_marks_that_disagree_ask_for_marks():
    found = need(trial((12.0, 12.02, 11.98, 12.01, 11.99), marks=(-0.2, 0.2)), 0.02)
    # Marks 0.4 apart: standard deviation 0.4/√2 = 0.28284, far more than the bars show beyond it.
    assert found.marks.mark_sd == pytest.approx(0.28284, abs=1e-4)
    assert found.marks.bar_sd == 0.0
    assert found.marks.half_width_twice_the_marks == pytest.approx(half_width_of(5, 0.28284 / 2.0), rel=1e-3)


def test_marks_that_agree_ask_for_bars():
    found = need(trial(FOUR, marks=(-0.01, 0.01)), 0.15)
    assert found.marks.bar_sd == pytest.approx(0.163, abs=0.001)
    assert found.notes[0] == (
        "The marks of one bar scatter by 0.014 percentage points (standard deviation), bars beyond that by 0.16"
        " percentage points. More marks on each bar would change little (± 0.26 percentage points with twice as many):"
        " make more bars."
    )


def test_a_group_with_one_bar_has_no_need_yet():
    assert needs_of_sheets(summarise(trial((12.0,))), "total_shrinkage", Wish(0.2)) == ()
