"""No output replaces an input or a file of the user's, whatever the command; what is refused is refused at once."""

import io
import json
import os
import re
import socket
import stat
import subprocess
import sys
import threading
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from bodytest.cli import console, ending
from bodytest.cli.app import app
from bodytest.cli.ending import guarded

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sheets" / "demo-complete.xlsx"
SHEET = """bar,body,firing,peak temperature (°C),wet length (mm),dry length (mm),fired length (mm)
B1,Grey,F1,1200,100.0,94.1,88.0
B2,Grey,F1,1200,100.1,94.2,88.2
B3,Grey,F1,1200,100.2,94.3,88.1
"""
MINE = "kept by hand for years\n"


@dataclass
class Said:
    """How a command ended and what it said."""

    returncode: int
    stdout: str
    stderr: str


def bodytest(folder, *words):
    """Run a command within this process, which is far quicker than one of its own."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with chdir(folder), redirect_stdout(out), redirect_stderr(err):
        try:
            guarded(lambda: app([str(word) for word in words], standalone_mode=False))
            code = 0
        except SystemExit as left:
            code = left.code
        out.flush()
        err.flush()
    return Said(code, *(stream.buffer.getvalue().decode() for stream in (out, err)))


@pytest.fixture
def bench(tmp_path):
    """Return a folder with a sheet of measurements."""
    (tmp_path / "m.csv").write_text(SHEET, encoding="utf-8")
    return tmp_path


def files(folder):
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["results", "m.csv", "--format", "csv", "--out", "m.csv"], "m.csv"),
        (["results", "m.csv", "--out", "./sub/../m.csv"], "m.csv"),
        (["results", "m.csv", "--out", "link.csv"], "link.csv"),
        (["results", "m.csv", "--out", "hard.csv"], "hard.csv"),
        (["report", "results.csv", "--out", "."], "results.csv"),
        (["check", "m.csv", "--marked", "m.csv"], "m.csv"),
        (["ruler", "--from", "m.csv", "--out", "image.svg"], "image.svg"),
        (["kit", "m.csv", "--out", "image.pdf"], "image.pdf"),
    ],
)
def test_an_output_that_is_an_input_is_refused_and_nothing_changes(bench, words, named):
    (bench / "sub").mkdir()
    (bench / "link.csv").symlink_to("m.csv")
    os.link(bench / "m.csv", bench / "hard.csv")
    (bench / "results.csv").write_text(SHEET, encoding="utf-8")
    os.link(bench / "m.csv", bench / "image.svg")
    os.link(bench / "m.csv", bench / "image.pdf")
    before = files(bench)
    said = bodytest(bench, *words)
    assert said.returncode == 2
    assert said.stdout == ""
    source = "results.csv" if words[0] == "report" else "m.csv"
    assert said.stderr.splitlines() == [
        f"STOP {Path(named)} is what the results are made from ({source}), so nothing is written there.".replace(
            "STOP m.csv", f"STOP {Path(words[-1])}"
        ),
        "     → Give the output another name or folder. [output-is-input]",
    ]
    assert files(bench) == before


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["results", "m.csv", "--out", "{}"], "thesis.txt"),
        (["results", "m.csv", "--out", "{}"], "mine.xlsx"),
        (["results", "m.csv", "--format", "csv", "--out", "{}"], "other.csv"),
        (["results", "m.csv", "--out", "{}"], "empty.json"),
        (["report", "m.csv", "--out", "."], "index.html"),
        (["report", "m.csv", "--out", "."], "results.csv"),
        (["report", "m.csv", "--out", "."], "grey.html"),
        (["report", "m.csv", "--out", "."], "bodytest-files.json"),
        (["watch", ".", "--out", "."], "results.csv"),
        (["ruler", "--from", "m.csv", "--out", "{}"], "photo.svg"),
        (["ruler", "--from", "m.csv", "--out", "ruler"], "ruler.pdf"),
        (["kit", "m.csv", "--out", "{}"], "kit.pdf"),
        (["demo", "--out", "."], "demo-complete.xlsx"),
        (["demo", "--out", "."], "report/index.html"),
    ],
)
def test_a_file_that_bodytest_did_not_write_is_refused_and_nothing_changes(bench, words, name):
    (bench / "report").mkdir()
    mine = {"mine.xlsx": DEMO.read_bytes()[:-5], "empty.json": b"", "other.csv": SHEET.encode()}
    (bench / name).write_bytes(mine.get(name, MINE.encode()))
    before = files(bench)
    said = bodytest(bench, *(word.format(name) for word in words))
    assert said.returncode == 2
    assert said.stdout == ""
    assert said.stderr.splitlines() == [
        f"STOP {name} is there already and was not written by bodytest, or was changed since; it was left as it is.",
        "     → Give the output another name or folder, or move that file away first. [not-our-file]",
    ]
    assert files(bench) == before


@pytest.mark.parametrize("name", ["r.txt", "r", "r.pdf"])
def test_results_under_a_name_that_no_command_would_know_are_refused(bench, name):
    before = files(bench)
    said = bodytest(bench, "results", "m.csv", "--out", name)
    assert said.returncode == 2
    assert f"{name} does not end in .json, so nothing would know it for a results file." in said.stderr
    assert files(bench) == before


@pytest.mark.parametrize("name", ["r.json", "r.csv", "r.xlsx"])
def test_an_earlier_output_is_replaced_with_its_permissions_and_through_its_link(bench, name):
    (bench / "deep").mkdir()
    (bench / name).symlink_to(f"deep/{name}")
    assert bodytest(bench, "results", "m.csv", "--out", name).returncode == 0
    (bench / "deep" / name).chmod(0o600)
    (bench / "m.csv").write_text(SHEET.replace("Grey", "Brown"), encoding="utf-8")
    before = (bench / "deep" / name).read_bytes()
    said = bodytest(bench, "results", "m.csv", "--out", name)
    assert (said.returncode, said.stdout) == (0, "")
    assert (bench / name).is_symlink()
    assert (bench / "deep" / name).read_bytes() != before
    assert stat.S_IMODE((bench / "deep" / name).stat().st_mode) == 0o600
    assert sorted(p.name for p in (bench / "deep").iterdir()) == [name]


@pytest.mark.parametrize("harm", ["a figure", "a line at the end", "the last line"])
@pytest.mark.parametrize("name", ["r.json", "r.csv", "ruler.pdf", "ruler.svg", "out/drift-buff-d3-certificate.html"])
def test_an_earlier_output_is_replaced_but_not_when_somebody_changed_it(bench, name, harm):
    words = {
        "r": ["results", "m.csv", "--out", name],
        "ruler": ["ruler", "--from", "m.csv", "--out", name],
        "out/drift-buff-d3-certificate": ["release", DEMO, "--body", "Drift Buff", "--batch", "D3", "--out", "out"],
    }[name.rpartition(".")[0]]
    for _ in range(2):
        assert bodytest(bench, *words).returncode == 0
    written = (bench / name).read_bytes()
    assert written.count(b"bodytest:") == 1
    changed = {
        "a figure": re.sub(rb"[1-9](?=[^a-f0-9])", b"0", written, count=1),
        "a line at the end": written + b"a note\n",
        "the last line": written.removesuffix(b"\n").rpartition(b"\n")[0],
    }[harm]
    (bench / name).write_bytes(changed)
    said = bodytest(bench, *words)
    assert said.returncode == 2
    assert said.stderr.startswith(
        f"STOP {name} is there already and was not written by bodytest, or was changed since;"
    )
    assert (bench / name).read_bytes() == changed


def test_results_may_be_written_into_the_folder_of_a_report_and_the_report_again(bench):
    assert bodytest(bench, "report", "m.csv", "--out", "out").returncode == 0
    (bench / "m.csv").write_text(SHEET.replace("88.0", "87.9"), encoding="utf-8")
    for words in (["--out", "out/results.json"], ["--format", "csv", "--out", "out/results.csv"]):
        assert bodytest(bench, "results", "m.csv", *words).returncode == 0
    before = files(bench)
    assert bodytest(bench, "report", "m.csv", "--out", "out").returncode == 0
    after = files(bench)
    for name in ("out/results.json", "out/results.csv"):
        assert after[name] == before[name]


def test_a_planner_that_a_spreadsheet_program_saved_is_the_users(bench):
    from openpyxl import load_workbook

    assert bodytest(bench, "results", "m.csv", "--out", "planner.xlsx").returncode == 0
    book = load_workbook(bench / "planner.xlsx")
    book["Planner"]["A30"] = "jar for the fair"
    book.save(bench / "planner.xlsx")
    before = files(bench)
    assert bodytest(bench, "results", "m.csv", "--out", "planner.xlsx").returncode == 2
    assert files(bench) == before


def test_a_pipe_is_written_to_and_stays_a_pipe(bench):
    os.mkfifo(bench / "pipe")
    read = []
    reader = threading.Thread(target=lambda: read.append((bench / "pipe").read_bytes()))
    reader.start()
    said = bodytest(bench, "results", "m.csv", "--format", "csv", "--out", "pipe")
    reader.join(30)
    assert said.returncode == 0
    assert read[0].startswith(b"body,firing,")
    assert stat.S_ISFIFO((bench / "pipe").stat().st_mode)


def test_the_null_device_takes_everything_and_stays_a_device(bench):
    (bench / "null").symlink_to(os.devnull)
    assert bodytest(bench, "results", "m.csv", "--out", "null").returncode == 0
    assert bodytest(bench, "results", "m.csv", "--out", os.devnull).returncode == 0
    assert stat.S_ISCHR(Path(os.devnull).stat().st_mode)


def test_a_socket_is_refused(bench):
    with socket.socket(socket.AF_UNIX) as listening:
        with chdir(bench):
            listening.bind("s")
        said = bodytest(bench, "results", "m.csv", "--out", "s")
    assert said.returncode == 2
    assert said.stderr.splitlines()[0] == "STOP s is neither a file nor a pipe, so nothing can be written to it."
    assert stat.S_ISSOCK((bench / "s").stat().st_mode)


@pytest.mark.parametrize(
    ("words", "begins"),
    [
        (["results", "m.csv", "--format", "xlsx", "--out", "-"], b"PK"),
        (["results", "m.csv", "--out", "-"], b'{\n "format": "bodytest results"'),
        (["results", "m.csv", "--out", "/dev/stdout", "--format", "csv"], b"body,firing,"),
        (["ruler", "--from", "m.csv", "--out", "-"], b"%PDF"),
        (["kit", "m.csv", "--only", "wet", "--out", "-"], b"%PDF"),
        (["sheet", "-"], b"PK"),
        (["check", "m.csv", "--marked", "-"], b"PK"),
    ],
)
def test_a_dash_is_standard_output_and_carries_nothing_else(bench, words, begins):
    with (bench / "taken").open("wb") as taken:
        done = subprocess.run(
            [sys.executable, "-m", "bodytest", *words], cwd=bench, stdout=taken, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 0, done.stderr
    content = (bench / "taken").read_bytes()
    assert content.startswith(begins)
    assert content.rstrip()[-22:-18] == b"PK\x05\x06" or begins != b"PK"
    assert sorted(p.name for p in bench.iterdir()) == ["m.csv", "taken"]


def test_a_report_cannot_go_to_standard_output(bench):
    said = bodytest(bench, "report", "m.csv", "--out", "-")
    assert said.returncode == 2
    assert said.stderr.splitlines()[0] == "STOP A folder of files cannot go to standard output."


def test_results_are_not_appended_to_the_sheet_that_they_are_made_from(bench):
    with (bench / "m.csv").open("ab") as sheet:
        done = subprocess.run(
            [sys.executable, "-m", "bodytest", "results", "m.csv"],
            cwd=bench, stdout=sheet, stderr=subprocess.PIPE, check=False,
        )  # fmt: skip
    assert done.returncode == 2
    assert (bench / "m.csv").read_text(encoding="utf-8") == SHEET


def test_links_that_lead_round_in_a_circle_are_told(bench):
    (bench / "a.json").symlink_to("b.json")
    (bench / "b.json").symlink_to("a.json")
    said = bodytest(bench, "results", "m.csv", "--out", "a.json")
    assert said.returncode == 2
    assert said.stderr.startswith("STOP a.json could not be written: ")


def test_a_file_in_the_place_of_a_folder_is_told_before_anything_is_read(bench):
    (bench / "plain").write_text(MINE)
    for words in (["report", "nowhere.csv", "--out", "plain"], ["results", "nowhere.csv", "--out", "plain/r.json"]):
        said = bodytest(bench, *words)
        assert said.returncode == 2
        assert " could not be written: " in said.stderr
        assert "nowhere.csv" not in said.stderr


@pytest.mark.parametrize("command", [["results", DEMO], ["check", DEMO, "--all"], ["verify", "--all"]])
def test_output_that_nobody_reads_ends_quietly_as_shells_count_it(tmp_path, command):
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "bodytest", *map(str, command)],
            stdout=writing, stderr=subprocess.PIPE, check=False, cwd=tmp_path,
        )  # fmt: skip
    finally:
        os.close(writing)
    assert done.returncode == 141
    assert b"Traceback" not in done.stderr
    assert b"BrokenPipe" not in done.stderr


def test_a_date_that_is_still_to_come_is_asked_about(bench):
    from openpyxl import Workbook

    book = Workbook()
    bars, firings = book.active, book.create_sheet("Firings")
    bars.title = "Bars"
    for row in SHEET.splitlines():
        bars.append(row.split(","))
    for row in (["firing", "date"], ["F1", "2999-05-01"]):
        firings.append(row)
    book.save(bench / "late.xlsx")
    said = bodytest(bench, "check", "late.xlsx")
    assert said.returncode == 0
    assert "2999-05-01 in Firings!B2 lies after today; the firing was read as if it had taken place." in said.stdout


def test_a_report_dated_before_its_firings_says_so(tmp_path):
    said = bodytest(tmp_path, "report", DEMO, "--out", "out", "--date", "2020-01-01")
    assert said.returncode == 0
    assert said.stderr.splitlines()[0].startswith("ASK  The report is dated 2020-01-01, but firing ")
    assert "report-before-firing" in (tmp_path / "out" / "results.json").read_text(encoding="utf-8")


def test_the_exit_codes_are_told_in_help_and_readme():
    told = " ".join(bodytest(ROOT, "--help").stdout.split())
    codes = [console.EXIT_STOP, console.EXIT_USAGE, ending.EXIT_FAULT, ending.EXIT_STOPPED, ending.EXIT_UNREAD]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for code in (0, *codes):
        assert f" {code} " in told.partition("Exit code:")[2]
        assert f"\n| {code} | " in readme


def test_beside_a_csv_stands_what_describes_it_and_another_one_there(bench):
    assert bodytest(bench, "results", "m.csv", "--out", "out/first.csv").returncode == 0
    assert bodytest(bench, "results", "m.csv", "--out", "out/Zweite.csv", "--decimal-comma").returncode == 0
    assert bodytest(bench, "results", "m.csv", "--out", "out/first.csv").returncode == 0
    told = json.loads((bench / "out" / "datapackage.json").read_text(encoding="utf-8"))["resources"]
    assert [(one["name"], one["path"], one["dialect"]["delimiter"]) for one in told] == [
        ("zweite", "Zweite.csv", ";"), ("first", "first.csv", ","),
    ]  # fmt: skip
    (bench / "out" / "Zweite.csv").unlink()
    bodytest(bench, "results", "m.csv", "--out", "out/first.csv")
    told = json.loads((bench / "out" / "datapackage.json").read_text(encoding="utf-8"))["resources"]
    assert [one["path"] for one in told] == ["first.csv"]


def test_the_description_of_another_program_is_left_alone_and_said(bench):
    (bench / "datapackage.json").write_text(MINE, encoding="utf-8")
    said = bodytest(bench, "results", "m.csv", "--out", "results.csv")
    assert said.returncode == 0
    assert (bench / "results.csv").read_bytes().startswith(b"body,firing,")
    assert (bench / "datapackage.json").read_text(encoding="utf-8") == MINE
    assert " ".join(said.stderr.split()).startswith(
        "NOTE datapackage.json is not of bodytest and was left as it is, so nothing beside results.csv tells the types"
        " of its columns. → Write results.csv into a folder of its own where a program is to read the description too."
        " [descriptor-kept]"
    )


def test_nothing_is_put_beside_what_is_no_file(bench):
    bodytest(bench, "results", "m.csv", "--format", "csv")
    bodytest(bench, "results", "m.csv", "--format", "csv", "--out", os.devnull)
    assert set(files(bench)) == {"m.csv"}
    assert not Path(os.devnull).with_name("datapackage.json").exists()


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("m.json", "numbers in JSON have a point; say --format csv."),
        ("m.xlsx", "a workbook shows numbers as your spreadsheet program is set; it goes with --format csv."),
    ],
)
def test_a_decimal_comma_is_refused_where_it_would_change_nothing(bench, name, why):
    refused = bodytest(bench, "results", "m.csv", "--out", name, "--decimal-comma")
    told = " ".join(refused.stderr.split()).partition("Error: ")[2]
    assert (refused.returncode, told) == (2, f"Invalid value for --decimal-comma: {why}")
    assert not (bench / name).exists()
