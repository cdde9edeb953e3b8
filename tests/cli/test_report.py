"""The commands report and demo, run as a user runs them."""

import hashlib
import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sheets" / "demo-complete.xlsx"

IMPOSSIBLE = """bar,body,firing,fired mass (g),boiled mass (g),suspended mass (g),wet length (mm),fired length (mm)
B1,Grey,F1,100.0,103.0,58.0,100.0,88.0
B2,Grey,F1,100.2,103.1,58.1,100.1,88.2
B3,Grey,F1,100.1,103.2,101.5,100.0,88.1
B4,Grey,F1,100.3,103.4,58.3,100.2,88.2
"""


def parts(workbook):
    """Hashes of the parts inside: their compression may differ between machines, the content may not."""
    with zipfile.ZipFile(workbook) as archive:
        return {name: hashlib.sha256(archive.read(name)).hexdigest() for name in archive.namelist()}


def bodytest(*arguments, folder):
    return subprocess.run(
        [sys.executable, "-m", "bodytest", *map(str, arguments)],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def impossible(tmp_path_factory):
    """A sheet with one impossible row, reported."""
    folder = tmp_path_factory.mktemp("impossible")
    (folder / "trial.csv").write_text(IMPOSSIBLE, encoding="utf-8")
    return folder, bodytest("report", "trial.csv", "--out", "out", folder=folder)


@pytest.mark.core
def test_the_demo_gives_a_page_for_each_body_an_index_and_results(tmp_path):
    said = bodytest("report", DEMO, "--out", "out", folder=tmp_path)
    assert said.returncode == 0
    assert said.stdout.splitlines()[-1] == "Report: out/index.html"
    assert {p.name for p in (tmp_path / "out").iterdir()} >= {
        "index.html", "marl-red.html", "drift-buff.html", "chalk-white.html", "results.json", "results.csv",
        "datapackage.json",
    }  # fmt: skip


def test_an_impossible_reading_is_told_by_cell_and_costs_only_what_needs_it(impossible):
    folder, said = impossible
    assert said.returncode == 1
    assert "F4" in said.stderr
    assert "Traceback" not in said.stderr
    results = json.loads((folder / "out" / "results.json").read_text(encoding="utf-8"))
    (group,) = results["groups"]
    assert group["bars"] == 4
    assert group["quantities"]["absorption"]["n"] == 4
    assert group["quantities"]["apparent_porosity"]["n"] == 3
    assert group["quantities"]["total_shrinkage"]["n"] == 4
    stops = [f for f in results["findings"] if f["level"] == "stop"]
    assert [(f["code"], f["cell"]) for f in stops] == [("suspended-not-below-fired", "Bars!F4")]


def test_check_and_report_agree_on_the_exit_code(impossible):
    folder, _ = impossible
    assert bodytest("check", "trial.csv", folder=folder).returncode == 1
    assert bodytest("check", DEMO, folder=folder).returncode == 0


def test_a_date_can_be_given_so_that_the_same_sheet_gives_the_same_bytes(tmp_path):
    for out in ("one", "two"):
        assert bodytest("report", DEMO, "--out", out, "--date", "2026-03-09", folder=tmp_path).returncode == 0
    one, two = (sorted((tmp_path / out).iterdir()) for out in ("one", "two"))
    assert [p.name for p in one] == [p.name for p in two]
    assert [p.name for p, q in zip(one, two, strict=True) if p.read_bytes() != q.read_bytes()] == []
    assert all("2026-03-09" in p.read_text(encoding="utf-8") for p in one if p.suffix == ".html")


@pytest.mark.core
@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("report",), 2, "No sheet and no results file was named."),
        (("report", "nowhere.xlsx"), 2, "There is no file named nowhere.xlsx here."),
        (("report", DEMO, "--confidence", "100"), 2, "100 % is no confidence that intervals can be given for."),
        (("report", DEMO, "--date", "yesterday"), 2, "'yesterday' is no date; write it as 2026-03-09."),
        (("report", DEMO, "--confidence", "much"), 2, "“much” is no percentage."),
        (("sheet", "x.xlsx", "--bars", "many"), 2, "'--bars': a whole number is needed."),
        (("sheet", "x.xlsx", "--bars", "9" * 5000), 2, "'--bars': a whole number is needed."),
        (("timeline", "x.xlsx", "--reference", "2"), 2, "'--reference': it has to be 3 or more."),
        (("open", "--port", "65536"), 2, "'--port': it has to be 65535 or less."),
        (("sheet", "x.xlsx", "--length-unit", "ft"), 2, "'--length-unit': 'ft' is not one of 'mm', 'cm', 'in'."),
        (("ruler", DEMO, "--paper", "A5"), 2, "'A5' is no paper of ours. Choose one of: A4, Letter."),
        (("size", "9cm", "--batch"), 2, "Error: --batch needs a value behind it. --batch BATCH: Name of a batch."),
        (("size", "9cm", "--batch", "--body", "x"), 2, "Error: --batch needs a value behind it. --batch BATCH: Name"),
        (("plan", "-w"), 2, "-w needs a value behind it. -w, --half-width NUMBER: How close: the mean is to be known"),
        (("check", DEMO, "--json=1"), 2, "takes no value. --json: Print JSON, unrounded; errors too."),
        (("rapport", DEMO), 2, "No such command"),
    ],
)
def test_wrong_usage_ends_in_a_sentence_and_exit_code_2(tmp_path, arguments, code, words):
    said = bodytest(*arguments, folder=tmp_path)
    assert said.returncode == code
    assert words in " ".join(said.stderr.split())
    assert "Traceback" not in said.stderr


def test_the_demo_command_writes_sheets_and_report_and_says_what_next(tmp_path):
    said = bodytest("demo", "--out", "try", folder=tmp_path)
    assert said.returncode == 0
    assert (tmp_path / "try" / "report" / "index.html").is_file()
    assert parts(tmp_path / "try" / "demo-complete.xlsx") == parts(DEMO)
    assert said.stdout.splitlines()[-1] == (
        "Open the report in a browser. Then make a blank sheet of your own with: bodytest sheet trial.xlsx"
    )


def test_starting_loads_nothing_slow():
    code = "import sys, bodytest.cli.app; print([m for m in ('pandas', 'numpy', 'matplotlib') if m in sys.modules])"
    assert bodytest("--help", folder=ROOT).returncode == 0
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
