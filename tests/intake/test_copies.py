"""A marked copy given beside its original is passed over; given alone it is read."""

from pathlib import Path

import openpyxl
import pytest

from bodytest.analysis.analysing import analyse
from bodytest.cli.check import explanation
from bodytest.cli.watch import Watched
from bodytest.findings import catalogue
from bodytest.marked.copy import write_marked_copy
from bodytest.reading import read_sheets
from tests.broken_sheets import make

SAID = (
    "trial-marked.xlsx is a marked copy of trial.xlsx, which is read too, so the copy was passed over,"
    " with whatever was mended in it."
)


def marked(source: Path, target: Path) -> Path:
    target.parent.mkdir(exist_ok=True)
    write_marked_copy(source, read_sheets([source]).findings, target)
    return target


@pytest.fixture
def trial(tmp_path: Path) -> Path:
    path = tmp_path / "trial.xlsx"
    path.write_bytes(make.book_with(Bars=make.changed((3, "dry length (mm)", "about 94"))))
    return path


@pytest.mark.parametrize("copy_first", [True, False])
def test_a_marked_copy_beside_its_original_is_passed_over(trial: Path, copy_first: bool) -> None:
    copy = marked(trial, trial.parent / "trial-marked.xlsx")
    alone = read_sheets([trial])
    both = read_sheets([copy, trial] if copy_first else [trial, copy])
    assert len(both.bars) == len(alone.bars) == 10
    assert len(both.pieces) == len(alone.pieces) == 1
    assert [f.sentence for f in both.findings if f.sheet == copy.name] == [SAID]
    assert [f for f in both.findings if f.sheet != copy.name] == list(alone.findings)
    assert analyse(both).lab == analyse(alone).lab


def test_a_marked_copy_alone_is_read_with_what_was_mended_in_it(trial: Path) -> None:
    copy = marked(trial, trial.parent / "trial-marked.xlsx")
    book = openpyxl.load_workbook(copy)
    book["Bars"].cell(4, make.HEADINGS.index("dry length (mm)") + 1).value = 94.1
    book.save(copy)
    sheets = read_sheets([copy])
    assert len(sheets.bars) == 10
    assert sheets.findings == ()


def test_watch_gives_a_copy_and_its_original_to_the_reading_that_passes_the_copy_over(trial: Path) -> None:
    marked(trial, trial.parent / "trial-marked.xlsx")
    sheets = read_sheets(Watched(trial.parent, trial.parent / "report").sheets())
    assert len(sheets.bars) == 10
    assert [f.code for f in sheets.findings if f.sheet == "trial-marked.xlsx"] == ["marked-copy-beside-original"]


def test_a_copy_of_a_copy_is_passed_over_beside_either(trial: Path) -> None:
    copy = marked(trial, trial.parent / "trial-marked.xlsx")
    second = marked(copy, trial.parent / "again.xlsx")
    for given in ([trial, copy, second], [second, trial], [second, copy]):
        assert len(read_sheets(given).bars) == 10


def test_a_copy_in_another_folder_is_known_by_its_readings(trial: Path) -> None:
    copy = marked(trial, trial.parent / "marked" / "trial.xlsx")
    assert len(read_sheets([copy, trial]).bars) == 10
    other = trial.parent / "marked" / "other" / "trial.xlsx"
    other.parent.mkdir()
    other.write_bytes(make.book_with(Bars=[make.HEADINGS, *([*r[:6], *(v + 1 for v in r[6:16]), "", ""] for r in
                                           make.good_bars()[1:])]))  # fmt: skip
    assert len(read_sheets([copy, other]).bars) == 20


def test_a_copy_is_read_where_its_original_cannot_be(trial: Path) -> None:
    copy = marked(trial, trial.parent / "trial-marked.xlsx")
    trial.write_bytes(trial.read_bytes()[:2000])
    sheets = read_sheets([copy, trial])
    assert len(sheets.bars) == 10
    assert "marked-copy-beside-original" not in {f.code for f in sheets.findings}


def test_a_copy_of_a_text_table_is_passed_over_beside_it(tmp_path: Path) -> None:
    (tmp_path / "trial.csv").write_bytes(make.text_of(make.good_bars()))
    copy = marked(tmp_path / "trial.csv", tmp_path / "trial-marked.xlsx")
    assert len(read_sheets([tmp_path / "trial.csv", copy]).bars) == 10


@pytest.mark.parametrize("code", ["file-twice", "marked-copy-beside-original"])
def test_a_file_that_is_passed_over_is_not_explained_as_used(code: str) -> None:
    text = "\n".join(explanation(catalogue()[code]))
    assert "passed over" in text
    assert "used" not in text


def test_a_file_given_twice_leaves_what_the_lab_table_states(trial: Path) -> None:
    (trial.parent / "twin.xlsx").write_bytes(trial.read_bytes())
    results = analyse(read_sheets([trial, trial.parent / "twin.xlsx"]))
    assert results.lab.absorption_limit_percent == 3
    assert "lab-differs" not in {f.code for f in results.findings}
