"""Files grown from the grammar: every cell is read as it was meant, by us and by readers of others."""

import math
import os
import random
import shutil
import subprocess
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest

from tests.grids.differences import differences
from tests.grids.grammar import FORMULAS, MAKERS, ODD, UNUSUAL, Choose, Made, harmed, made_ods, made_xlsx


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
        made = made_xlsx(choosing(seed), without=UNUSUAL)
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


MANIFEST = (
    '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0" manifest:version="1.2">'
    '<manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
    '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
)


@pytest.mark.office
def test_libreoffice_reads_the_same_numbers_and_texts(tmp_path: Path) -> None:
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None and not os.environ.get("CI"):
        pytest.skip("LibreOffice is not installed")
    assert program is not None
    grown = {f"{seed}.ods": made_ods(choosing(seed), manifest=MANIFEST) for seed in range(20)}
    grown |= {f"{seed + 100}.xlsx": made_xlsx(choosing(seed), without=UNUSUAL | FORMULAS) for seed in range(40)}
    for name, made in grown.items():
        (tmp_path / name).write_bytes(made.content)
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    flat = [program, profile, "--headless", "--convert-to", "fods", "--outdir", tmp_path / "flat"]
    subprocess.run([*flat, *(tmp_path / name for name in grown)], check=True, capture_output=True, timeout=300)
    unread, compared = [], 0
    for name, made in grown.items():
        theirs = cells_of_libreoffice((tmp_path / "flat" / name).with_suffix(".fods"))
        if not theirs:  # it does not look for a table whose target is written in another case
            unread.append(name)
            continue
        for place, holds in values_to_compare(made).items():
            assert alike(holds, theirs.get(place)), (name, place, holds, theirs.get(place))
            compared += 1
    assert compared > 1000
    assert len(unread) < 25
    assert all(name.endswith("xlsx") for name in unread)


def values_to_compare(made: Made) -> dict[tuple[int, int], Any]:
    """Return what the cells hold but for those that a spreadsheet program computes anew."""
    forms = dict(zip(sorted(made.cells), made.forms, strict=False)) if made.name == "made.ods" else {}
    return {p: holds for p, holds in made.cells.items() if holds is not ODD and forms.get(p) != "formula"}


def alike(holds: Any, theirs: Any) -> bool:
    """Say whether two values are one; spaces count alike, and a drawing's text is no part of a cell."""
    if isinstance(holds, float) or isinstance(theirs, float):
        return isinstance(theirs, float) and math.isclose(holds, theirs, rel_tol=1e-13)
    return isinstance(theirs, str) and holds.split() == theirs.removesuffix("\nDRAWN").split()


def cells_of_libreoffice(path: Path) -> dict[tuple[int, int], float | str]:
    """Return the filled cells of the first table as LibreOffice wrote it into one file of XML."""
    names = {k: f"urn:oasis:names:tc:opendocument:xmlns:{k}:1.0" for k in ("table", "office", "text")}
    table, office, text = (f"{{{address}}}" for address in names.values())
    cells: dict[tuple[int, int], float | str] = {}
    row = 1
    for line in ElementTree.parse(path).getroot().find(".//table:table", names).iter(f"{table}table-row"):
        column = 0
        for cell in line:
            value, repeats = cell.get(f"{office}value"), int(cell.get(f"{table}number-columns-repeated", "1"))
            if cell.get(f"{office}value-type"):
                shown = "\n".join("".join(paragraph.itertext()) for paragraph in cell.findall(f"{text}p"))
                cells |= {(row, column + n): shown if value is None else float(value) for n in range(repeats)}
            column += repeats
        row += int(line.get(f"{table}number-rows-repeated", "1"))
    return cells
