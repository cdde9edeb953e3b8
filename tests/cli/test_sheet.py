"""The command sheet, run as a user runs it."""

import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

pytestmark = pytest.mark.core


def bodytest(*arguments: str, folder: Path) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", "bodytest", *arguments], cwd=folder, capture_output=True, text=True, check=False
    )


def test_the_example_of_the_help_writes_a_workbook(tmp_path: Path) -> None:
    said = bodytest(
        "sheet", "trial.xlsx", "--body", "Drift Buff", "--firing", "F1:6", "--firing", "F2:7", "--bars", "10",
        "--suspended", folder=tmp_path,
    )  # fmt: skip
    assert said.returncode == 0
    assert said.stderr == ""
    assert said.stdout == (
        "Wrote trial.xlsx.\n"
        "Fill in the white cells day by day; the sheet Guide tells how.\n"
        "On the sheet Firings, write the purpose of F1, F2: bisque, final or test.\n"
        "Then: bodytest check trial.xlsx\n"
    )
    book = openpyxl.load_workbook(tmp_path / "trial.xlsx")
    assert book.sheetnames == ["Bars", "Firings", "Lab", "Pieces", "Specs", "Guide", "Lists"]
    assert [book["Firings"][cell].value for cell in ("A4", "F4", "A5", "F5")] == ["F1", "6", "F2", "7"]
    assert [book["Bars"][f"A{row}"].value for row in (4, 23, 24)] == ["RU1", "RU20", None]


def test_a_fresh_workbook_passes_the_check(tmp_path: Path) -> None:
    assert bodytest("sheet", "my trial.xlsx", "--marks", "2", folder=tmp_path).returncode == 0
    said = bodytest("check", "my trial.xlsx", folder=tmp_path)
    assert (said.returncode, said.stderr) == (0, "")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ["there.xlsx"],
            "STOP there.xlsx exists already and was left as it is.\n"
            "     → Choose another name, or move the old file away first. [file-exists]\n",
        ),
        (
            ["new.csv"],
            "STOP new.csv does not end in .xlsx.\n     → Give the workbook a name like trial.xlsx;"
            " spreadsheet programs go by the ending. [not-a-workbook-name]\n",
        ),
        (
            ["new.xlsx", "--firing", "F1:17"],
            "STOP --firing F1:17: '17' is no cone.\n     → Write the cone as on the chart, from 022 to 14,"
            " e.g. F1:06 or F2:6; a leading zero is part of the number. [no-such-cone]\n",
        ),
        (
            ["new.xlsx", "--bars", "0"],
            "STOP --bars 0 cannot be meant: it goes from 1 to 1000.\n"
            "     → Give --bars a whole number from 1 to 1000. [option-out-of-range]\n",
        ),
        (
            ["new.xlsx", "--no-lengths", "--no-masses"],
            "STOP --no-lengths and --no-masses cannot both be meant: nothing would be measured.\n"
            "     → Leave out one of --no-lengths and --no-masses. [nothing-to-measure]\n",
        ),
        (
            ["new.xlsx", "--no-masses", "--suspended"],
            "STOP --no-masses and --suspended cannot both be meant: nothing would be measured.\n"
            "     → Leave out one of --no-masses and --suspended. [nothing-to-measure]\n",
        ),
    ],
)
def test_wrong_wishes_are_told_in_a_sentence(arguments: list[str], told: str, tmp_path: Path) -> None:
    (tmp_path / "there.xlsx").write_bytes(b"weeks of work")
    said = bodytest("sheet", *arguments, folder=tmp_path)
    assert (said.returncode, said.stdout, said.stderr) == (2, "", told)
    assert [path.name for path in tmp_path.iterdir()] == ["there.xlsx"]
    assert (tmp_path / "there.xlsx").read_bytes() == b"weeks of work"


def test_a_firing_gets_its_purpose_from_its_name_and_never_silently(tmp_path: Path) -> None:
    firings = ("--firing", "Bisque:06", "--firing", "Glaze:6", "--firing", "C7:7", "--firing", "glaze test:5")
    said = bodytest("sheet", "blank.xlsx", *firings, folder=tmp_path)
    assert said.returncode == 0
    assert "\nOn the sheet Firings, write the purpose of C7, glaze test: bisque, final or test.\n" in said.stdout
    table = openpyxl.load_workbook(tmp_path / "blank.xlsx")["Firings"]
    headings = [cell.value for cell in table[3]]
    purposes = {row[0].value: row[headings.index("purpose")].value for row in table.iter_rows(min_row=4, max_row=7)}
    assert purposes == {"Bisque": "bisque", "Glaze": "final", "C7": None, "glaze test": None}
    told = bodytest("sheet", "told.xlsx", "--firing", "Bisque:06", folder=tmp_path)
    assert "purpose" not in told.stdout, "nothing is left to write"
