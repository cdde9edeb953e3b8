"""Files grown from the grammar: every cell is read as it was meant, by us and by readers of others."""

import random
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.grids.differences import differences
from tests.grids.grammar import MAKERS, Choose, harmed, made_xlsx


def choosing(seed: int) -> Choose:
    source = random.Random(seed)
    return lambda n: source.randrange(n) if n > 0 else 0


@pytest.mark.parametrize("make", MAKERS)
def test_every_cell_is_read_as_it_was_meant(tmp_path: Path, make: Any) -> None:
    for seed in range(60):
        made = make(choosing(seed))
        assert differences(made, tmp_path)[1] == [], (seed, made.forms)


@pytest.mark.parametrize("make", MAKERS)
def test_harmed_files_are_told_without_a_traceback(tmp_path: Path, make: Any) -> None:
    for seed in range(60):
        choose = choosing(seed)
        assert differences(harmed(make(choose), choose), tmp_path)[1] == [], seed


def test_openpyxl_reads_the_same_numbers_and_texts_of_ordinary_workbooks(tmp_path: Path) -> None:
    compared = 0
    for seed in range(40):
        made = made_xlsx(choosing(seed), ordinary=True)
        (tmp_path / made.name).write_bytes(made.content)
        try:
            sheet = openpyxl.load_workbook(tmp_path / made.name, data_only=True)["Bars"]
        except (KeyError, ValueError):  # a target in another case, a dimension that is none
            continue
        for (row, column), holds in made.cells.items():
            if holds == "_x0041_":  # whose underscore is written as _x005F_, which openpyxl leaves as it stands
                continue
            read = sheet.cell(row, column + 1).value
            assert read == holds or str(read).strip() == str(holds).strip(), (seed, row, column, made.forms)
            compared += 1
    assert compared > 300
