"""Codes of bodies in the rows of bars, and their names in a note or on a tab of their own."""

from pathlib import Path
from typing import Any

import pytest

from tests.intake.layouts.test_seen_before import HIGH, read, told

ROWS: list[list[Any]] = [["bar", "clay", "firing", "wet (mm)", "dry (mm)", "fired (mm)"]]
ROWS += [[bar, code, "K1", *HIGH[bar % 3]] for bar, code in enumerate(["A", "A", "B2", "B2"])]
FIRINGS = [["firing", "cone"], ["K1", "6"]]


def bodies(sheets: Any) -> list[str]:
    return list(dict.fromkeys(sheets.bars["body"]))


@pytest.mark.parametrize(
    "clays",
    [
        [["clay id", "clay name", "colour"], ["A", "Torvan", "red"], ["B2", "Chalk White", "white"]],
        [["clay", "name"], ["A", "Torvan"], ["B2", "Chalk White"], ["C", "Belden"]],
        [["Our clays"], [], ["Clay", "dug", "code"], ["Torvan", "2021", "A"], ["Chalk White", "", "B2"]],
    ],
)
def test_a_list_of_clays_names_the_bodies(tmp_path: Path, clays: list[Any]) -> None:
    sheets = read(tmp_path, Tests=ROWS, Clays=clays, Firings=FIRINGS)
    assert bodies(sheets) == ["Torvan", "Chalk White"]
    assert "Tests!B1 “clay” = body (by Clays!" in "".join(line for lines in sheets.seen for line in lines)
    assert "table-not-read" not in [code for code, _ in told(sheets)]


@pytest.mark.parametrize("note", [[["A = Torvan, B2 = Chalk White"]], [["A: Torvan"], ["B2: Chalk White"]]])
def test_a_note_names_the_bodies(tmp_path: Path, note: list[Any]) -> None:
    assert bodies(read(tmp_path, Tests=[*note, *ROWS])) == ["Torvan", "Chalk White"]
    assert bodies(read(tmp_path, Tests=[*ROWS, [], *note])) == ["Torvan", "Chalk White"]


@pytest.mark.parametrize(
    "note", ["A = Torvan, B2 = Torvan", "A was rolled, B2 was pressed", "Mixed and fired by A, B2 and C: Ana"]
)
def test_what_tells_no_names_leaves_the_codes(tmp_path: Path, note: str) -> None:
    assert bodies(read(tmp_path, Tests=[*ROWS, [], [note]])) == ["A", "B2"]


def test_a_name_is_no_code(tmp_path: Path) -> None:
    rows = [[cell if cell != "A" else "Torvan" for cell in row] for row in ROWS]
    clays = [["clay", "material"], ["Torvan", "Stoneware"], ["B2", "Porcelain"]]
    assert bodies(read(tmp_path, Tests=[*rows], Clays=clays))[0] == "Torvan"
