import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from bodytest.budget import Borrowed
from bodytest.errors import NotMeasured, UnusableRequest
from bodytest.plan.measured import Wanted
from bodytest.plan.size_words import size_lines
from bodytest.plan.sizes import sizes
from bodytest.results import BatchResult
from bodytest.stats.summary import summarise_bars
from tests.export.example_results import STAGES, full, group, quantity, results

ONE_BODY = results()


def plan(text, measured=ONE_BODY, **how):
    (found,) = sizes(measured, [text], **how)
    return found


def test_200_mm_at_12_per_cent():
    # 200 mm / (1 − 0.120) = 227.27 mm
    assert plan("200mm").at("wet").size_mm == pytest.approx(227.27, abs=0.005)


def test_every_measured_stage_by_hand():
    # wet 200/0.88 = 227.273; leather-hard 227.273 × 0.97 = 220.455; dry 227.273 × 0.94 = 213.636
    found = plan("200mm")
    assert [(one.stage, round(one.size_mm, 3)) for one in found.stages] == [
        ("wet", 227.273), ("leather-hard", 220.455), ("dry", 213.636), ("fired", 200.0)
    ]  # fmt: skip


def test_units_are_those_typed():
    # 7.5 in = 190.5 mm; 190.5/0.88 = 216.477 mm
    assert plan("7.5in").at("wet").size_mm == pytest.approx(216.477, abs=0.001)
    assert plan("30 cm").at("wet").size_mm == pytest.approx(340.909, abs=0.001)


def test_sizes_in_words_have_no_digit_that_their_interval_does_not_allow():
    # half-widths: wet 5.5 mm, finished piece 16 mm; JCGM 100, 7.2.6
    scattered = results(group("Grog", "C6", "along", total_shrinkage=(12.0, 1.0, 10)))
    assert list(size_lines((plan("600mm", scattered),)))[1:4] == [
        "  wet            682 mm   (676 to 687 mm)",
        "  fired          600.0 mm",
        "  Made 682 mm wet, the finished piece will be 584 to 616 mm (95 % range of one piece).",
    ]
    lines = list(size_lines(tuple(plan(text, scattered) for text in ("600mm", "601mm", "602mm", "100mm"))))
    assert [line.split("Grog")[0].split() for line in lines[1:3]] == [
        ["600mm", "681.8", "mm", "600.0", "mm", "583.8", "to", "616.2", "mm"],
        ["601mm", "683.0", "mm", "601.0", "mm", "584.8", "to", "617.2", "mm"],
    ], "one precision in a column: that of the smallest"


def test_the_range_of_the_mean_is_that_of_the_factor():
    found, one = plan("200mm").at("wet"), ONE_BODY.groups[0]
    assert found.low_mm == pytest.approx(200 * one.wet_size_factor_low, abs=1e-9)
    assert found.high_mm == pytest.approx(200 * one.wet_size_factor_high, abs=1e-9)


def test_the_range_of_the_finished_piece_by_hand():
    # s = 0.25 %, n = 10, t(0.975; 9) = 2.262157: 2.262157 × 0.25 × √1.1 = 0.593160 points of 227.273 mm = 1.34809 mm
    found = plan("200mm")
    assert found.next_low_mm == pytest.approx(200 - 1.34809, abs=1e-4)
    assert found.next_high_mm == pytest.approx(200 + 1.34809, abs=1e-4)


def test_the_chance_of_landing_inside_by_hand():
    # ±1 mm of 227.273 mm is ±0.44 points; 0.44 / (0.25 √1.1) = 1.678094 on t with 9 degrees of freedom
    found = plan("200mm", within="1mm")
    assert found.chance_within == pytest.approx(1 - 2 * stats.t.sf(1.678094, 9), abs=1e-6)


def test_the_chance_of_landing_inside_the_range_is_its_confidence():
    found = plan("200mm")
    assert plan("200mm", within=f"{200 - found.next_low_mm}mm").chance_within == pytest.approx(0.95, abs=1e-9)


def test_pieces_fall_into_the_range_as_often_as_it_says():
    rng = np.random.default_rng(20260301)
    inside = 0
    for _ in range(2000):
        bars = rng.normal(12.0, 0.25, 5)
        summary = summarise_bars(bars)
        measured = quantity("total_shrinkage", summary.mean, summary.sd, 5)
        found = plan("200mm", results(group(total_shrinkage=measured)))
        finished = found.at("wet").size_mm * (1 - rng.normal(12.0, 0.25) / 100)
        inside += found.next_low_mm <= finished <= found.next_high_mm
    # 95 % of 2000 is 1900, standard deviation √(2000 × 0.95 × 0.05) = 9.7
    assert abs(inside - 1900) < 3.3 * 9.7


