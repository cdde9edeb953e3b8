"""Limits that a workbook states, judged: the published bricks, purposes, windows, what was not tested."""

from pathlib import Path
from typing import Any

import openpyxl
import pytest

from bodytest import analyse, read_sheets
from bodytest.report.body_part import body_parts
from bodytest.report.sections.answer import answer
from bodytest.report.sections.next_steps import next_steps
from bodytest.results import Programme, Results
from tests.report.test_answer import VOICE, plain

BRICKS = (15.8, 16.4, 17.1, 16.9, 16.2)
"""Worked specification of facts for brick (ASTM C216 limits from memory): mean 16.48 %, one-sided limit 16.98 %."""
HEADINGS = ["body", "purpose", "quantity", "lowest", "highest", "applies to", "share (%)", "source"]


def results_of(
    folder: Path, specs: list[list[Any]], firings: list[list[Any]] | None = None, limit: float | None = None
) -> Results:
    """Return the results of five bricks in each firing, read from a workbook with these limits."""
    firings = firings or [["K1", "final", "04"]]
    book = openpyxl.Workbook()
    bars = book.worksheets[0]
    bars.title = "Bars"
    bars.append(["bar", "body", "batch", "firing", "fired mass (g)", "boiled mass (g)"])
    for place, (code, *_) in enumerate(firings):
        for number, absorbed in enumerate(BRICKS):
            bars.append(
                [
                    f"B{place}{number}",
                    "Invented Brick",
                    "M1",
                    code,
                    1000.0 + number,
                    (1000.0 + number) * (1 + absorbed / 100),
                ]
            )
    for name, rows in {
        "Firings": [["firing", "purpose", "cone"], *firings],
        "Specs": [HEADINGS, *specs],
        "Lab": [["name", "value"], *([["absorption limit (%)", limit]] if limit else [])],
    }.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(folder / "bricks.xlsx")
    return analyse(read_sheets([folder / "bricks.xlsx"]))


def row(highest: float | None, applies_to: str = "mean", **other: Any) -> list[Any]:
    given = {"purpose": "final", "quantity": "absorption", "lowest": None, "share": None, "source": "example"} | other
    named = ["Invented Brick", given["purpose"], given["quantity"]]
    return [*named, given["lowest"], highest, applies_to, given["share"], given["source"]]


def programme(results: Results, purpose: str = "final") -> Programme:
    return next(one for one in results.programmes if one.purpose == purpose)


def test_the_five_bricks_meet_the_mean_and_each_brick_its_limit(tmp_path: Path) -> None:
    results = results_of(tmp_path, [row(17.0), row(20.0, "every bar")])
    mean, each = programme(results).verdicts
    assert mean.verdict == each.verdict == "meets"
    assert mean.value == pytest.approx(16.48)
    assert mean.value + mean.guarded_by == pytest.approx(16.98, abs=0.01)
    assert each.value == pytest.approx(17.1)
    assert mean.sentence == (
        "Water absorption, mean, at most 17 %: meets, for this batch only, in this load only."
        " One further bar may reach 18.08 %."
    )
    assert mean.rule == "one-sided confidence limit of the mean (JCGM 106:2012, guarded)"
    assert (mean.risk, mean.source) == (0.05, "example")


def test_a_mean_too_near_its_limit_cannot_be_told_and_one_beyond_does_not_meet(tmp_path: Path) -> None:
    verdicts = programme(results_of(tmp_path, [row(16.9), row(15.9, "every bar")])).verdicts
    assert [one.verdict for one in verdicts] == ["cannot tell yet", "does not meet"]


def test_a_share_needs_far_better_bars_than_the_mean(tmp_path: Path) -> None:
    (share,) = programme(results_of(tmp_path, [row(17.5, "share of bars", share=95)])).verdicts
    assert share.verdict == "cannot tell yet"
    assert share.value + share.guarded_by == pytest.approx(16.48 + 4.203 * 0.5263, abs=0.01)


def test_a_window_is_missed_on_either_side(tmp_path: Path) -> None:
    too_dense = programme(results_of(tmp_path, [row(20.0, lowest=17.5)])).verdicts[0]
    assert too_dense.verdict == "does not meet"
    assert "17.5 to 20 %" in too_dense.sentence


def test_the_decision_of_the_headline_holds_at_both_ends_of_a_window(tmp_path: Path) -> None:
    results = results_of(tmp_path, [row(None, lowest=17.5)])
    absorbed = programme(results).quantities["absorption"]
    assert (absorbed.lowest, absorbed.limit, absorbed.decision) == (17.5, None, "does not meet")
    (part,) = body_parts(results)
    sentence = answer(VOICE, part.choice, (), results.confidence).sentence
    assert "takes up 16.5 ± 0.7 % water, which does not meet the limit of at least 17.5 %;" in plain(sentence)
    steps = [plain(step) for step in next_steps(VOICE, part.choice, part.tested, (), ())]
    assert "Fire cooler or choose another body if the limit of at least 17.5 % matters." in steps

    two, one = (
        programme(results_of(tmp_path, [row(highest, lowest=16.4)])).quantities["absorption"] for highest in (20, None)
    )
    assert (two.lowest, two.limit, two.decision) == (16.4, 20.0, "cannot tell yet")
    assert (two.further_bars or 0) > 20  # the lower end is near
    assert two.further_bars == one.further_bars


def test_a_bisque_without_a_row_of_its_own_is_held_against_nothing(tmp_path: Path) -> None:
    found = results_of(tmp_path, [row(10.0)], [["K1", "bisque", "06"], ["K2", "test", "04"]])
    assert [(one.purpose, one.would_meet) for one in found.programmes] == [
        ("bisque", None),
        ("test", "does not meet"),
    ]


def test_a_quantity_without_readings_is_not_tested_and_never_passes(tmp_path: Path) -> None:
    (shrinkage,) = programme(results_of(tmp_path, [row(12.0, quantity="total_shrinkage")])).verdicts
    assert shrinkage.verdict == "not tested"
    assert shrinkage.sentence == "Total linear shrinkage, mean, at most 12 %: not tested."


def test_each_purpose_has_its_own_rows(tmp_path: Path) -> None:
    firings = [["K1", "final", "04"], ["K0", "bisque", "06"]]
    results = results_of(tmp_path, [row(17.0), row(20.0, purpose="bisque", lowest=10.0)], firings)
    assert [one.highest for one in programme(results).verdicts] == [17.0]
    assert [one.highest for one in programme(results, "bisque").verdicts] == [20.0]


@pytest.mark.parametrize(("purpose", "judged"), [("final", True), ("", True), ("bisque", False), ("test", False)])
def test_the_lab_limit_serves_final_firings_only(tmp_path: Path, purpose: str, judged: bool) -> None:
    results = results_of(tmp_path, [], [["K1", purpose, "04"]], limit=17.0)
    absorption = results.programmes[0].quantities["absorption"]
    assert absorption.decision == ("meets" if judged else None)
    assert bool(results.programmes[0].verdicts) is judged


def test_the_lab_limit_gives_way_to_a_row_of_the_body(tmp_path: Path) -> None:
    results = results_of(tmp_path, [row(20.0, "every bar")], limit=2.0)
    assert results.programmes[0].quantities["absorption"].decision is None
    assert [one.highest for one in results.programmes[0].verdicts] == [20.0]
