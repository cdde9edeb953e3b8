"""The command ``bodytest plan``: its answer, its questions at a terminal, the workbook, and what it refuses."""

import json
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"
SIZE = ("plan", "--body", "Drift Buff", "--to-know", "size", "--cone", "6")


class _Terminal:
    """Standard input that is a terminal at which these lines are typed."""

    def __init__(self, *lines):
        self.lines = [f"{line}\n" for line in lines]

    def isatty(self):
        return True

    def readline(self, *_):
        return self.lines.pop(0)


def test_the_workbook_is_written_and_read_by_check(run):
    code, out, err = run(*SIZE, "--out", "trial.xlsx")
    assert (code, err) == (0, "")
    assert out.endswith(
        "Wrote trial.xlsx.\nForms for the bench: bodytest kit trial.xlsx\nFill it in, then: bodytest check trial.xlsx\n"
    )
    code, out, _ = run("check", "trial.xlsx")
    assert (code, out.splitlines()[0]) == (0, "trial.xlsx: 20 bars, 1 body, 4 firings")
    assert "Found: 0 to mend, 0 to look at, 1 note." in out


def test_the_kit_is_named_with_the_bar_and_paper_of_the_plan(run):
    unlike = ("--bar", "10x30x150 mm", "--gauge", "120", "--paper", "Letter")
    code, out, _ = run(*SIZE, *unlike, "--out", "trial.xlsx")
    kit = 'bodytest kit trial.xlsx --bar "10x30x150 mm" --gauge 120 --paper Letter'
    assert (code, out.splitlines()[-2]) == (0, f"Forms for the bench: {kit}")
    code, out, _ = run("kit", "trial.xlsx", *unlike, "--only", "template")
    assert (code, "Template for a bar of 10 × 30 × 150 mm, marks 120 mm apart: 1 page" in out) == (0, True)


def test_a_workbook_that_is_there_is_left_as_it_is(run, tmp_path):
    (tmp_path / "trial.xlsx").write_bytes(b"mine")
    code, out, err = run(*SIZE, "--out", "trial.xlsx")
    assert (code, out) == (2, "")
    assert "trial.xlsx exists already and was left as it is." in err
    assert (tmp_path / "trial.xlsx").read_bytes() == b"mine"
    assert "does not end in .xlsx" in run(*SIZE, "--out", "trial.ods")[2]


def test_what_is_missing_is_asked_at_a_terminal(run, monkeypatch):
    monkeypatch.setattr(sys, "stdin", _Terminal("Drift Buff", "tight", "6", "2", "1.2"))
    code, out, err = run("plan")
    assert code == 0
    assert [question.strip() for question in err.split(":") if question.strip()] == [
        "Which body?",
        "What is to be known",
        "size, tight, range, same, match?",
        "Which cones can it be fired to, that of the ware first, as 6, 5, 7?",
        "Which absorption is tight, at most, in %?",
        "About which absorption do you expect in the ware's firing, in %?",
    ]
    assert out.splitlines()[1].startswith("Tight, for the body: the verdict “meets” on 2 % is reached with a chance of")


@pytest.mark.parametrize(
    ("arguments", "missing"),
    [
        ((), "--body"),
        (("--body", "B"), "--to-know"),
        (("--body", "B", "--to-know", "size"), "--cone"),
        (("--body", "B", "--to-know", "tight", "--cone", "6"), "--limit"),
    ],
)
def test_what_is_missing_without_a_terminal_is_wrong_usage(run, arguments, missing):
    code, out, err = run("plan", *arguments)
    assert (code, out) == (2, "")
    assert f"{missing}: it is needed for this plan." in err


def test_a_goal_and_a_cone_that_cannot_be_meant_are_refused(run):
    code, _, err = run("plan", "--body", "B", "--to-know", "weight", "--cone", "6")
    assert code == 2
    assert "'weight' is none of size, tight, range, same, match." in err
    code, _, err = run("plan", "--body", "B", "--to-know", "size", "--cone", "66")
    assert code == 2
    assert "[no-such-cone]" in err


def test_an_earlier_test_gives_its_scatter(run):
    code, out, _ = run(*SIZE, "--to-know", "tight", "--limit", "2", "--known", DEMO)
    assert code == 0
    assert (
        "Rests on demo-complete.xlsx (standard deviations): shrinkage of bars 0.12, of batches 0.34 percentage points;"
        " absorption of bars 0.11, of batches 0.20 percentage points, falling by 2.2 % of itself for each °C;"
        " loads off by ± 10 °C, as usual."
    ) in out
    assert "if the absorption is 1.3 % as expected" in out


def test_an_earlier_test_that_shows_one_batch_takes_the_others_as_usual(run):
    _, out, _ = run("plan", "--body", "Marl Red", "--to-know", "size", "--cone", "04", "--known", DEMO)
    assert (
        "Rests on demo-complete.xlsx, and for batches in total shrinkage on what is usual, from memory, no source"
        " (standard deviations): shrinkage of bars 0.19, of batches 0.15 percentage points; loads off by ± 10 °C, as"
        " usual."
    ) in out


def test_an_earlier_test_of_another_body_is_refused(run):
    code, out, err = run("plan", "--body", "Nobody", "--to-know", "size", "--cone", "6", "--known", DEMO)
    assert (code, out) == (2, "")
    assert (
        "STOP demo-complete.xlsx does not show how the total shrinkage of Nobody scatters.\n"
        "     → Give a test in which two bars of it or more were measured so, or leave --known out: then the usual"
        " scatter is taken. [plan-not-known]\n"
    ) in err


def test_json_holds_the_whole_plan(run):
    code, out, err = run(*SIZE, "--shelves", "2", "--json")
    told = json.loads(out)
    assert (code, err, told["format"]) == (0, "", "bodytest plan")
    assert [need["loads"] for need in told["needs"]] == [4]
    assert (len(told["bars"]), len(told["loads"]), told["files"]) == (20, 4, [])
    assert told["question"]["scatter"]["source"] == "the usual scatter, from memory, no source"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("--absorption-method", "microwave", "--cone", "6"),
            "--absorption-method: 'microwave' is none of: boil 5 h and soak 24 h; boil 5 h;",
        ),
        (
            ("--cone", "99"),
            "--cone 99: '99' is no cone.\n     → Write the cone as on the chart, from 022 to 14, e.g. 06 or 6;",
        ),
    ],
)
def test_a_method_and_a_cone_that_are_none_are_told_with_those_there_are(run, arguments, said):
    code, out, err = run("plan", "--body", "B", "--to-know", "size", *arguments)
    assert (code, out) == (2, "")
    assert said in err


def test_an_earlier_test_that_absorbs_nothing_is_planned_from(run, tmp_path):
    path = tmp_path / "dense.csv"
    rows = [f"D{at},Dense White,F1,100.00,{100 + gain:.2f}" for at, gain in enumerate((0.01, -0.01, 0.0, 0.01, -0.01))]
    path.write_text("\n".join(["bar,body,firing,fired mass (g),boiled mass (g)", *rows]), encoding="utf-8")
    asked = ("--body", "Dense White", "--to-know", "tight", "--limit", "0.5", "--cone", "6")
    code, out, _ = run("plan", *asked, "--known", str(path))
    assert code == 0
    assert "if the absorption is 0.01 % as expected" in out
