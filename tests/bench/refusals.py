"""How many true readings are refused or asked about, and how many slips are found.

Run: python tests/bench/refusals.py 500     sheets of invented bars, about 20 each, some minutes for 500

Bodies, scatter, bar sizes, reading steps, loads and batches differ from sheet to sheet; a bar in fifty is truly odd
(twice the shrinkage's usual scatter and more), which may be asked about but never refused.
"""

import sys
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent.parent))
from bodytest.reading import read_sheets
from tests.broken_sheets import make

KEYS = ("wet length (mm)", "dry length (mm)", "fired length (mm)", "wet mass (g)", "dry mass (g)", "fired mass (g)")
KEYS += ("boiled mass (g)", "suspended mass (g)")
REFUSALS = ("slip-confirmed", "impossible-value")
Rows = list[list[Any]]


def sheet(chance: np.random.Generator) -> Rows:
    """Return an invented sheet without any slip."""
    rows: Rows = [["bar", "body", "batch", "firing", *KEYS]]
    step, gram = chance.choice([0.02, 0.1, 0.5, 1.0]), chance.choice([0.01, 0.1, 1.0], p=[0.5, 0.4, 0.1])
    length, mass = chance.choice([50.0, 100.0, 150.0]), chance.uniform(25, 200)
    scatter, cut = chance.uniform(0.0005, 0.004), chance.uniform(0.005, 0.1)
    for batch in range(chance.integers(1, 3)):
        drying, water, loss = chance.uniform(0.03, 0.09), chance.uniform(0.18, 0.35), chance.uniform(0.03, 0.12)
        for load in range(chance.integers(1, 5)):
            firing, soaks = chance.uniform(0.0, 0.1), chance.uniform(0.002, 0.15)
            for bar in range(chance.integers(3, 11)):
                odd = scatter * (chance.choice([1, 4], p=[0.98, 0.02]))
                wet = length * (1 + chance.normal(0, 0.002))
                dry = wet * (1 - drying - chance.normal(0, odd))
                fired = dry * (1 - firing - chance.normal(0, odd))
                body = mass * (1 + chance.normal(0, cut))
                burnt = body * (1 - loss - chance.normal(0, 0.0015))
                soaked = burnt * (1 + soaks * (1 + chance.normal(0, 0.05)))
                masses = [body * (1 + water + chance.normal(0, 0.004)), body, burnt, soaked, burnt * 0.58]
                values = [
                    *np.round(np.array([wet, dry, fired]) / step) * step,
                    *np.round(np.array(masses) / gram) * gram,
                ]
                rows.append([f"{batch}{load}{bar}", "Invented", f"B{batch}", f"F{load}", *np.round(values, 2)])
    return rows


def slipped(rows: Rows, chance: np.random.Generator) -> tuple[Rows, str, str]:
    """Return the sheet with one slip of the pen, its kind, and its cell."""
    rows = [list(row) for row in rows]
    row, place = int(chance.integers(1, len(rows))), int(chance.integers(4, 4 + len(KEYS)))
    kind = str(chance.choice(["point", "digits", "cells"]))
    text = f"{rows[row][place]:.10g}"
    other = 4 + (place - 4 + 1) % 3 if place < 7 else 7 + (place - 7 + 1) % 5
    if kind == "cells":
        rows[row][place], rows[row][other] = rows[row][other], rows[row][place]
    elif kind == "point":
        rows[row][place] = float(f"{rows[row][place] * 10.0 ** int(chance.choice([-1, 1])):.10g}")
    else:
        rows[row][place] = float(text[1] + text[0] + text[2:]) if text[1].isdigit() else rows[row][place]
    return rows, kind, f"Bars!{'ABCDEFGHIJKLMN'[place]}{row + 1}"


def codes_of(rows: Rows, folder: Path) -> list[tuple[str, str, str]]:
    """Return level, code and cell of what is told of a sheet."""
    (folder / "sheet.csv").write_bytes(make.text_of(rows))
    return [(f.level, f.code, f.cell or "") for f in read_sheets([folder / "sheet.csv"]).findings]


def main(sheets: int) -> None:
    """Print the counts."""
    told: Counter[str] = Counter()
    slips: Counter[tuple[str, str]] = Counter()
    bars = 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(sheets):
            chance = np.random.default_rng(seed)
            rows = sheet(chance)
            bars += len(rows) - 1
            told.update(f"{level} {code}" for level, code, _ in codes_of(rows, Path(folder)) if level != "note")
            broken, kind, cell = slipped(rows, chance)
            if broken != rows:
                levels = {level for level, _, at in codes_of(broken, Path(folder)) if at == cell}
                slips[kind, "stop" if "stop" in levels else "ask" if "ask" in levels else "silent"] += 1
    print(f"{bars} bars without a slip in {sheets} sheets: {dict(told)}")
    for (kind, level), count in sorted(slips.items()):
        print(f"{kind:7} {level:7} {count}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
