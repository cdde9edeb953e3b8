"""The command ``bodytest import``, and what ``check`` says of a sheet of somebody's own."""

import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner, Result

from bodytest.cli.app import app
from bodytest.errors import UnusableRequest

runner = CliRunner()
OWN = "bar,clay,Fired to,wet (mm),green length (mm),fired (mm)\n" + "".join(
    f"{i},Torvan,cone 6,{100 + i / 10},{94 + i / 10},{88 + i / 10}\n" for i in range(1, 5)
)


def run(*arguments: str | Path) -> Result:
    return runner.invoke(app, [*map(str, arguments)])


def own(folder: Path, name: str = "own.csv") -> Path:
    (folder / name).write_text(OWN, encoding="utf-8")
    return folder / name


def test_check_tells_first_what_was_seen_and_last_what_has_to_be_said(tmp_path: Path) -> None:
    ran = run("check", own(tmp_path))
    lines = ran.stdout.splitlines()
    assert lines[:8] == [
        "own.csv: 4 bars, 1 body, 1 firing",
        "Seen: 4 rows of bars under the headings Bars!A1 to Bars!F1",
        "Bars!A1 “bar” = bar",
        "Bars!B1 “clay” = body",
        "Bars!C1 “Fired to” = cone (by its cells)",
        "Bars!D1 “wet (mm)” = wet length in mm",
        "Bars!F1 “fired (mm)” = fired length in mm",
        "Bars!E1 “green length (mm)”: not read",
    ]
    assert (
        f'To go on, say in one command: bodytest check {tmp_path / "own.csv"} --as "green length (mm)=…"' in ran.stdout
    )


def test_a_sheet_without_bars_is_told_by_what_stands_on_it(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("to buy,how many\nclay,3\nglaze,1\n", encoding="utf-8")
    ran = run("check", tmp_path / "list.csv")
    assert "Seen: the table “Bars” without a row or column of headings of bars; it begins with “to buy”" in ran.stdout


def test_import_writes_a_clean_workbook_with_its_sources_and_leaves_the_sheet(tmp_path: Path) -> None:
    sheet = own(tmp_path)
    ran = run("import", sheet, "--out", tmp_path / "clean.xlsx", "--as", "green length (mm)=dry length")
    assert ran.exit_code == 0
    assert sheet.read_text(encoding="utf-8") == OWN
    book = openpyxl.load_workbook(tmp_path / "clean.xlsx")
    assert [cell.value for cell in book["Bars"][1]] == [
        "bar", "body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)",
    ]  # fmt: skip
    assert [cell.value for cell in book["Firings"][2]] == ["cone 6", "cone 6"]
    assert ["Bars", "wet length", "Bars!D2 to Bars!D5", "Bars!D1"] in [
        [c.value for c in r] for r in book["Sources"].rows
    ]
    assert run("check", tmp_path / "clean.xlsx").exit_code == 0


def test_import_of_a_folder_writes_one_workbook_each_and_answers_as_before(tmp_path: Path) -> None:
    sheets = tmp_path / "old"
    sheets.mkdir()
    own(sheets, "one.csv")
    own(sheets, "two.csv")
    first = run(
        "import", sheets / "one.csv", "--out", tmp_path / "earlier.xlsx", "--as", "green length (mm)=dry length"
    )
    assert first.exit_code == 0
    ran = run("import", sheets, "--out", tmp_path / "clean", "--like", tmp_path / "earlier.xlsx")
    assert ran.exit_code == 0
    assert sorted(path.name for path in (tmp_path / "clean").iterdir()) == ["one-clean.xlsx", "two-clean.xlsx"]
    book = openpyxl.load_workbook(tmp_path / "clean" / "two-clean.xlsx")
    assert book["Bars"]["E1"].value == "dry length (mm)"


def test_a_folder_ends_with_a_summary_and_no_file_takes_the_place_of_another(tmp_path: Path) -> None:
    sheets = tmp_path / "old"
    sheets.mkdir()
    own(sheets, "trial.csv")
    own(sheets, "trial.csv.bak").rename(sheets / "notes.txt")
    book = openpyxl.Workbook()
    for line in OWN.splitlines():
        book.worksheets[0].append(line.replace("green length", "dry length").split(","))
    book.save(sheets / "trial.xlsx")
    (sheets / "list.csv").write_text("to buy,how many\nclay,3\n", encoding="utf-8")
    out = tmp_path / "clean"
    ran = run("import", sheets, "--out", out)
    assert ran.exit_code == 2
    assert ran.stdout.splitlines() == [
        "file        rows of bars  questions left  written",
        "list.csv    none          1               nothing",
        "trial.csv   4             1               trial-clean.xlsx",
        "trial.xlsx  4             0               trial-xlsx-clean.xlsx",
        f"Written to {out}. Next: bodytest check {out / 'FILE'}",
    ]
    assert sorted(path.name for path in out.iterdir()) == ["trial-clean.xlsx", "trial-xlsx-clean.xlsx"]


def test_a_heading_that_no_sheet_has_is_told_after_all_were_read(tmp_path: Path) -> None:
    ran = run("import", own(tmp_path), "--out", tmp_path / "clean.xlsx", "--as", "Glaze=batch")
    assert ran.exit_code == 1
    assert "No sheet has a heading “Glaze”, so --as changed nothing." in ran.stderr


def test_a_folder_without_sheets_is_told(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    ran = runner.invoke(app, ["import", str(tmp_path / "empty"), "--out", str(tmp_path / "clean")])
    assert isinstance(ran.exception, UnusableRequest)
    assert (
        ran.exception.finding.sentence == f"There is no sheet in {tmp_path / 'empty'}, so there is nothing to import."
    )


def test_questions_are_asked_at_a_terminal_until_the_answer_can_be_meant(tmp_path: Path) -> None:
    pty = pytest.importorskip("pty")
    keyboard, terminal = pty.openpty()
    second = own(tmp_path, "second.csv")
    command = [sys.executable, "-m", "bodytest", "import", own(tmp_path), second, "--out", tmp_path / "clean"]
    with subprocess.Popen(command, stdin=terminal, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as asking:
        os.write(keyboard, b"shine\ndry length\n")
        _, told = asking.communicate(timeout=300)
    assert asking.returncode == 0, told
    assert told.count("may mean “wet length” or “dry length”, so its column was not read.") == 1
    assert told.count("Which of our columns is it? (- passes it over) Enter leaves it open") == 2
    assert "“shine”" in told
    for name in ("own-clean.xlsx", "second-clean.xlsx"):
        assert openpyxl.load_workbook(tmp_path / "clean" / name)["Bars"]["E1"].value == "dry length (mm)"


def test_import_of_a_sheet_without_bars_writes_nothing(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("to buy,how many\nclay,3\n", encoding="utf-8")
    ran = run("import", tmp_path / "list.csv", "--out", tmp_path / "clean.xlsx")
    assert ran.exit_code == 2
    assert not (tmp_path / "clean.xlsx").exists()
