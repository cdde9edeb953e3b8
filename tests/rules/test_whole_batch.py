"""Readings are judged among all bars of their batch; a slip that the neighbours confirm is never used."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.bench.refusals import REFUSALS, codes_of, sheet
from tests.broken_sheets import make

HEAD = ["bar", "body", "batch", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)", "wet mass (g)"]
HEAD += ["dry mass (g)", "fired mass (g)"]
Rows = list[list[Any]]


def loads(seed: int, of: int = 4) -> Rows:
    """Return twelve invented bars of one batch in loads of four, fired hotter from load to load."""
    chance = np.random.default_rng(seed)
    rows: Rows = [list(HEAD)]
    for n in range(12):
        dry = 94.0 + chance.normal(0, 0.06)
        fired = dry * (0.95 - 0.01 * (n // of)) + chance.normal(0, 0.06)
        wet, mass = 1.42 + chance.normal(0, 0.001), 90 * (1 + chance.normal(0, 0.02))
        burnt = mass * (0.93 - chance.normal(0, 0.0003))
        readings = ((dry, 1), (fired, 1), (mass * wet, 2), (mass, 2), (burnt, 2))
        names = [f"A{n + 1}", "Invented", "M1", f"F{n // of + 1}"]
        rows.append([*names, 100.0, *(round(value, digits) for value, digits in readings)])
    return rows


def read(folder: Path, *files: Rows) -> CheckedSheets:
    for number, rows in enumerate(files):
        (folder / f"{number}.csv").write_bytes(make.text_of(rows))
    return read_sheets([folder / f"{number}.csv" for number in range(len(files))])


def told(sheets: CheckedSheets) -> list[tuple[str, str | None]]:
    return [(f.code, f.cell) for f in sheets.findings if f.level != "note"]


@pytest.mark.parametrize("seed", range(8))
def test_three_loads_of_four_bars_show_a_mass_three_grams_low_and_a_length_one_millimetre_low(
    tmp_path: Path, seed: int
) -> None:
    rows = loads(seed)
    assert told(read(tmp_path, rows)) == []
    rows[3][8] = round(rows[3][8] - 3, 2)
    rows[10][5] = round(rows[10][5] - 1, 1)
    found = told(read(tmp_path, rows))
    assert [cell for _, cell in found] == ["Bars!I4", "Bars!F11"]
    assert {code for code, _ in found} <= {"far-from-neighbours", "slip-confirmed"}


def test_a_loss_on_ignition_beside_others_twice_as_large_stands_apart(tmp_path: Path) -> None:
    rows = loads(5)
    for number, row in enumerate(rows[1:]):
        row[9] = round(row[8] * (1 - (0.0376 if number == 2 else 0.0693 + 0.00014 * (number % 11))), 2)
    ((code, cell),) = told(read(tmp_path, rows))
    assert (code, cell) == ("far-from-neighbours", "Bars!J4")


def test_a_batch_is_judged_over_a_workbook_for_each_load(tmp_path: Path) -> None:
    rows = loads(3)
    rows[3][5] = round(rows[3][5] - 1, 1)
    files = [[HEAD, *rows[start : start + 4]] for start in (1, 5, 9)]
    found = read(tmp_path, *files)
    assert [(f.sheet, f.cell) for f in found.findings if f.code == "far-from-neighbours"] == [("0.csv", "Bars!F4")]


@pytest.mark.parametrize("column", [5, 6, 7, 8, 9])
@pytest.mark.parametrize("kind", ["two digits in each other’s place", "a slipped decimal point"])
def test_a_confirmed_slip_is_refused_with_its_mend_and_the_rest_of_the_bar_is_used(
    tmp_path: Path, column: int, kind: str
) -> None:
    rows = loads(4)
    place = next(n for n in range(1, 13) if (text := f"{rows[n][column]:.10g}")[1] not in ("0", text[0]))
    meant = f"{rows[place][column]:.10g}"
    typed = meant[1] + meant[0] + meant[2:] if kind.startswith("two") else meant.replace(".", "") + "0"
    rows[place][column] = float(typed)
    sheets = read(tmp_path, rows)
    (found,) = [f for f in sheets.findings if f.level == "stop"]
    unit = "mm" if column < 7 else "g"
    assert found.cell == f"Bars!{'ABCDEFGHIJ'[column]}{place + 1}"
    assert f" {meant} {unit} instead of {float(typed):.8g} {unit} ({kind}) would fit its neighbours." in found.sentence
    readings = [sheets.marks[["dry_length_mm", "fired_length_mm"]], sheets.bars[["wet_mass_g", "dry_mass_g"]]]
    readings.append(sheets.bars[["fired_mass_g"]])
    assert sum(int(table.isna().to_numpy().sum()) for table in readings) == 1


def test_a_refired_bars_slip_before_the_firing_is_told_once(tmp_path: Path) -> None:
    rows = loads(6)
    rows[2][5] = round(rows[2][5] - 1.5, 1)
    rows += [[row[0], row[1], row[2], "F9", "", "", round(row[6] - 1, 1), "", "", ""] for row in rows[1:6]]
    assert told(read(tmp_path, rows)) == [("far-from-neighbours", "Bars!F3")]


def test_no_true_reading_is_refused_in_varied_clays(tmp_path: Path) -> None:
    bars = asked = 0
    for seed in range(20000, 20012):
        rows = sheet(np.random.default_rng(seed))
        found = codes_of(rows, tmp_path)
        bars += len(rows) - 1
        asked += sum(level == "ask" for level, _, _ in found)
        assert [code for _, code, _ in found if code in REFUSALS] == []
    assert bars > 200
    assert asked <= 3