@pytest.mark.parametrize("stage", ["wet", "leather-hard", "dry"])
def test_a_size_there_and_back_is_the_same(stage):
    made = plan("200mm").at(stage).size_mm
    assert plan(f"{made!r}mm", now=stage).fired_mm == pytest.approx(200.0, abs=1e-9)


def test_a_dry_piece_finishes_at_what_firing_leaves():
    # 213.636 mm dry × 88/94 = 200 mm; its range holds the scatter of firing alone: 2.262157 × 0.3 × √1.1 = 0.711792
    found = plan("213.636363636mm", now="dry")
    assert found.fired_mm == pytest.approx(200.0, abs=1e-6)
    assert found.next_high_mm - 200 == pytest.approx(2.13636 * 0.711792, abs=1e-4)
    assert found.made_at == "dry"


def test_an_unknown_stage_and_an_unmeasured_one_are_refused():
    with pytest.raises(UnusableRequest) as caught:
        plan("200mm", now="baked")
    assert caught.value.finding.sentence == (
        "“baked” is no stage of a piece. Stages are: wet, leather-hard, dry, bisque and fired."
    )
    with pytest.raises(NotMeasured) as caught:
        plan("200mm", now="bisque")
    assert caught.value.finding.sentence == (
        "Bars of Drift Buff fired in C6 were not measured at the stage “bisque”. There are: wet, leather-hard and dry."
    )


def test_bars_measured_from_dry_on_give_a_dry_size_and_no_wet_one():
    found = plan("200mm", results(group(firing_shrinkage=(6.0, 0.1, 10))))
    assert [one.stage for one in found.stages] == ["dry", "fired"]
    assert found.made_at == "dry"
    assert found.at("dry").size_mm == pytest.approx(200 / 0.94, abs=1e-9)


def test_one_bar_gives_a_factor_without_a_range_and_says_why():
    found = plan("200mm", results(group(total_shrinkage=(12.0, None, 1))), within="1mm")
    assert found.at("wet").size_mm == pytest.approx(227.27, abs=0.005)
    assert (found.at("wet").low_mm, found.next_low_mm, found.chance_within) == (None, None, None)
    assert found.why_no_range == "One bar alone shows no scatter."


def test_a_size_far_from_the_bars_is_answered_with_a_note():
    assert plan("200mm").notes == ()
    assert plan("600mm").notes == (
        "682 mm wet is 6.8 times the 100 mm that were measured on the bars: nobody has tested whether a piece of that"
        " size shrinks as they did, so make one trial piece first.",
    )
    assert plan("30in").notes == (
        "34.1 in wet is 8.7 times the 3.9 in that were measured on the bars: nobody has tested whether a piece of that"
        " size shrinks as they did, so make one trial piece first.",
    )
    assert plan("10mm").notes == (
        "11 mm wet is 1/9 of the 100 mm that were measured on the bars: nobody has tested whether a piece of that"
        " size shrinks as they did, so make one trial piece first.",
    )


@pytest.fixture
def three_batches():
    parts = {"total_shrinkage": quantity("total_shrinkage", 12.6, 0.2, 5)}
    by_batch = (BatchResult("A", 5, parts), BatchResult("B", 5, {}))
    return results(group(batches=("A", "B"), by_batch=by_batch, **STAGES))


def test_a_batch_is_taken_when_named_and_a_new_one_otherwise(three_batches):
    assert plan("200mm", three_batches).batch is None
    assert plan("200mm", three_batches, wanted=Wanted(batch="new")).at("wet").size_mm == pytest.approx(200 / 0.88)
    of_a = plan("200mm", three_batches, wanted=Wanted(batch=" a "))
    assert (of_a.batch, of_a.bars) == ("A", 5)
    assert of_a.at("wet").size_mm == pytest.approx(200 / 0.874)


@pytest.mark.parametrize("batch", ["B", "C"])
def test_a_batch_without_fired_bars_is_refused(three_batches, batch):
    with pytest.raises(NotMeasured) as caught:
        plan("200mm", three_batches, wanted=Wanted(batch=batch))
    assert caught.value.finding.sentence == (
        f"No fired bars of a batch “{batch}” of Drift Buff fired in C6 were measured. There are: A and B."
    )


