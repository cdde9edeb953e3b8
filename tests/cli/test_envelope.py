"""With --json every command prints one document: format, version, software, exit code, errors, and its answer."""

import json
from pathlib import Path

import pytest

from bodytest.cli import check
from tests.cli.test_options import COMMANDS, GOES_ON

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sheets" / "demo-complete.xlsx"
MISTAKES = ROOT / "sheets" / "demo-mistakes.xlsx"
SHEET = """bar,body,batch,firing,peak temperature (°C),wet length (mm),dry length (mm),fired length (mm)
B1,Grey,G1,F1,1200,100.0,94.1,88.0
B2,Grey,G1,F1,1200,100.1,94.2,88.2
B3,Grey,G1,F1,1200,100.2,94.3,88.1
B4,Grey,G2,F1,1200,100.0,94.1,87.9
B5,Grey,G2,F1,1200,100.1,94.0,88.0
B6,Grey,G2,F1,1200,100.2,94.2,88.1
"""
HEAD = ["format", "version", "software", "exit_code", "errors"]
ANSWERS = {
    "plan": (
        ("plan", "--body", "B", "--to-know", "size", "--cone", "6", "--out", "new.xlsx"),
        "plan",
        {"question", "needs", "loads", "bars", "clay", "steps", "notes", "files"},
    ),
    "sheet": (("sheet", "new.xlsx"), "sheet", {"files"}),
    "form": (("form", "trial.csv"), "form", {"files", "readings"}),
    "kit": (("kit", "trial.csv", "--only", "wet"), "kit", {"files", "contents", "notes"}),
    "import": (("import", "trial.csv", "--out", "clean.xlsx"), "import", {"sheets"}),
    "check": (("check", "trial.csv"), "check", {"sheets", "bars", "findings", "cells"}),
    "check --list-codes": (("check", "--list-codes"), "codes", {"codes"}),
    "check --explain": (("check", "--explain", "no-headings"), "codes", {"codes"}),
    "report": (("report", "trial.csv"), "report", {"index"}),
    "release": (
        ("release", DEMO, "--body", "Drift Buff", "--batch", "D3"),
        "release",
        {"number", "replaces", "issued", "body", "batch", "load", "verdict", "confidence", "rows", "deviations"}
        | {"sheets", "files"},
    ),
    "compare": (("compare", "trial.csv"), "comparison", {"comparisons"}),
    "size": (("size", "200mm", "trial.csv"), "sizes", {"sizes", "masses", "capacities"}),
    "pieces": (("pieces", DEMO), "pieces", {"pieces"}),
    "timeline": (("timeline", "trial.csv"), "timeline", {"timelines"}),
    "howmany": (("howmany", "trial.csv", "-w", "0.2"), "howmany", {"needs"}),
    "howmany --sd": (("howmany", "--sd", "0.15", "-w", "0.2"), "howmany", {"needs"}),
    "verify": (("verify",), "verification", {"installation", "passed", "figures"}),
}  # fmt: skip


@pytest.fixture
def trial(tmp_path):
    (tmp_path / "trial.csv").write_text(SHEET, encoding="utf-8")


def document(said):
    """Return code, document and standard error of a command."""
    code, out, err = said
    return code, json.loads(out), err


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_is_one_document_of_the_same_beginning(run, trial, name):
    arguments, form, own = ANSWERS[name]
    code, told, err = document(run(*arguments, "--json"))
    assert list(told)[:5] == HEAD
    assert (told["format"], told["version"], told["exit_code"]) == (f"bodytest {form}", 1, code)
    assert told["software"].startswith("bodytest ")
    assert told.keys() - set(HEAD) == own
    assert (code, told["errors"], err) == (0, [], "")


def test_match_and_ruler_print_what_they_plan_within_the_envelope(run, trial):
    for arguments, form, some in (
        (("match", "92mm", "--within", "1mm", "trial.csv"), "match", {"body", "wet_mm", "chance_within"}),
        (("ruler", "--from", "trial.csv", "--out", "r.pdf"), "ruler", {"body", "factor", "files"}),
    ):
        code, told, _ = document(run(*arguments, "--json"))
        assert (code, list(told)[:5], told["format"]) == (0, HEAD, f"bodytest {form}")
        assert some <= told.keys()


