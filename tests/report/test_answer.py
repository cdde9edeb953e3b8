"""The answer, its figures, what is done next: whole sentences, also where things are missing."""

from dataclasses import replace

import pytest

from bodytest.report.body_part import Choice, answering
from bodytest.report.sections.answer import answer
from bodytest.report.sections.firings import firing_table, firings_message
from bodytest.report.sections.method import classes_sentence
from bodytest.report.sections.next_steps import next_steps
from bodytest.report.wording import Voice, english
from bodytest.results import Decision, Group, QuantityResult
from tests.report import example_results

VOICE = Voice(english())
TOTAL = QuantityResult("%", 12, 12.2, 0.3, 0.09, 11.0, 12.0, 12.4, 11.5, 12.9)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def absorbed(mean: float, decision: Decision | None, **changes: object) -> QuantityResult:
    return replace(
        QuantityResult("%", 12, mean, 0.2, 0.06, 11.0, mean - 0.13, mean + 0.13, limit=3.0, decision=decision),
        **changes,
    )


def group(firing: str = "K6", celsius: float = 1222.0, **quantities: QuantityResult) -> Group:
    factor = 100 / (100 - 12.2) if "total_shrinkage" in quantities else None
    ends = (100 / 88.0, 100 / 87.6) if factor else (None, None)
    return Group(
        "Drift Buff", firing, "along", "vacuum", "6", celsius, "oxidation", 12, 0, ("",), factor, *ends, quantities, ()
    )


def said(one: Group) -> str:
    return plain(answer(VOICE, Choice(one, "only"), (), 0.95).sentence)


def test_the_answer_is_one_sentence_with_size_shrinkage_absorption_and_verdict() -> None:
    one = group(total_shrinkage=TOTAL, absorption=absorbed(2.1, "meets"))
    assert said(one) == (
        "Make Drift Buff 1.1390 times its finished size: fired in K6 (cone 6, 1222 °C) it shrinks 12.20 ± 0.20 %"
        " and takes up 2.10 ± 0.13 % water, which meets the limit of 3 %."
    )


@pytest.mark.parametrize(
    ("decision", "ending"),
    [
        ("does not meet", "water, which does not meet the limit of 3 %."),
        ("cannot tell yet", "water; whether that meets the limit of 3 % cannot be told yet."),
        (None, "and takes up 2.90 ± 0.13 % water."),
    ],
)
def test_the_verdict_is_said_in_words(decision: Decision | None, ending: str) -> None:
    assert said(group(total_shrinkage=TOTAL, absorption=absorbed(2.9, decision))).endswith(ending)


def test_what_is_not_measured_yet_is_said() -> None:
    assert said(group(total_shrinkage=TOTAL)).endswith(
        "it shrinks 12.20 ± 0.20 %; its water absorption is not measured yet."
    )
    dried = group(drying_shrinkage=replace(TOTAL, mean=5.5, low=5.4, high=5.6))
    assert said(dried) == "Drift Buff is not fired yet: 12 bars shrank 5.50 ± 0.10 % on drying."
    assert said(group()) == ("Drift Buff has no bar yet that was measured at two stages, so nothing can be computed.")


def test_absorption_without_lengths_is_an_answer_too() -> None:
    one = group(absorption=absorbed(2.1, "meets"))
    found = answer(VOICE, Choice(one, "unfired"), (), 0.95)
    assert plain(found.sentence) == (
        "Drift Buff, fired in K6 (cone 6, 1222 °C), takes up 2.10 ± 0.13 % water, which meets the limit of 3 %;"
        " without wet and fired lengths no size factor can be given."
    )
    assert plain(found.footing) == (
        "Rests on 12 bars, measured along. ± and “to” mark 95 % intervals. Sizes are not known for lack of lengths."
    )
    assert firings_message(VOICE, (one,)) == "Total shrinkage is not known: it needs wet and fired lengths."
    assert next_steps(VOICE, Choice(one, "unfired"), (one,), (), ()) == (
        "Measure wet and fired lengths on the next bars too, if sizes are wanted.",
    )


def test_the_table_by_firing_tells_how_many_bars_are_measured_to_the_end() -> None:
    some, every = group(total_shrinkage=replace(TOTAL, n=7)), group(total_shrinkage=TOTAL)
    rows = firing_table(VOICE, (some, every), 0.95).rows
    assert [row[1].text for row in rows] == ["7 of 12", "12"]


