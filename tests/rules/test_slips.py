"""Slipped digits and swapped cells are found, and the sentence says what would mend them."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bodytest.findings import Finding
from bodytest.reading import read_sheets
from tests.broken_sheets import make

KEYS = ["wet length (mm)", "dry length (mm)", "fired length (mm)", "wet mass (g)", "dry mass (g)", "fired mass (g)"]
KEYS += ["boiled mass (g)", "suspended mass (g)"]
BARS = 10


def bars(seed: int) -> list[list[Any]]:
    """Return invented bars of one firing with usual scatter."""
    chance = np.random.default_rng(seed)
    rows: list[list[Any]] = [["bar", "body", "firing", *KEYS]]
    for i in range(BARS):
        wet = 100 + chance.normal(0, 0.2)
        dry = wet * (1 - 0.055 - chance.normal(0, 0.002))
        fired = dry * (1 - 0.065 - chance.normal(0, 0.002))
        mass = 60 * (1 + chance.normal(0, 0.02))
        masses = mass * np.array([1.32, 1.071, 1.0, 1.031, 0.6]) * (1 + chance.normal(0, 0.001, 5))
        rows.append([f"A{i}", "Marl Red", "F1", *np.round([wet, dry, fired], 1), *np.round(masses, 2)])
    return rows


def findings_about(rows: list[list[Any]], folder: Path, cell: str) -> list[Finding]:
    (folder / "slips.csv").write_bytes(make.text_of(rows))
    found = read_sheets([folder / "slips.csv"]).findings
    return [f for f in found if f.cell == cell or cell in f.sentence]


@pytest.mark.parametrize("key", range(len(KEYS)))
@pytest.mark.parametrize("power", [-3, -2, -1, 1, 2, 3])
def test_a_slipped_decimal_point_is_found_and_put_right(tmp_path: Path, key: int, power: int) -> None:
    rows = bars(17 * key + power + 3)
    meant = float(rows[4][3 + key])
    typed = f"{meant * 10.0**power:.8g}"
    rows[4][3 + key] = typed
    (found, *others) = findings_about(rows, tmp_path, f"Bars!{'DEFGHIJK'[key]}5")
    unit = "mm" if key < 3 else "g"
    assert (
        f" {meant:.8g} {unit} instead of {float(rows[4][3 + key]):.8g} {unit} (a slipped decimal point)"
        in found.sentence
    )
    assert others == []


@pytest.mark.parametrize(("first", "second"), [(0, 1), (1, 2), (0, 2), (3, 4), (4, 5), (5, 6), (6, 7), (3, 7)])
def test_two_readings_in_each_others_place_are_found_and_the_swap_is_named(
    tmp_path: Path, first: int, second: int
) -> None:
    rows = bars(100 + 10 * first + second)
    rows[4][3 + first], rows[4][3 + second] = rows[4][3 + second], rows[4][3 + first]
    found = findings_about(rows, tmp_path, f"Bars!{'DEFGHIJK'[second]}5")
    names = [KEYS[k].partition(" (")[0] for k in (first, second)]
    told = [f.sentence for f in found if "In each other’s place" in f.sentence]
    assert len(told) == 1
    assert all(name in told[0] for name in names)


def test_sound_bars_of_usual_scatter_are_hardly_ever_asked_about(tmp_path: Path) -> None:
    asked = 0
    for seed in range(40):
        (tmp_path / "sound.csv").write_bytes(make.text_of(bars(1000 + seed)))
        asked += len(read_sheets([tmp_path / "sound.csv"]).findings)
    assert asked <= 2  # of 400 bars with 8 readings each