def test_every_format_is_described():
    described = (ROOT / "docs" / "answers.md").read_text(encoding="utf-8")
    for form in {form for _, form, _ in ANSWERS.values()} | {"match", "ruler", "demo", "error"}:
        assert f"`bodytest {form}`" in described
    for field in HEAD:
        assert f"\n| `{field}` | " in described


def test_every_command_that_answers_is_tried_here():
    tried = {name.split()[0] for name in ANSWERS} | {"match", "ruler", "results", "demo"}
    assert tried == COMMANDS.keys() - GOES_ON


def test_what_cost_some_value_is_told_beside_the_answer(run):
    code, told, err = document(run("check", MISTAKES, "--json"))
    assert (code, told["exit_code"], err) == (1, 1, "")
    assert told["errors"] == [found for found in told["findings"] if found["level"] == "stop"] != []
    code, told, err = document(run("timeline", MISTAKES, "--json"))
    assert (code, told["exit_code"], err) == (1, 1, "")
    assert {found["level"] for found in told["errors"]} == {"stop"}
    assert told["timelines"]


@pytest.mark.parametrize("command", sorted(COMMANDS.keys() - GOES_ON))
def test_wrong_usage_is_a_document_too(run, command):
    code, told, err = document(run(command, "--json", "--no-such-option"))
    assert (code, told["format"], told["exit_code"], err) == (2, "bodytest error", 2, "")
    (error,) = told["errors"]
    assert error["code"] == "wrong-usage"
    assert "option" in error["sentence"]
    assert "--no-such-option" in error["sentence"]
    assert error["remedy"] == f"See how it is used with: bodytest {command} --help."


@pytest.mark.parametrize(
    "command", ["check", "report", "results", "compare", "pieces", "ruler", "timeline", "form", "kit"]
)
def test_a_command_without_a_sheet_says_so_in_a_document(run, command):
    code, told, err = document(run(command, "--json"))
    assert (code, err) == (2, "")
    (error,) = told["errors"]
    assert error == {
        "code": "no-source",
        "level": "stop",
        "sheet": None,
        "cell": None,
        "value": None,
        "sentence": "No sheet and no results file was named.",
        "remedy": "Name one or several, such as trial.xlsx or results.json, or - for standard input.",
    }


def test_sheets_without_a_bar_tell_why_in_a_document(run, tmp_path):
    (tmp_path / "empty.csv").write_bytes(b"")
    code, told, err = document(run("size", "200mm", "empty.csv", "--json"))
    assert (code, told["format"], err) == (2, "bodytest error", "")
    assert [error["code"] for error in told["errors"]] == ["file-empty"]


@pytest.mark.parametrize(
    ("error", "code", "told"), [(ValueError("odd"), 3, "unexpected-fault"), (KeyboardInterrupt(), 130, "stopped")]
)
def test_a_fault_and_ctrl_c_are_documents(run, monkeypatch, error, code, told):
    def broken(*_):
        raise error

    monkeypatch.delenv("BODYTEST_TRACE", raising=False)
    monkeypatch.setattr(check, "read", broken)
    ended, document_told, err = document(run("check", DEMO, "--json"))
    assert (ended, document_told["exit_code"], err) == (code, code, "")
    assert [one["code"] for one in document_told["errors"]] == [told]


def test_ctrl_c_is_told(run, monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(check, "read", stopped)
    assert run("check", DEMO) == (130, "", "Stopped.\n")


def test_a_file_that_cannot_be_written_is_told_in_a_document(run, trial, tmp_path):
    (tmp_path / "mine.pdf").write_text("mine", encoding="utf-8")
    code, told, _ = document(run("ruler", "trial.csv", "--out", "mine.pdf", "--json"))
    assert (code, [one["code"] for one in told["errors"]]) == (2, ["not-our-file"])
    assert (tmp_path / "mine.pdf").read_text(encoding="utf-8") == "mine"


def test_results_is_the_results_document_itself_and_its_errors_are_in_the_envelope(run, trial):
    code, told, _ = document(run("results", "trial.csv", "--json"))
    assert (code, told["format"], told["version"]) == (0, "bodytest results", 1)
    code, told, err = document(run("results", "none.csv", "--json"))
    assert (code, told["format"], err) == (2, "bodytest error", "")
    assert [one["code"] for one in told["errors"]] == ["file-not-found"]
