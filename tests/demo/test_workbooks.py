import zipfile
from pathlib import Path

import openpyxl
import pytest

from bodytest.demo.workbooks import write_demo_sheets

KEPT = Path(__file__).parents[2] / "sheets"


def parts(path: Path) -> dict[str, bytes]:
    """Read the parts inside: their compression may differ between machines, the content may not."""
    with zipfile.ZipFile(path) as workbook:
        return {name: workbook.read(name) for name in workbook.namelist()}


def differing(one: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    """Name the parts that differ: showing how two long parts differ takes minutes."""
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))


def test_the_kept_workbooks_are_the_ones_that_the_generator_makes(tmp_path: Path) -> None:
    made = write_demo_sheets(tmp_path)
    assert [path.name for path in made] == [
        "demo-complete.xlsx",
        "demo-half-filled.xlsx",
        "demo-mistakes.xlsx",
        "blank.xlsx",
    ]
    for path in made:
        assert differing(parts(path), parts(KEPT / path.name)) == [], f"remake sheets/{path.name}"


def test_the_workbooks_have_the_same_bytes_each_time(tmp_path: Path) -> None:
    first, second = write_demo_sheets(tmp_path / "first"), write_demo_sheets(tmp_path / "second")
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]


@pytest.mark.parametrize("name", ["demo-complete.xlsx", "demo-half-filled.xlsx", "demo-mistakes.xlsx"])
def test_every_sheet_of_a_demonstration_says_that_it_is_invented(name: str) -> None:
    for sheet in openpyxl.load_workbook(KEPT / name):
        assert str(sheet["A1"].value).upper().find("INVENTED DEMONSTRATION") >= 0, sheet.title
