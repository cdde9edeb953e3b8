"""Do pieces finish within the range planned from a later stage? Bars simulated stage by stage.

Run: OMP_NUM_THREADS=1 python tests/bench/stage_coverage.py                     the table, some minutes of one core
     … --runs 200                                                              a quick look
     … --write tests/bench/coverage.md                                         keep it, with the date and the commit

Bars that shrink more up to one stage shrink more up to the next. Workbooks of many bodies are read and analysed as any
other, and sizes are planned from their results. The standard error of a coverage of 95 % is 0.5 percentage points with
2000 bodies.
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.own_section import make_section, table
from tests.bench.simulated_sheets import one_programme, write_workbook

SEED = 20240305
TITLE = "Sizes from stage to stage"
STAGES = ("leather-hard", "dry", "fired")
NOW = ("wet", "leather-hard", "dry")
HEADINGS = ("bar", "body", "firing", "wet length (mm)", *(f"{stage} length (mm)" for stage in STAGES))
SHRINKAGE = np.array([3.0, 6.0, 12.0])
SD = np.array([0.15, 0.2, 0.25])
CORRELATION = 0.8
AT_ONCE = 100


def planned(bars: int, loads: int, runs: int, rng: np.random.Generator) -> dict[str, tuple[float, float, float]]:
    """Return of each stage how often its range holds the mean and a further piece, and the median ± of that."""
    held = {stage: np.zeros((0, 3)) for stage in NOW}
    for done in range(0, runs, AT_ONCE):
        for stage, found in _some(bars, loads, min(AT_ONCE, runs - done), rng).items():
            held[stage] = np.vstack([held[stage], found])
    return {stage: (*found[:, :2].mean(axis=0), float(np.median(found[:, 2]))) for stage, found in held.items()}


def _some(bars: int, loads: int, bodies: int, rng: np.random.Generator) -> dict[str, np.ndarray]:
    from bodytest import analyse, read_sheets
    from bodytest.plan.measured import Wanted
    from bodytest.plan.sizes import sizes

    load = np.repeat(np.arange(loads), bars)
    bar_root = np.linalg.cholesky(np.outer(SD, SD) * np.where(np.eye(3) == 1.0, 1.0, CORRELATION))
    of_load = 0.3 * (loads > 1) * rng.standard_normal((bodies, loads))[:, load, None] * np.array([0.0, 0.0, 1.0])
    shrinkage = SHRINKAGE + of_load + rng.standard_normal((bodies, load.size, 3)) @ bar_root.T
    wet = 100.0 + 0.3 * rng.standard_normal((bodies, load.size, 1))
    lengths = np.concatenate([wet, wet * (1.0 - shrinkage / 100.0)], axis=2).round(2)
    rows = [
        (f"{body}-{bar}", f"Body {body}", f"L{load[bar]}", *lengths[body, bar])
        for body in range(bodies)
        for bar in range(load.size)
    ]
    with tempfile.TemporaryDirectory() as folder:
        sheet = write_workbook(Path(folder, "bars.xlsx"), rows, one_programme(loads), {}, HEADINGS)
        results = analyse(read_sheets([sheet]))
    further = SHRINKAGE + rng.standard_normal((2000, 3)) @ bar_root.T
    further[:, 2] += 0.3 * (loads > 1) * rng.standard_normal(2000)
    found = {stage: np.empty((bodies, 3)) for stage in NOW}
    for body in range(bodies):
        for stage in NOW:
            (plan,) = sizes(results, "100mm", wanted=Wanted(body=f"Body {body}"), now=stage)
            fired = plan.at("fired")
            true, ends = _fired(stage, SHRINKAGE), _fired(stage, further)
            within = (plan.next_low_mm <= ends) & (ends <= plan.next_high_mm)
            half = (plan.next_high_mm - plan.next_low_mm) / 2.0
            found[stage][body] = fired.low_mm <= true <= fired.high_mm, within.mean(), half
    return found


def _fired(stage: str, shrinkage: np.ndarray) -> np.ndarray:
    """Return the finished size of a piece that measures 100 mm at a stage."""
    left = 1.0 - shrinkage / 100.0
    return 100.0 * left[..., 2] / (1.0 if stage == "wet" else left[..., STAGES.index(stage)])


def stage_by_stage(runs: int) -> Iterator[str]:
    """Yield the table of ranges from each stage to fired."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (bars, loads) in enumerate(((5, 1), (10, 1), (5, 3), (3, 6))):
            found = planned(bars, loads, max(runs // 5, 50), np.random.default_rng([SEED, place]))
            for stage in NOW:
                yield str(bars), str(loads), stage, *found[stage][:2], f"{found[stage][2]:.2f}"

    headings = ("bars of each load", "loads", "100 mm when", "mean", "next", "± mm of the next")
    yield from table("Finished size of a piece measured at a stage (a fifth of the bodies)", headings, rows())


SECTIONS = (stage_by_stage,)


if __name__ == "__main__":
    make_section(SECTIONS, title=TITLE, script="stage_coverage.py", what="bodies", seed=SEED)
