import numpy as np
import pytest

from bodytest.analysis.analysing import summarise
from bodytest.analysis.bar_needs import Wish, need_of_scatter, needs_of_sheets
from bodytest.analysis.bar_needs_words import to_do
from bodytest.stats.bar_count import half_width_of
from bodytest.stats.replication import Components, Replicates, fewest_for_half_width
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
    of = Replicates("bars", np.std(FOUR, ddof=1), 4)
    assert (found.bars, found.limited_by, found.batch_sd) == (4, "bars", None)
    assert found.about_even == fewest_for_half_width(of, 0.15, 0.5) == 8
    assert found.nine_in_ten == fewest_for_half_width(of, 0.15, 0.9) == 24
    assert found.summary == (
        "Make 4 more bars of this batch for an even chance of ± 0.15 percentage points (now ± 0.26 percentage points)."
        " To reach it in nine cases of ten make 20 more."
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
    assert (found.limited_by, found.bars_each, found.bars_each_needed) == ("batches", 4.0, None)
    assert found.least_half_width == pytest.approx(4.30265 * 0.39158 / 3**0.5, abs=1e-3)
    of = Replicates("batches", 0.4, 3)
    assert found.about_even == fewest_for_half_width(of, 0.25, 0.5) == 16
    assert found.nine_in_ten == fewest_for_half_width(of, 0.25, 0.9) == 94
    assert found.summary == (
        "More bars of these 3 batches cannot give ± 0.25 percentage points: the batches differ, which leaves ± 1.0"
        " percentage points however many bars are made. Test 13 more batches of 4 bars for an even chance of ± 0.25"
        " percentage points (now ± 1.0 percentage points). To reach it in nine cases of ten test 91 more."
    )


def test_batches_that_hardly_differ_leave_the_choice():
    alike = [np.array(FOUR) + shift for shift in (0.0, 0.05, 0.1, -0.05, -0.1)]
    found = need(trial(*alike), 0.09)
    assert found.limited_by == "batches"
    assert found.bars_each_needed == 6  # t(0.975; 4) × 0.1633/√(5 × 6) = 0.083, with 5 each 0.0907
    assert found.summary.endswith(" Or make 6 bars of each of the same 5, for about the same chance.")


def test_loads_limit_where_they_differ_most_and_bars_are_not_asked_for():
    seen = Components(0.15, bars=30, batch_sd=0.1, batches=3, load_sd=0.5, loads=6)
    found = need_of_scatter("total_shrinkage", seen, Wish(0.45))
    assert (found.limited_by, found.loads, found.bars_each) == ("loads", 6, 5.0)
    assert found.summary.startswith(
        "More bars of these 6 loads cannot give ± 0.45 percentage points: the loads differ, which leaves ± 0.6"
        " percentage points however many bars are made. Fire 4 more loads of 5 bars for an even chance of ± 0.45"
    )


def test_where_batches_alone_leave_too_much_loads_alone_are_not_advised():
    seen = Components(0.1, bars=45, batch_sd=0.4, batches=3, load_sd=0.6, loads=4)
    found = need_of_scatter("total_shrinkage", seen, Wish(0.3))
    assert (found.limited_by, found.about_even) == ("batches", None)
    assert found.summary == (
        "More bars of these 3 batches cannot give ± 0.3 percentage points: the batches differ, which leaves ± 1.4"
        " percentage points however many bars are made. No number of batches alone gives ± 0.3 percentage points: the"
        " loads leave ± 1.0 percentage points. Fire further batches in further loads, or settle for less."
    )


def test_a_scatter_given_by_hand_is_enough_and_differences_are_counted():
    found = need_of_scatter("absorption", Components(0.15), Wish(0.1, difference=0.3))
    assert (found.about_even, found.nine_in_ten, found.bars_to_notice) == (11, 16, 6)
    assert found.summary == (
        "11 bars of one batch give ± 0.1 percentage points in about half of all cases, 16 in nine cases of ten."
    )
    assert found.notes == (
        "A difference of 0.3 percentage points between two batches is noticed in four cases of five with 6 bars of"
        " each.",
        "Where bars scatter by more than 15 % of their mean, the ± leaves room for a long upper tail: it is then"
        " reached in as few as six cases of ten where nine are told, in a third where half are. Test more than told.",
    )


@pytest.mark.parametrize(("absorptions", "warned"), [((0.2, 0.3, 0.7, 0.4), True), ((6.0, 6.1, 6.5, 6.2), False)])
def test_bars_with_a_long_tail_are_told_to_need_more_than_is_told(absorptions, warned):
    sheets = checked([
        bar(f"A{number}", body="Grey", batch="A", firing="F1", fired_mass=100.0, boiled_mass=100.0 + value)
        for number, value in enumerate(absorptions)
    ])  # fmt: skip
    (found,) = needs_of_sheets(summarise(sheets), "absorption", Wish(0.1))
    assert any("long upper tail" in note for note in found.notes) is warned


def test_two_bars_tell_no_number_that_is_sure():
    found = need(trial((11.9, 12.1)), 0.4)
    assert (found.bars, found.about_even, found.nine_in_ten) == (2, 3, None)
    assert found.summary == (
        "Make 1 more bar of this batch for an even chance of ± 0.4 percentage points (now ± 1.3 percentage points)."
        " Two bars do not tell how many reach it in nine cases of ten."
    )
    assert to_do(found) == "1 more bar for an even chance, unknown for nine in ten"


def test_loads_with_a_batch_of_their_own_answer_for_both():
    found = need_of_scatter("total_shrinkage", Components(0.15, batch_sd=0.3, load_sd=0.3), Wish(0.3))
    assert found.summary == (
        "10 loads of 5 bars, each with another batch, give ± 0.3 percentage points in about half of all cases, 15 in"
        " nine cases of ten."
    )


def test_what_no_number_of_bars_gives_is_told_with_what_to_do_instead():
    found = need_of_scatter("bulk_density", Components(0.01, shared=0.002), Wish(0.001, difference=0.0001))
    assert (found.about_even, found.least_half_width) == (None, pytest.approx(1.959964 * 0.002))
    assert found.summary == (
        "No sensible number of bars gives ± 0.001 g/cm³, by their scatter and by what the instruments leave open. Read"
        " to a finer step, check the instruments, make longer bars, or settle for less."
    )
    assert found.notes == ("No sensible number of bars shows a difference of 0.0001 g/cm³ between two batches.",)


def test_nothing_is_asked_for_where_it_is_known_closely_enough():
    found = need(trial(FOUR, marks=(-0.01, 0.01)), 0.3)
    told = " ".join([found.summary, *found.notes])
    assert "needs no more" in told
    assert "make" not in told.lower()


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
        " percentage points. More marks on each bar would change little (± 0.26 percentage points with twice as many)."
    )


def test_a_group_with_one_bar_has_no_need_yet():
    assert needs_of_sheets(summarise(trial((12.0,))), "total_shrinkage", Wish(0.2)) == ()
