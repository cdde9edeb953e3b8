"""Comparing batches, bodies, firings, directions and positions: which bars, which unit, which verdict."""

from dataclasses import replace

import numpy as np
import pytest

from bodytest.analysis.analysing import summarise
from bodytest.analysis.comparable import FEW_SAME_NOTE, FIRED_AGAIN_NOTE, HELD_EQUAL, SAME_BARS_NOTE, UNUSED_NOTE
from bodytest.analysis.compared_levels import (
    CONFOUNDED_NOTE,
    CROSSED_NOTE,
    LONE_BAR_NOTE,
    NESTED_NOTE,
    ONLY_COMMON_NOTE,
)
from bodytest.analysis.comparisons import compare
from bodytest.stats.mean_differences import compare_means, level_mean
from bodytest.tables import Lab
from tests.analysis.example_tables import FINE_LAB, bar, checked, firing

SCATTER = (-0.1, 0.05, 0.0, 0.08, -0.03)


def bars(mean, *, each=5, code="", spread=1.0, **cells):
    """Return bars whose total shrinkages scatter around a mean in the same way each time."""
    texts = {"body": "Grey", "firing": "F1", "direction": "along", **cells}
    name = code or "-".join(texts.values())
    return [
        bar(f"{name}-{at}", {"wet_length": 100.0, "fired_length": 100.0 - mean - spread * SCATTER[at]}, **texts)
        for at in range(each)
    ]


def values(mean, *, each=5, spread=1.0):
    return [mean + spread * SCATTER[at] for at in range(each)]


def results_of(*groups, lab=FINE_LAB):
    made = [one for group in groups for one in group]
    codes = dict.fromkeys(one["firing"] for one in made)
    return summarise(checked(made, firings=[firing(code, celsius=1200.0) for code in codes], labs=(lab,)))


def comparison(results, by, **options):
    (found,) = compare(results, by, quantities=["total_shrinkage"], **options)
    return found


def test_batches_are_compared_bar_by_bar_with_games_howell():
    groups = {"A": (12.0, 1.0), "B": (12.1, 1.5), "C": (12.6, 0.5)}
    found = comparison(results_of(*(bars(m, spread=s, batch=b) for b, (m, s) in groups.items())), "batch")
    theirs = compare_means([level_mean(values(m, spread=s)) for m, s in groups.values()])
    assert [(d.first, d.second) for d in found.differences] == [("A", "B"), ("A", "C"), ("B", "C")]
    for ours, expected in zip(found.differences, theirs, strict=True):
        assert (ours.low, ours.difference, ours.high) == pytest.approx(
            (expected.low, expected.difference, expected.high)
        )
        assert ours.p == pytest.approx(expected.p)
    assert [d.verdict for d in found.differences] == ["cannot tell yet", "different", "different"]
    assert found.verdict == "Different: A and C; B and C. Cannot tell yet: A and B."
    assert (found.body, found.firing, found.direction) == ("Grey", "F1", "along")


def test_a_difference_is_told_as_millimetres_on_a_piece_with_its_verdict():
    results = results_of(
        bars(12.0, batch="A"), bars(12.5, batch="B"), lab=replace(FINE_LAB, shrinkage_tolerance_points=0.3)
    )
    (found,) = comparison(results, "batch").differences
    assert found.mm_on_piece == pytest.approx(1.0)
    assert (found.mm_low, found.mm_high) == (pytest.approx(2.0 * found.low), pytest.approx(2.0 * found.high))
    assert found.sentence == (
        "Total linear shrinkage: batch B is 0.50\xa0percentage points above batch A (difference 0.40 to 0.60),"
        " 1.00\xa0mm on a piece that measures 200\xa0mm wet: different, by more than the tolerance."
    )


def test_the_tolerance_of_the_lab_sheet_makes_equal_batches_the_same():
    lab = replace(FINE_LAB, shrinkage_tolerance_points=0.3)
    results = results_of(bars(12.0, batch="A"), bars(12.05, batch="B"), lab=lab)
    found = comparison(results, "batch")
    assert found.verdict == "Same within tolerance: A and B."
    assert found.differences[0].sentence.endswith(": the same within 0.3\xa0percentage points.")
    assert comparison(results, "batch", tolerance=0.05).verdict == "Cannot tell yet: A and B."


