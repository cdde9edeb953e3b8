"""Each broken sheet gives its findings, word for word as in findings.txt beside it.

After a wanted change of a sentence: ``python -m tests.broken_sheets.test_broken_sheets`` writes findings.txt anew.
"""

import sys
from pathlib import Path

import pytest

from bodytest.findings import catalogue
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.broken_sheets import make

HERE = Path(__file__).parent
GOLDEN = HERE / "findings.txt"
OF_SEVERAL = (
    ("firing-contradicts-1.xlsx", "firing-contradicts-2.xlsx"),
    ("copies-contradict-1.xlsx", "copies-contradict-2.xlsx"),
    ("joined-by-name-1.csv", "joined-by-name-2.csv"),
)
"""Sheets that are broken only beside each other."""
ALONE = [name for name in make.SHEETS if not any(name in names for names in OF_SEVERAL)]
TRIED_ELSEWHERE = {
    "file-not-found": "tests/grids/test_hostile_files.py",
    "file-is-folder": "tests/grids/test_hostile_files.py",
    "file-not-allowed": "tests/grids/test_hostile_files.py",
    "file-unreadable": "tests/grids/test_hostile_files.py",
    "file-harmful": "tests/grids/test_hostile_files.py",
    "macros-not-run": "tests/grids/test_hostile_files.py",
    "links-not-followed": "tests/grids/test_hostile_files.py",
    "cells-unaccounted": "tests/intake/test_account.py",
    "marked-copy-of-several": "tests/cli/test_check.py",
    "code-unknown": "tests/cli/test_check.py",
}
"""Codes of reading and checking that no committed sheet can trigger, with the tests that do."""


def told(sheets: CheckedSheets) -> str:
    """Return findings as they stand in findings.txt."""
    lines = [f"{f.level} [{f.code}] {f.cell or '-'}\n  {f.sentence}\n  {f.remedy}" for f in sheets.findings]
    return "\n".join(lines)


def all_told() -> dict[str, str]:
    """Return the findings of every broken sheet by its name."""
    texts = {name: told(read_sheets([HERE / name])) for name in ALONE}
    together = {" + ".join(names): told(read_sheets([HERE / name for name in names])) for names in OF_SEVERAL}
    return texts | together


def golden() -> dict[str, str]:
    parts = GOLDEN.read_text(encoding="utf-8").split("=== ")[1:]
    return {name: body.strip("\n") for name, _, body in (part.partition("\n") for part in parts)}


@pytest.fixture(scope="module")
def expected() -> dict[str, str]:
    return golden()


@pytest.mark.parametrize("name", ALONE)
def test_a_broken_sheet_is_told_word_for_word(name: str, expected: dict[str, str]) -> None:
    assert told(read_sheets([HERE / name])) == expected[name]


@pytest.mark.parametrize("names", OF_SEVERAL, ids=" + ".join)
def test_two_workbooks_that_do_not_go_together_are_told(names: tuple[str, ...], expected: dict[str, str]) -> None:
    assert told(read_sheets([HERE / name for name in names])) == expected[" + ".join(names)]


@pytest.mark.parametrize("name", ALONE)
def test_a_broken_sheet_triggers_the_code_that_it_is_named_after(name: str, expected: dict[str, str]) -> None:
    codes = {
        line.split("[")[1].split("]")[0] for line in expected[name].splitlines() if line[:1] in "san" and "[" in line
    }
    assert any(name.startswith(code) for code in codes)


def test_the_good_sheet_that_all_others_are_made_from_has_no_findings(tmp_path: Path) -> None:
    for name, content in (("good.csv", make.text_of(make.good_bars())), ("good.xlsx", make.book_with())):
        (tmp_path / name).write_bytes(content)
        assert told(read_sheets([tmp_path / name])) == ""


def test_every_code_of_reading_is_triggered_by_a_broken_sheet_or_tried_elsewhere(expected: dict[str, str]) -> None:
    package = HERE.parent.parent / "bodytest"
    reading = [
        package / "reading.py",
        *(p for d in ("grids", "intake", "lab", "rules") for p in (package / d).glob("*.py")),
    ]
    sources = "\n".join(p.read_text(encoding="utf-8") for p in reading)
    codes = [code for code in catalogue() if f'"{code}"' in sources]
    triggered = {code for code in codes if any(f"[{code}]" in text for text in expected.values())}
    texts = "\n".join(p.read_text(encoding="utf-8") for p in HERE.parent.rglob("test_*.py") if p != Path(__file__))
    assert len(codes) > 70
    assert [code for code in codes if code not in triggered and f'"{code}"' not in texts] == []


@pytest.mark.parametrize(("code", "where"), TRIED_ELSEWHERE.items())
def test_a_code_without_a_sheet_is_tried_where_it_says(code: str, where: str) -> None:
    assert f'"{code}"' in (HERE.parent.parent / where).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", make.SHEETS)
def test_the_committed_sheets_are_those_that_the_script_makes(name: str) -> None:
    committed, made = make.parts((HERE / name).read_bytes()), make.parts(make.SHEETS[name])
    assert committed.keys() == made.keys()
    assert [part for part in made if committed[part] != made[part]] == []


if __name__ == "__main__":
    GOLDEN.write_text("\n".join(f"=== {name}\n{text}\n" for name, text in all_told().items()), encoding="utf-8")
    sys.exit(0)
