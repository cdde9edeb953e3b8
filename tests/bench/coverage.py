"""Does every interval and verdict that the program prints hold as often as it says? Simulated firings, one table.

Run: OMP_NUM_THREADS=1 python tests/bench/coverage.py                   the table, some minutes of one core
     OMP_NUM_THREADS=1 python tests/bench/coverage.py --runs 500        a quick look
     … --write tests/bench/coverage.md                                  keep it, with the date and the commit

The true values of simulated bars are known, so that it can be counted how often 95 % intervals hold them. The standard
error of a coverage of 95 % is 0.2 percentage points with 10 000 runs.
"""

import argparse
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench import comparison_coverage, control_coverage, programme_coverage, response_coverage, stage_coverage
from tests.bench.simulated_firings import Held, Layout, one_batch

SEED = 20240229
STEPS_MM = (0.01, 0.1, 0.5, 1.0)
HELD_HEADINGS = ("mean", "next", "tolerance", "wrong meets", "wrong does not")
STATEMENTS = {
    *HELD_HEADINGS, "at limit", "band", "percentile bootstrap", "peak",
    "wrong different", "wrong same", "cool end porous", "hot end overfired",
}  # fmt: skip


def main() -> None:
    options = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    options.add_argument("--runs", type=int, default=10_000, help="simulated firings for each row")
    options.add_argument("--write", type=Path, help="file to keep the table in")
    chosen = options.parse_args()
    start = time.process_time()
    lines = [_head(chosen.runs)]
    for section in (_one_batch, _others):
        for line in section(chosen.runs):
            print(line, flush=True)
            lines.append(line)
    lines[1:1] = list(_in_short(lines))
    lines.append(f"\n{(time.process_time() - start) / 60:.0f} minutes of one core.\n")
    if chosen.write:
        chosen.write.write_text("\n".join(lines), encoding="utf-8")


def _head(runs: int) -> str:
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False)
    return (
        "# How often intervals and verdicts hold\n\n"
        f"Made on {date.today()} at commit {commit.stdout.strip()} by `python tests/bench/coverage.py`,"
        f" {runs} simulated firings a row, seed {SEED}.\n\n"
        "95 % intervals should hold in 94 to 96 % where the model holds, and in at least 93 % with 3 to 10 batches and"
        " coarse steps; wrong decisions at the limit should be 5 % at most."
    )


def _in_short(lines: list[str]) -> Iterator[str]:
    """Yield the lowest and highest figure of each statement in each table."""
    yield "\n## In short\n"
    yield "| table | statement | lowest | highest |\n|---|---|---|---|"
    title, headings, found = "", [], {}
    for line in lines:
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if line.strip().startswith("##"):
            title, headings = line.strip(" #\n").split(" (")[0], []
        elif line.startswith("|---"):
            continue
        elif line.startswith("|") and not headings:
            headings = cells
        elif line.startswith("|"):
            for heading, cell in zip(headings, cells, strict=True):
                if heading in STATEMENTS and cell:
                    found.setdefault((title, heading), []).append(float(cell))
    for (table, statement), figures in found.items():
        yield f"| {table} | {statement} | {min(figures):.3f} | {max(figures):.3f} |"


def _rng(*cell: int) -> np.random.Generator:
    return np.random.default_rng([SEED, *cell])


def _table(title: str, headings: tuple[str, ...], rows: Iterator[tuple[object, ...]]) -> Iterator[str]:
    yield f"\n## {title}\n"
    yield "| " + " | ".join(headings) + " |"
    yield "|" + "---|" * len(headings)
    for row in rows:
        yield "| " + " | ".join(cell if isinstance(cell, str) else f"{cell:.3f}" for cell in row) + " |"


def _held(found: Held) -> tuple[float, ...]:
    return found.mean, found.next_bar, found.tolerance, found.wrong_meets, found.wrong_does_not_meet


def _one_batch(runs: int) -> Iterator[str]:
    cells = [
        Layout((n,), sd=0.2, step_mm=step, wet_sd_mm=wet_sd, calibration_mm=calibration)
        for n in (3, 5, 10, 30)
        for step in STEPS_MM
        for wet_sd in (0.3, 0.0)
        for calibration in ((0.0, 1.5) if step == 0.01 and wet_sd else (0.0,))
    ]
    rows = (
        (
            str(layout.sizes[0]), f"{layout.step_mm:g}", "free" if layout.wet_sd_mm else "template",
            f"{layout.calibration_mm:g}", *_held(one_batch(layout, runs, _rng(1, place))),
        )
        for place, layout in enumerate(cells)
    )  # fmt: skip
    headings = ("bars", "step mm", "marks", "calibration ± mm", *HELD_HEADINGS)
    yield from _table("One batch (bar SD 0.2 % shrinkage on 100 mm)", headings, rows)


def _others(runs: int) -> Iterator[str]:
    """Yield the sections that can be made on their own, too."""
    for other in (programme_coverage, response_coverage, comparison_coverage, control_coverage, stage_coverage):
        yield f"\n## {other.TITLE}\n"
        for section in other.SECTIONS:
            yield from section(runs)


if __name__ == "__main__":
    main()