def test_a_new_batch_after_one_tested_is_answered_with_a_note():
    assert plan("200mm", wanted=Wanted(batch="new")).notes == (
        "Only one batch was tested, so how far a new batch may lie from it is not known and the range leaves it out.",
    )
    assert plan("200mm").batch == "A"


def test_pieces_replace_the_bars_when_asked():
    # Pieces shrank 11.4 %: 200 mm / 0.886 = 225.734 mm wet; the drying of the bars, 6 %: × 0.94 = 212.190 mm dry.
    found = plan("200mm", full(), as_pieces="Height")
    assert found.at("wet").size_mm == pytest.approx(225.734, abs=1e-3)
    assert found.at("dry").size_mm == pytest.approx(212.190, abs=1e-3)
    assert (found.rests_on, found.bars, found.direction) == ("pieces", 4, "height")
    # t(0.975; 3) = 3.182446, s = 0.2: 3.182446 × 0.2 × √1.25 = 0.711617 points of 225.734 mm
    assert found.next_high_mm - 200 == pytest.approx(2.25734 * 0.711617, abs=1e-4)


def test_pieces_that_were_not_measured_are_refused():
    with pytest.raises(NotMeasured) as caught:
        plan("200mm", full(), as_pieces="width")
    assert caught.value.finding.sentence == (
        "No pieces of Drift Buff fired in C6 were measured wet and fired in the dimension “width”. There are: height."
    )


def test_figures_are_never_rounded():
    assert plan("200mm").at("wet").size_mm == 200 / 0.88
    assert math.isclose(plan("1in").at("wet").size_mm, 25.4 / 0.88, rel_tol=1e-15)


def test_the_larger_of_groups_that_differ_in_absorption_method_is_used():
    one = group(total_shrinkage=(12.0, 0.2, 10))
    other = replace(group(total_shrinkage=(13.0, 0.2, 5)), absorption_method="vacuum")
    found = plan("200mm", results(other, one))
    assert found.bars == 10
    assert found.notes == (
        "Bars of different absorption methods (vacuum and boil 5 h and soak 24 h) are apart; the larger group"
        " (boil 5 h and soak 24 h) is used.",
    )


def test_pieces_that_differ_from_the_bars_are_told_beside_the_size():
    assert plan("200mm", full()).notes == ("Less. To plan by these pieces, say --as-pieces height.",)
    (alike,) = full().pieces
    assert plan("200mm", replace(full(), pieces=(replace(alike, differs=False),))).notes == ()


@pytest.mark.parametrize(
    ("batches", "loads", "words"),
    [
        (None, 6, "For any load by scatter known from elsewhere (Lab sheet, 6 loads)"),
        (3, 6, "For any batch and any load by scatter known from elsewhere (Lab sheet, 3 batches and 6 loads)"),
    ],
)
def test_what_scatter_known_from_elsewhere_may_do_is_told_in_per_cent_of_the_piece(batches, loads, words):
    # 0.70/0.88 − 1 = −20.45 % and 1.10/0.88 − 1 = 25 %
    lent = Borrowed("Lab sheet", batches, loads, 10.0, 14.0, -10.0, 30.0)
    total = replace(quantity("total_shrinkage", 12.0, 0.25), borrowed=lent)
    measured = results(group(**(STAGES | {"total_shrinkage": total})))
    assert plan("200mm", measured).notes == (f"{words}, the finished piece may be −20.5 to +25.0 % off.",)
    assert plan("200mm", measured, now="dry").notes == ()


def test_bars_without_a_length_say_nothing_of_sizes_far_from_theirs():
    assert plan("200mm", results(replace(group(**STAGES), wet_length_mm=0.0))).notes == ()
    assert len(plan("200mm", results(replace(group(**STAGES), wet_length_mm=0.8))).notes) == 1
    assert plan("200mm").rests_on == "bars"


def test_one_size_may_stand_alone():
    assert sizes(ONE_BODY, "200mm") == sizes(ONE_BODY, ["200mm"])


def test_where_no_pieces_were_measured_the_bars_are_offered():
    with pytest.raises(NotMeasured) as caught:
        plan("200mm", replace(full(), pieces=()), as_pieces="width")
    found = caught.value.finding
    assert found.sentence == (
        "No pieces of Drift Buff fired in C6 were measured wet and fired in the dimension “width”."
    )
    assert found.remedy == "Enter pieces in the Pieces table, or leave --as-pieces out to go by the bars."
