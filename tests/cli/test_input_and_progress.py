"""Standard input in place of a file, endings of sheets, and what is told beside the answer."""

import io
import json
import os
import pty
import shutil
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from bodytest.files import inputs
from tests.cli.test_envelope import SHEET

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sheets" / "demo-complete.xlsx"
MISTAKES = ROOT / "sheets" / "demo-mistakes.xlsx"
OF_SIX_BARS = """trial.csv: 6 bars, 1 body, 1 firing

The whole sheet:
NOTE Fewer than the 10 bars that ASTM C326 asks for shrinkage: Grey F1 (6).
     → Nothing, if that is all there is; the intervals show what it costs. [few-bars-for-shrinkage]

"""
ANSWER = ("size", "200mm", "--json", "--body", "Grey")


def workbook_of_the_sheet(path):
    """Write the sheet as a workbook."""
    book = openpyxl.Workbook()
    book.active.title = "Bars"
    for line in SHEET.splitlines():
        book.active.append([float(cell) if cell[:1].isdigit() else cell for cell in line.split(",")])
    book.template = path.suffix == ".xltx"
    book.save(path)


@pytest.fixture
def piped(run, monkeypatch):
    """Run a command with bytes on standard input."""

    def command(content, *arguments):
        inputs.standard_input.cache_clear()
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content)))
        return run(*arguments)

    yield command
    inputs.standard_input.cache_clear()


@pytest.fixture
def answer(run, tmp_path):
    """Return what the sheet answers when it is named."""
    (tmp_path / "trial.csv").write_text(SHEET, encoding="utf-8")
    return json.loads(run(*ANSWER, "trial.csv")[1])


@pytest.mark.parametrize("kind", ["csv", "xlsx", "json"])
@pytest.mark.parametrize("where", [("-",), ("--from", "-")])
def test_standard_input_is_told_by_what_it_holds(run, piped, answer, tmp_path, kind, where):
    if kind == "xlsx":
        workbook_of_the_sheet(tmp_path / "trial.xlsx")
    elif kind == "json":
        assert run("results", "trial.csv", "--out", "trial.json")[0] == 0
    code, out, err = piped((tmp_path / f"trial.{kind}").read_bytes(), *ANSWER, *where)
    assert (code, json.loads(out), err) == (0, answer, "")


def test_findings_call_it_standard_input(piped):
    code, out, _ = piped(MISTAKES.read_bytes(), "check", "-")
    assert code == 1
    assert out.startswith("standard input: ")
    code, _, err = piped(b'{"format": "bodytest results"', *ANSWER[:2], "-")
    assert code == 2
    assert err.splitlines()[0] == (
        "STOP standard input is no results file: it breaks off or goes wrong at line 1, column 30."
    )
    code, _, err = piped(b"", *ANSWER[:2], "-")
    assert (code, err.splitlines()[0]) == (2, "STOP standard input is empty.")


def test_results_from_standard_input_keep_their_seal(run, piped, answer, tmp_path):
    run("results", "trial.csv", "--out", "trial.json")
    kept = (tmp_path / "trial.json").read_bytes()
    assert "results-changed" not in piped(kept, "check", "-", "--json")[1]
    assert "results-changed" in piped(kept.replace(b"Grey", b"Gray"), "check", "-", "--json")[1]


def test_a_marked_copy_of_standard_input_holds_its_values(piped, tmp_path):
    assert piped(MISTAKES.read_bytes(), "check", "-", "--marked", "marked.xlsx")[0] == 1
    assert openpyxl.load_workbook(tmp_path / "marked.xlsx").sheetnames[0] == "Findings"


def test_an_output_does_not_replace_the_file_that_standard_input_is(tmp_path):
    (tmp_path / "trial.csv").write_text(SHEET, encoding="utf-8")
    subprocess.run([sys.executable, "-m", "bodytest", "results", "trial.csv", "-o", "r.json"], cwd=tmp_path, check=True)
    with (tmp_path / "r.json").open("rb") as kept:
        said = subprocess.run(
            [sys.executable, "-m", "bodytest", "results", "-", "--out", "r.json"],
            cwd=tmp_path, stdin=kept, capture_output=True, text=True, check=False,
        )  # fmt: skip
    assert said.returncode == 2
    assert "[output-is-input]" in said.stderr


@pytest.mark.parametrize(
    "arguments",
    [("report",), ("release", "--body", "Grey", "--batch", "G1"), ("import", "trial.csv"), ("demo",)],
)
def test_a_folder_is_not_written_to_standard_output(run, answer, arguments):
    sheet = () if arguments == ("demo",) else ("trial.csv",)
    code, out, err = run(*arguments, *sheet, "--out", "-")
    assert (code, out) == (2, "")
    assert "[folder-to-standard-output]" in err