def test_the_tolerance_of_shrinkage_is_not_applied_to_absorption():
    made = [
        bar(f"{batch}{at}", body="Grey", firing="F1", batch=batch, fired_mass=100.0, boiled_mass=103.0 + 0.1 * at)
        for batch in "AB"
        for at in range(4)
    ]
    lab = replace(FINE_LAB, shrinkage_tolerance_points=5.0)
    (found,) = compare(summarise(checked(made, firings=[firing("F1")], labs=(lab,))), "batch")
    assert (found.quantity, found.tolerance, found.differences[0].same_p) == ("absorption", None, None)
    assert found.differences[0].mm_on_piece is None
    assert found.verdict == "Cannot tell yet: A and B."


def test_what_is_not_compared_is_held_equal():
    results = results_of(
        bars(12.0, batch="A"), bars(12.1, batch="B"),
        bars(11.0, batch="A", firing="F2"), bars(11.1, batch="B", firing="F2"),
        bars(13.0, batch="A", direction="across"), bars(13.1, batch="B", direction="across"),
    )  # fmt: skip
    found = compare(results, "batch")
    assert {(c.firing, c.direction) for c in found} == {("F1", "along"), ("F2", "along"), ("F1", "across")}
    for one in found:
        assert one.differences[0].difference == pytest.approx(0.1)


def test_bodies_of_several_batches_are_compared_by_their_batches():
    shifts = {"Grey": (11.6, 12.0, 12.5), "White": (13.0, 13.4, 13.1)}
    made = [
        bars(mean, body=body, batch=f"{body}{at}") for body, means in shifts.items() for at, mean in enumerate(means)
    ]
    found = comparison(results_of(*made), "body")
    off = float(np.mean(SCATTER))
    theirs = compare_means([level_mean(np.array(means) + off) for means in shifts.values()])
    (ours,) = found.differences
    assert (ours.low, ours.high) == pytest.approx((theirs[0].low, theirs[0].high))
    assert [(level.bars, level.batches) for level in found.levels] == [(15, 3), (15, 3)]
    assert found.notes == ()


def test_a_body_of_one_batch_is_compared_with_a_caution():
    made = [
        bars(12.0, body="Grey", batch="A"),
        bars(13.0, body="White", batch="B"),
        bars(13.5, body="White", batch="C"),
    ]
    found = comparison(results_of(*made), "body")
    assert found.notes == (NESTED_NOTE.format(names="Grey"),)
    white = found.levels[1]
    assert white.mean == pytest.approx(13.25, abs=1e-6)
    within = np.var(values(0.0), ddof=1)
    assert white.standard_uncertainty == pytest.approx(np.sqrt(within / 5.0 / 2.0), rel=1e-3)


def test_firings_of_the_same_batches_are_compared_within_them():
    made = [
        bars(mean + shift, batch=batch, firing=code)
        for code, mean in (("F1", 11.0), ("F2", 11.4))
        for batch, shift in (("A", -1.0), ("B", 0.0), ("C", 1.0))
    ]
    found = comparison(results_of(*made), "firing")
    assert found.notes == (CROSSED_NOTE.format(names="A, B, C"),)
    (ours,) = found.differences
    assert (ours.difference, ours.verdict) == (pytest.approx(0.4), "different")
    within = np.var(values(0.0), ddof=1)
    assert found.levels[0].standard_uncertainty == pytest.approx(np.sqrt(within / 15.0), rel=1e-3)
    assert found.levels[0].degrees_of_freedom == pytest.approx(12.0, rel=1e-3)


def test_batches_that_were_not_tested_everywhere_are_not_used():
    made = [
        bars(11.0, batch="A"), bars(11.6, batch="B"),
        bars(12.0, batch="A", direction="across"),
    ]  # fmt: skip
    found = comparison(results_of(*made), "direction")
    assert found.notes == (ONLY_COMMON_NOTE.format(by="direction"),)
    assert [level.bars for level in found.levels] == [5, 5]
    (ours,) = found.differences
    assert (ours.first, ours.second, ours.difference) == ("across", "along", pytest.approx(-1.0))


def test_firings_that_each_have_their_own_batch_are_compared_with_a_caution():
    found = comparison(results_of(bars(11.0, batch="A"), bars(12.0, batch="B", firing="F2")), "firing")
    assert found.notes == (CONFOUNDED_NOTE.format(by="firing"),)


def test_firings_that_each_have_their_own_batches_are_compared_by_batches():
    made = [
        bars(mean, batch=batch, firing=code)
        for mean, batch, code in ((11.0, "A", "F1"), (11.6, "B", "F1"), (12.0, "C", "F2"), (12.7, "D", "F2"))
    ]
    found = comparison(results_of(*made), "firing")
    assert found.notes == ()
    assert found.levels[0].degrees_of_freedom == pytest.approx(1.0)
    assert found.verdict == "Cannot tell yet: F1 and F2."