def test_shrinkage_in_the_fire_without_wet_lengths_is_an_answer_too() -> None:
    dry_to_fired = replace(TOTAL, mean=6.9, low=6.8, high=7.0)
    one = group(firing_shrinkage=dry_to_fired, absorption=absorbed(2.9, "cannot tell yet"))
    assert said(one) == (
        "Drift Buff, fired in K6 (cone 6, 1222 °C), shrinks 6.90 ± 0.10 % in the fire and takes up 2.90 ± 0.13 % water;"
        " whether that meets the limit of 3 % cannot be told yet; without wet lengths no size factor can be given."
    )


def test_bars_that_are_all_left_out_are_no_bars_still_to_come() -> None:
    one = replace(group(), bars=0, left_out=6)
    found = answer(VOICE, Choice(one, "unfired"), (), 0.95)
    assert plain(found.sentence) == (
        "All bars of Drift Buff fired in K6 (cone 6, 1222 °C) are left out of the statistics, so there is no mean to"
        " give."
    )
    assert found.footing == "The reasons are listed with the bars."
    assert firings_message(VOICE, (one,)) == "No bar counts: all are left out."
    assert next_steps(VOICE, Choice(one, "unfired"), (one,), (), ()) == (
        "Make new bars, or clear “leave out” for bars that should count.",
    )


def test_one_bar_gives_a_value_and_says_why_there_is_no_interval() -> None:
    results, _ = example_results.one_bar()
    figures = answer(VOICE, Choice(results.groups[0], "only"), (), 0.95).figures
    assert "±" not in figures[1].value
    assert figures[1].meaning == (
        "One bar alone shows no scatter, so no interval can be given; measure at least two more."
    )


def test_where_no_programme_answers_the_bars_measured_furthest_do() -> None:
    results, _ = example_results.one_bar()
    dry = group("", drying_shrinkage=TOTAL)
    boiled = group("", total_shrinkage=TOTAL, absorption=absorbed(2.0, "meets"))
    assert answering(results, "Drift Buff", (dry, boiled)) == Choice(boiled, "only")
    assert answering(results, "Drift Buff", (replace(dry, bars=2), dry)) == Choice(dry, "unfired")


def test_an_interval_that_straddles_a_class_limit_is_told() -> None:
    sentence = classes_sentence(VOICE, group(absorption=absorbed(2.95, "cannot tell yet")))
    assert plain(sentence or "") == (
        "By the mean absorption alone this lies in the range “over 0.5 to 3 %” of ISO 13006 / EN 14411 and"
        " “vitreous (over 0.5 to 3 %)” of ANSI A137.1. The interval straddles a class limit (3 %), so the class is not"
        " certain. The classes are made for pressed and extruded tiles; for other ware they are only a yardstick."
    )


@pytest.mark.parametrize(("mean", "iso"), [(0.5, "up to 0.5 %"), (0.51, "over 0.5 to 3 %"), (10.0, "over 6 to 10 %")])
def test_the_upper_limit_belongs_to_the_lower_class(mean: float, iso: str) -> None:
    # ISO 13006 / EN 14411: E ≤ 0.5, 0.5 < E ≤ 3, 3 < E ≤ 6, 6 < E ≤ 10, E > 10 %.
    assert f"“{iso}” of ISO 13006" in (classes_sentence(VOICE, group(absorption=absorbed(mean, None))) or "")


def test_the_next_steps_follow_from_what_is_missing() -> None:
    def steps(one: Group) -> list[str]:
        return [plain(step) for step in next_steps(VOICE, Choice(one, "only"), (one,), (), ())]

    open_question = group(total_shrinkage=TOTAL, absorption=absorbed(2.95, "cannot tell yet", further_bars=6))
    assert steps(open_question) == [
        "Measure about 6 further bars fired in K6 (cone 6, 1222 °C); that would probably settle whether the limit of"
        " 3 % is met.",
        "Test another batch: one batch says nothing about the next.",
        "Test at least three temperatures to learn where it is safe to fire; 1 programme tested so far.",
    ]
    assert steps(group(drying_shrinkage=TOTAL)) == ["Fire the bars, then measure and weigh them."]
    assert steps(group()) == ["Measure the bars again when they are dry."]
    assert steps(group(total_shrinkage=TOTAL))[0] == "Boil and weigh the fired bars to learn the absorption."


def test_what_stops_a_value_is_the_first_thing_to_do() -> None:
    one = group(total_shrinkage=TOTAL)
    steps = next_steps(VOICE, Choice(one, "only"), (one,), (), example_results.FINDINGS)
    assert steps[0] == (
        "Mend 1 cell that cannot be used (listed under findings); the values that need them are missing here."
    )
