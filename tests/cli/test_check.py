"""The command ``bodytest check``."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from bodytest.cli.app import app
from bodytest.cli.check import explanation
from bodytest.errors import UnusableRequest
from bodytest.findings import catalogue
from tests.broken_sheets import make

pytestmark = pytest.mark.core

BROKEN = Path(make.__file__).parent
DEMO = BROKEN.parent.parent / "sheets"
runner = CliRunner()


def run(*arguments: str | Path) -> Result:
    return runner.invoke(app, ["check", *map(str, arguments)])


@pytest.fixture
def good(tmp_path: Path) -> Path:
    path = tmp_path / "good.csv"
    headings, *bars = make.good_bars()
    path.write_bytes(make.text_of([headings, *([f"G{i}", *bar[1:]] for i, bar in enumerate(bars))]))
    return path


def test_a_clean_sheet_is_told_with_what_to_do_next_and_exit_code_0(good: Path) -> None:
    ran = run(good)
    assert ran.exit_code == 0
    assert ran.stdout == (
        f"good.csv: 10 bars, 1 body, 1 firing\n\nNothing to mend. Next: bodytest report {good} --out report\n"
        "Filled cells: 168. Used: 168; named in findings: 0; set aside: 0.\n"
    )


def test_questions_and_notes_leave_exit_code_0() -> None:
    ran = run(BROKEN / "left-out-without-reason.csv")
    assert ran.exit_code == 0
    assert ran.stdout.splitlines()[-2].startswith("Found: 0 to mend, 1 to look at, 0 notes. Next: bodytest report ")


def test_a_stop_is_printed_with_its_cell_remedy_and_code_and_gives_exit_code_1() -> None:
    sheet = BROKEN / "suspended-not-below-fired.csv"
    ran = run(sheet)
    assert ran.exit_code == 1
    entry = catalogue()["suspended-not-below-fired"]
    lines = ran.stdout.splitlines()
    assert lines[0] == "suspended-not-below-fired.csv: 10 bars, 1 body, 1 firing"
    assert lines[1].startswith("STOP The bar A3 weighs 95.02 g hung in water and 59.84 g fired (Bars!P4 and")
    assert lines[2] == f"     → {entry.remedy} [suspended-not-below-fired]"
    assert lines[-2] == (
        "Found: 1 to mend, 0 to look at, 0 notes. Next: mend what is marked STOP and check again."
        " What cannot be used is left out, everything else can be computed already:"
        f" bodytest report {sheet} --out report"
    )


def test_check_ends_with_a_balance_that_adds_up() -> None:
    ran = run(DEMO / "demo-mistakes.xlsx")
    assert ran.stdout.splitlines()[-1] == (
        "Filled cells: 745. Used: 315; named in findings: 37; set aside: 393 (computed column 120, names for lists 90,"
        " guide 67, line left blank 55, title 24, column not read 20, explanation 12, heading not read 5)."
    )
    assert 315 + 37 + 351 == 703
    assert 120 + 90 + 61 + 24 + 20 + 19 + 12 + 5 == 351


def test_the_balance_of_each_table_stands_in_the_json() -> None:
    document = json.loads(run(BROKEN / "summary-row.csv", "--json").stdout)
    assert document["cells"] == [
        {
            "sheet": "summary-row.csv",
            "table": "Bars",
            "filled": 173,
            "used": 168,
            "named": 1,
            "set_aside": {"total row": 4},
        }
    ]


def test_findings_stand_below_the_sheet_that_they_are_about(good: Path) -> None:
    ran = run(BROKEN / "not-a-number.csv", good, good.parent / "none.csv")
    assert ran.exit_code == 1
    lines = [line for line in ran.stdout.splitlines() if line and not line.startswith("     ")]
    assert lines[:5] == [
        "not-a-number.csv: 10 bars, 1 body, 1 firing",
        "STOP “about 94” in Bars!I4 (dry length) is not a number.",
        "good.csv: 10 bars, 1 body, 1 firing",
        "none.csv: no bars were read",
        "STOP There is no file named none.csv here.",
    ]


def test_of_many_findings_of_one_kind_the_first_are_printed_and_the_others_counted(tmp_path: Path) -> None:
    rows = [["bar", "body", "firing", "wet length (mm)"], *([f"A{i}", "Marl Red", "F1", "long"] for i in range(23))]
    (tmp_path / "many.csv").write_bytes(make.text_of(rows))
    lines = run(tmp_path / "many.csv").stdout.splitlines()
    assert sum("is not a number" in line for line in lines) == 20
    assert "… and 3 more like the last [not-a-number]. See all of them with --all." in lines
    assert sum("is not a number" in line for line in run(tmp_path / "many.csv", "--all").stdout.splitlines()) == 23


def test_findings_as_json_are_whole(good: Path) -> None:
    ran = run(BROKEN / "not-a-number.csv", good, "--json")
    assert ran.exit_code == 1
    document = json.loads(ran.stdout)
    assert [s["name"] for s in document["sheets"]] == ["not-a-number.csv", "good.csv"]
    assert document["bars"] == 20
    assert document["findings"] == [
        {
            "code": "not-a-number",
            "level": "stop",
            "sheet": "not-a-number.csv",
            "cell": "Bars!I4",
            "value": "about 94",
            "sentence": "“about 94” in Bars!I4 (dry length) is not a number.",
            "remedy": catalogue()["not-a-number"].remedy,
        }
    ]


def test_every_code_is_listed_with_its_level_and_title() -> None:
    ran = run("--list-codes")
    assert ran.exit_code == 0
    listed = [line.split(maxsplit=2) for line in ran.stdout.splitlines()]
    assert [(level, code, title) for level, code, title in listed] == [
        (entry.level, code, entry.title) for code, entry in catalogue().items()
    ]


@pytest.mark.parametrize("code", catalogue())
def test_every_code_is_explained_without_a_blank_left_open(code: str) -> None:
    text = "\n".join(explanation(catalogue()[code]))
    assert "{" not in text
    assert text.startswith(f"{code}: ")
    assert f"Why:        {catalogue()[code].why}" in text


def test_a_code_is_explained() -> None:
    ran = run("--explain", "dry-longer-than-wet")
    assert ran.exit_code == 0
    assert ran.stdout == (
        "dry-longer-than-wet: longer dry than wet\n"
        "Level:      STOP: the value cannot be used.\n"
        "Says:       The bar … is … long dry and … wet (… and …); clay does not grow in drying.\n"
        "Why:        Drying takes water from between the particles and draws them together; a longer dry bar is a slip"
        " in reading or writing.\n"
        "What to do: Look up both readings and correct the one that is wrong, or put them back in their places.\n"
    )


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        ((), "no-source", "No sheet and no results file was named."),
        (
            ("a.csv", "b.csv", "--marked", "c.xlsx"),
            "marked-copy-of-several",
            "A marked copy can be made of one sheet at a time, and 2 were named.",
        ),
        (
            ("--explain", "dry-longer"),
            "code-unknown",
            "There is no finding with the code “dry-longer”. The nearest one is dry-longer-than-wet.",
        ),
    ],
)
def test_wrong_usage_is_told(arguments: tuple[str, ...], code: str, sentence: str) -> None:
    ran = run(*arguments)
    assert isinstance(ran.exception, UnusableRequest)
    assert (ran.exception.finding.code, ran.exception.finding.sentence) == (code, sentence)


def test_an_unknown_option_gives_exit_code_2() -> None:
    assert run("--colour").exit_code == 2


def test_a_marked_copy_is_written_and_the_sheet_left_as_it_was(tmp_path: Path) -> None:
    sheet = BROKEN / "error-cell.xlsx"
    before = sheet.read_bytes()
    ran = run(sheet, "--marked", tmp_path / "marked.xlsx")
    assert ran.exit_code == 1
    assert (tmp_path / "marked.xlsx").exists()
    assert sheet.read_bytes() == before
    assert f"Marked copy: {tmp_path / 'marked.xlsx'}" in ran.output
