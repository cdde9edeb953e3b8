from dataclasses import replace
from pathlib import Path

import pytest

from bodytest.errors import NotMeasured
from bodytest.export.reader import read_summary
from bodytest.plan.measured import Wanted, choose, direction_for
from tests.export.example_results import STAGES, group, results

MANY = results(
    group("Drift Buff", "C5", "along", **STAGES),
    group("Drift Buff", "C6", "along", **STAGES),
    group("Drift Buff", "C6", "across", **STAGES),
    group("Marl Red", "C04", "", **STAGES),
    group("Chalk White", "", "along", drying_shrinkage=(6.0, 0.1, 10)),
)


def refusal(wanted, measured=MANY):
    with pytest.raises(NotMeasured) as caught:
        choose(measured, wanted)
    return f"{caught.value.finding.sentence} {caught.value.finding.remedy}"


def test_what_is_the_only_one_need_not_be_named():
    assert choose(MANY, Wanted("Marl Red")).group.firing == "C04"
    assert choose(results(), Wanted()).group.body == "Drift Buff"


def test_names_are_found_whatever_their_capitals_and_spaces():
    assert choose(MANY, Wanted("drift  buff", "c6", " ACROSS ")).group.direction == "across"


@pytest.mark.parametrize("written", ["6", "cone 6", "^6", "Cone-6"])
def test_a_load_is_found_by_any_spelling_of_the_cone_that_is_its_code(written):
    assert choose(MANY, Wanted("Drift Buff", written, "along")).group.firing == "C6"
    assert "from a firing “06” were measured" in refusal(Wanted("Drift Buff", "06", "along"))


def test_choices_are_listed_where_there_are_several():
    assert refusal(Wanted()) == "Several bodies were measured: Drift Buff and Marl Red. Say which one with --body."
    assert refusal(Wanted("Drift Buff")) == (
        "Several firings of Drift Buff were measured: C5 and C6. Say which one with --firing."
    )
    assert refusal(Wanted("Drift Buff", "C6")) == (
        "Bars of Drift Buff fired in C6 were measured in several directions: along and across."
        " Say which one with --direction."
    )


def test_what_nobody_measured_is_refused_with_what_is_there():
    assert refusal(Wanted("Bone Grey")) == (
        "No fired bars of the body “Bone Grey” were measured. There are: Drift Buff and Marl Red."
        " Choose one of these with --body, or test that body first."
    )
    assert refusal(Wanted("Drift Buff", "C9")) == (
        "No bars of Drift Buff from a firing “C9” were measured. There are: C5 and C6."
        " Choose one of these with --firing, or fire bars there first."
    )
    assert refusal(Wanted("Drift Buff", "C5", "across")) == (
        "No bars of Drift Buff fired in C5 were measured in a direction “across”. There are: along."
        " Choose one of these with --direction, or test bars in that direction."
    )


def test_a_body_not_fired_yet_is_refused():
    unfired = results(group("Chalk White", "", "along", drying_shrinkage=(6.0, 0.1, 10)))
    assert refusal(Wanted(), unfired) == (
        "No bars of Chalk White were measured both before and after a firing, so nothing is known about finished"
        " sizes. Measure the fired lengths of the bars, then ask again."
    )


def test_a_named_size_takes_its_direction_from_what_was_given_or_from_its_name():
    assert direction_for(MANY, "height", {"height": "along", "": "across"}) == "along"
    assert direction_for(MANY, "width", {"height": "along", "": "across"}) == "across"
    assert direction_for(MANY, "Across", {}) == "across"
    assert direction_for(MANY, None, {}) is None


def test_what_all_batches_leave_open_is_not_said_of_one_that_is_named():
    demo = read_summary(Path(__file__).parents[2] / "reports" / "results.json")
    doubted = replace(demo, answers=tuple(replace(one, known=False, sentence="Too little.") for one in demo.answers))

    def is_doubted(batch):
        return "Too little." in choose(doubted, Wanted("Drift Buff", batch=batch)).notes

    assert [is_doubted(batch) for batch in (None, "new", "D3")] == [True, True, False]
