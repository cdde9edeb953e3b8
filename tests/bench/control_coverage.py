"""Does a batch hold what is said of it when control bars correct it for its load? Simulated loads and batches.

Run: OMP_NUM_THREADS=1 python tests/bench/control_coverage.py                   a table, two minutes of one core
     … --runs 500                                                              a quick look
     … --write tests/bench/coverage.md                                         keep it, with the date and the commit

Every load holds bars of the control body and a batch of its own; the standard deviations are pooled over all loads, as
`bodytest.analysis.control_bars` does. What is tried is ± two standard uncertainties, which the page shows.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from bodytest.stats.control_bars import corrected_for_loads, few_known, load_history
from tests.bench.own_section import make_section, table

SEED = 20240304
TITLE = "Control bars"
BAR_SD = 0.15


@dataclass(frozen=True)
class Controlled:
    """Loads with control bars, and a batch of the same number of bars in each."""

    control: tuple[int, ...]
    """Control bars of each load."""
    bars: int = 5
    """Bars of each batch."""
    load_sd: float = 0.3
    """Scatter between loads, percentage points; that between bars is 0.15."""
    answers: float = 1.0
    """By how much the body answers to what makes the control body shrink by one point more."""


@dataclass(frozen=True)
class Corrected:
    """How often ± two standard uncertainties hold, and their median."""

    corrected: float
    """The corrected mean holds the batch's mean over these loads."""
    half_width: float
    """Two standard uncertainties of it, percentage points."""
    measured: float
    """The mean as measured holds the batch's mean over all loads to come."""
    measured_half_width: float
    """Two standard uncertainties of it, percentage points."""


def controlled(tried: Controlled, runs: int, rng: np.random.Generator) -> Corrected:
    """Try what is said of the batch in the first load."""
    loads, sizes = len(tried.control), np.array(tried.control)
    of_load = np.repeat(np.arange(loads), sizes)
    found = np.empty((runs, 4))
    for run in range(runs):
        kiln = tried.load_sd * rng.standard_normal(loads)
        rods = kiln[of_load] + BAR_SD * rng.standard_normal(of_load.size)
        clay = tried.answers * kiln[:, None] + BAR_SD * rng.standard_normal((loads, tried.bars))
        means = np.bincount(of_load, weights=rods) / sizes
        control_sd = np.sqrt(np.square(rods - means[of_load]).sum() / (of_load.size - loads))
        history = load_history(means.tolist(), sizes.tolist(), float(control_sd))
        bar_sd = few_known(loads * (tried.bars - 1)) * float(np.sqrt(clay.var(axis=1, ddof=1).mean()))
        measured = float(clay[0].mean())
        told = corrected_for_loads(measured, bar_sd / tried.bars**0.5, [tried.bars], history, [0])
        if told.corrected is None or told.corrected_uncertainty is None:
            raise RuntimeError("not corrected")
        half_widths = 2.0 * told.corrected_uncertainty, 2.0 * told.measured_uncertainty
        off = told.corrected - tried.answers * kiln.mean(), measured
        found[run] = *(abs(one) <= half for one, half in zip(off, half_widths, strict=True)), *half_widths
    widths = np.median(found[:, 2:], axis=0)
    return Corrected(float(found[:, 0].mean()), float(widths[0]), float(found[:, 1].mean()), float(widths[1]))


TRIED = (
    *(Controlled((2,) * loads) for loads in (2, 3, 6, 12)),
    *(Controlled((4,) * loads) for loads in (3, 6)),
    *(Controlled((2,) * 6, load_sd=scatter) for scatter in (0.0, 0.1)),
    Controlled((1, 2, 4, 2, 1, 6)), Controlled((6, 1, 2, 4, 2, 1)), Controlled((4,) * 6, bars=2),
    Controlled((4,) * 6, answers=0.7), Controlled((4,) * 6, answers=1.3),
)  # fmt: skip


def corrected_batches(runs: int) -> Iterator[str]:
    """Yield the table of batches that control bars correct."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, tried in enumerate(TRIED):
            found = controlled(tried, runs, np.random.default_rng([SEED, place]))
            bars = " ".join(str(one) for one in tried.control)
            yield bars, str(tried.bars), f"{tried.load_sd:g}", f"{tried.answers:g}", *vars(found).values()

    headings = ("control bars of each load", "bars of the batch", "scatter of loads", "answers to the kiln by")
    headings = (*headings, "corrected", "±", "as measured", "±")
    yield from table("The batch in the first load, ± two standard uncertainties", headings, rows())


SECTIONS = (corrected_batches,)


if __name__ == "__main__":
    make_section(SECTIONS, title=TITLE, script="control_coverage.py", what="tests", seed=SEED)