def test_a_level_with_one_bar_in_each_batch_borrows_the_scatter_of_the_others():
    made = [
        bars(11.0 + shift, batch=batch, position="top", each=4)
        + bars(11.1 + shift, batch=batch, position="low", each=1)
        for batch, shift in (("A", -0.5), ("B", 0.7))
    ]
    found = comparison(results_of(*made), "position")
    top, low = found.levels
    assert low.standard_uncertainty == pytest.approx(2.0 * top.standard_uncertainty, rel=1e-6)


def test_one_bar_in_every_cell_is_compared_by_what_level_and_batch_leave_over():
    made = [
        bars(11.0 + shift + extra, batch=batch, position=place, each=1)
        for place, extra in (("top", 0.0), ("low", 0.3))
        for batch, shift in (("A", -0.5), ("B", 0.7), ("C", 0.1))
    ]
    for number, group in enumerate(made):
        group[0]["marks"][0]["fired_length"] += (0.0, 0.04, -0.02, 0.03, 0.0, 0.01)[number]
    found = comparison(results_of(*made), "position")
    assert [level.bars for level in found.levels] == [3, 3]
    assert found.levels[0].degrees_of_freedom == pytest.approx(2.0, rel=1e-2)
    assert found.levels[0].standard_uncertainty < 0.05


def test_a_lone_bar_is_left_out_of_the_comparison_and_named():
    made = bars(12.0, batch="A"), bars(12.1, batch="B"), bars(12.9, batch="C", each=1)
    found = comparison(results_of(*made), "batch")
    assert [level.name for level in found.levels] == ["A", "B"]
    assert found.notes == (LONE_BAR_NOTE.format(names="C"),)


def test_bars_without_a_batch_are_named_and_not_compared():
    found = comparison(results_of(bars(12.0, batch="A"), bars(12.1, batch="B"), bars(12.9, each=3)), "batch")
    assert [level.name for level in found.levels] == ["A", "B"]
    assert found.notes == ("Not compared: 3 bars without a batch.",)


def test_bars_left_out_by_the_user_are_not_compared():
    first, second = bars(12.0, batch="A"), bars(12.1, batch="B")
    second[0]["left_out"] = "cracked"
    found = comparison(results_of(first, second), "batch")
    assert [level.bars for level in found.levels] == [5, 4]


@pytest.mark.parametrize("by", HELD_EQUAL)
def test_nothing_to_compare_gives_nothing(by):
    assert compare(results_of(bars(12.0, batch="A")), by) == ()
    assert compare(summarise(checked([])), by) == ()


def test_bars_that_all_read_alike_are_not_called_different_by_less_than_the_reading_step():
    coarse = Lab(length_step_mm=1.0)
    results = results_of(bars(12.0, spread=0.0, batch="A"), bars(13.0, spread=0.0, batch="B"), lab=coarse)
    (found,) = comparison(results, "batch").differences
    assert found.low < 0.2
    assert found.high > 1.8


def test_methods_of_absorption_are_never_compared_with_each_other():
    labs = (Lab(absorption_method="boil 5 h and soak 24 h"), Lab(absorption_method="cold soak 24 h"))
    made = [
        bar(
            f"{batch}{at}", sheet=sheet, body="Grey", firing="F1", batch=batch,
            fired_mass=100.0, boiled_mass=103.0 + 0.1 * at,
        )
        for sheet, batch in enumerate("AB")
        for at in range(4)
    ]  # fmt: skip
    assert compare(summarise(checked(made, firings=[firing("F1")], labs=labs)), "batch") == ()


def test_many_pairs_are_counted_not_listed():
    made = [bars(12.0 + 0.8 * at, batch=name) for at, name in enumerate("ABCD")]
    assert comparison(results_of(*made), "batch").verdict == "Different: all 6 pairs."


OWN = (-0.5, 0.4, 0.1, -0.3, 0.3)
"""By how much bars of one clay differ, far more than by how much each changes."""


def fired_again(firing, shift, *, bars_of=range(5), batch="A", sheet=0):
    """Return bars that keep their code from firing to firing, so that their own shrinkage can be told."""
    return [
        bar(
            f"{batch}{at}", {"wet_length": 100.0, "fired_length": 88.0 - OWN[at % 5] - shift - 0.2 * SCATTER[at % 5]},
            body="Grey", firing=firing, direction="along", batch=batch, sheet=sheet,
        )
        for at in bars_of
    ]  # fmt: skip