def test_one_clean_workbook_goes_to_standard_output(tmp_path):
    (tmp_path / "trial.csv").write_text(SHEET, encoding="utf-8")
    said = subprocess.run(
        [sys.executable, "-m", "bodytest", "import", "trial.csv", "--out", "-"],
        cwd=tmp_path, capture_output=True, check=False,
    )  # fmt: skip
    assert said.returncode == 0
    assert openpyxl.load_workbook(io.BytesIO(said.stdout)).sheetnames[0] == "Bars"
    assert said.stderr.decode().startswith("trial.csv: 6 rows of bars → -.")


@pytest.mark.parametrize("ending", [".tsv", ".txt", ".tab", ".xltx", ".xlsm", ".CSV"])
def test_every_ending_of_a_sheet_is_read_by_all_commands(run, answer, tmp_path, ending):
    named = tmp_path / f"other{ending}"
    if ending.startswith(".xl"):
        workbook_of_the_sheet(named)
    else:
        named.write_text(SHEET if ending == ".CSV" else SHEET.replace(",", "\t"), encoding="utf-8")
    assert json.loads(run(*ANSWER, named)[1]) == answer
    assert json.loads(run(*ANSWER, "--from", named)[1]) == answer
    assert run("check", named)[0] == 0


def test_results_csv_is_not_taken_for_a_sheet(run, answer):
    assert run("results", "trial.csv", "--out", "results.csv")[0] == 0
    for arguments in (ANSWER[:2], ("timeline",), ("report",), ("import", "--out", "clean.xlsx")):
        code, out, err = run(*arguments, "results.csv")
        assert code == 2
        assert out == (
            "results.csv: no bars that could be told, nothing was written.\n" if "import" in arguments else ""
        )
        assert err == (
            "STOP results.csv is a table of results, as in results.csv, and holds no readings of bars.\n"
            "     → Give the results.json that stands beside it, or the sheet itself. [results-not-readings]\n"
        )


@pytest.mark.parametrize("command", [("size", "200mm"), ("match", "92mm", "--within", "1mm"), ("ruler",), ("pieces",)])
def test_another_confidence_gives_other_intervals_from_a_sheet_and_from_its_results(run, tmp_path, command):
    run("results", DEMO, "--out", "demo.json")
    chosen = () if command == ("pieces",) else ("--body", "Drift Buff", "--direction", "along")
    usual, wide, kept = (
        json.loads(run(*command, *chosen, *more, "--json")[1])
        for more in ((DEMO,), (DEMO, "--confidence", "99"), ("demo.json", "--confidence", "99"))
    )
    assert usual != wide
    assert wide == kept
    code, _, err = run(*command, *chosen, DEMO, "--confidence", "100")
    assert (code, "[bad-confidence]" in err) == (2, True)


def test_quiet_leaves_the_answer_and_errors(run, answer):
    code, out, err = run("check", "trial.csv", "--quiet")
    assert (code, out, err) == (0, OF_SIX_BARS, "")
    assert run("report", "trial.csv", "--quiet") == (0, f"Report: {Path('report/index.html')}\n", "")
    assert run("sheet", "new.xlsx", "--quiet") == (0, "Wrote new.xlsx.\n", "")
    code, _, err = run("timeline", MISTAKES, "--quiet")
    assert code == 1
    assert err.startswith("STOP ")
    assert "Findings:" not in err


IMPATIENT = "import bodytest.cli.progress as p, sys; p.PATIENCE_S = p._PAUSE_S = 0.01; "
IMPATIENT += "from bodytest.cli.app import main; main()"


def on_a_terminal(folder, *arguments):
    """Run a command whose standard error is a terminal; return what stood there."""
    here, there = pty.openpty()
    running = subprocess.Popen(
        [sys.executable, "-c", IMPATIENT, *arguments], cwd=folder, stdout=subprocess.DEVNULL, stderr=there
    )
    os.close(there)
    seen = b""
    try:
        while piece := os.read(here, 4096):
            seen += piece
    except OSError:  # the other end is closed
        pass
    os.close(here)
    assert running.wait() == 0
    return seen.decode()


def test_long_work_tells_on_a_terminal_how_far_it_is(tmp_path):
    for number in range(5):
        shutil.copy(DEMO, tmp_path / f"{number}.xlsx")
        book = openpyxl.load_workbook(tmp_path / f"{number}.xlsx")
        book["Lab"]["B30"] = number
        book.save(tmp_path / f"{number}.xlsx")
    sheets = [f"{number}.xlsx" for number in range(5)]
    seen = on_a_terminal(tmp_path, "timeline", *sheets)
    assert "\r\x1b[Kreading the sheets: 2 of 5, " in seen
    assert "\r\x1b[Kcomputing, " in seen
    assert "reading" not in on_a_terminal(tmp_path, "timeline", *sheets[:2], "--quiet")
    piped = subprocess.run(
        [sys.executable, "-c", IMPATIENT, "timeline", *sheets[:2]], cwd=tmp_path, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert "reading" not in piped.stderr