def test_bars_fired_again_are_compared_with_themselves():
    results = results_of(fired_again("F1", 0.0), fired_again("F2", 0.3, bars_of=[4, 0, 2, 1, 3]))
    for at, one in enumerate(results.bars["bar"][5:]):  # F2's scatter is another than F1's
        results.bars.loc[5 + at, "total_shrinkage"] += 0.02 * (int(one[1]) - 2)
    found = comparison(results, "firing")
    (ours,) = found.differences
    changes = np.array([0.3 + 0.02 * (at - 2) for at in range(5)])
    (expected,) = compare_means([level_mean(changes * 0.0)] * 2, paired={(0, 1): level_mean(changes)})
    assert (ours.difference, ours.low, ours.high) == pytest.approx(
        (expected.difference, expected.low, expected.high), abs=1e-4
    )
    assert (ours.same_bars, ours.verdict) == (5, "different")
    assert ours.high - ours.difference < 0.05
    assert ours.sentence == (
        "Total linear shrinkage: firing F2 is 0.30\xa0percentage points above firing F1 on the same 5 bars (difference"
        " 0.26 to 0.34), 0.60\xa0mm on a piece that measures 200\xa0mm wet: different."
    )
    assert found.notes == (SAME_BARS_NOTE.format(pairs="5 bars in F1 and F2"), FIRED_AGAIN_NOTE)
    assert found.welch_p is None
    assert found.welch == (
        "Welch's analysis of variance is left out: it is for different bars, and some of these are the same."
    )


def test_bars_in_one_firing_only_are_not_used_beside_bars_in_both_and_that_is_told():
    results = results_of(fired_again("F1", 0.0), fired_again("F2", 0.3, bars_of=range(1, 8)))
    found = comparison(results, "firing")
    assert found.differences[0].same_bars == 4
    assert [level.bars for level in found.levels] == [5, 7]
    assert found.notes == (SAME_BARS_NOTE.format(pairs="4 bars in F1 and F2"), UNUSED_NOTE, FIRED_AGAIN_NOTE)


def test_two_bars_in_both_firings_are_too_few_and_that_is_told():
    found = comparison(results_of(fired_again("F1", 0.0), fired_again("F2", 0.3, bars_of=range(3, 8))), "firing")
    assert found.differences[0].same_bars is None
    assert found.notes == (FEW_SAME_NOTE.format(pairs="2 bars in F1 and F2"),)


def test_the_same_code_in_another_workbook_is_another_bar():
    made = [*fired_again("F1", 0.0), *fired_again("F2", 0.3, sheet=1)]
    sheets = checked(made, firings=[firing("F1", celsius=1200.0), firing("F2", celsius=1200.0)], labs=(FINE_LAB,) * 2)
    assert comparison(summarise(sheets), "firing").differences[0].same_bars is None


def test_bars_of_several_batches_fired_again_are_compared_within_their_batches():
    results = results_of(
        fired_again("F1", 0.0), fired_again("F1", 1.0, batch="B", bars_of=range(3)),
        fired_again("F2", 0.3), fired_again("F2", 1.5, batch="B", bars_of=range(3)),
    )  # fmt: skip
    (ours,) = comparison(results, "firing").differences
    assert (ours.difference, ours.same_bars) == (pytest.approx(0.4), 8)  # mean of 0.3 and 0.5: each batch speaks once


def test_one_bar_of_each_batch_fired_again_scatters_as_batches_do():
    made = [
        fired_again(code, shift + extra * at, batch=name, bars_of=[0])
        for code, extra in (("F1", 0.0), ("F2", 0.1))
        for at, (name, shift) in enumerate({"A": 0.0, "B": 0.5, "C": 0.2}.items())
    ]
    (ours,) = comparison(results_of(*made), "firing").differences
    (expected,) = compare_means([level_mean([0.0, 1.0])] * 2, paired={(0, 1): level_mean([0.0, 0.1, 0.2])})
    assert (ours.low, ours.high) == pytest.approx((expected.low, expected.high), abs=1e-3)


def test_bars_without_a_code_are_never_the_same_bar():
    def nameless(mean, code):
        return [{**one, "bar": ""} for one in bars(mean, firing=code)]

    (found,) = compare(results_of(nameless(11.8, "F1"), nameless(12.2, "F2")), "firing")
    assert [one.same_bars for one in found.differences] == [None]
