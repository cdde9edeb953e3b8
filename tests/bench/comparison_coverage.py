"""Do verdicts and counts hold as often as they say? Simulated bars whose true means are known.

Run: OMP_NUM_THREADS=1 python tests/bench/comparison_coverage.py                a table, some minutes of one core
     … --runs 500                                                              a quick look
     … --write tests/bench/coverage.md                                         keep it, with the date and the commit

Every verdict is the program's own, run by run. The standard error of 5 % is 0.2 percentage points with 10 000 runs.
"""

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from bodytest.stats.simultaneous import simultaneous
from tests.bench.own_section import keep_section, table

SEED = 20240301
RISK = 0.05
TITLE = "Comparisons"
FAMILIES = (
    ((5, 5), (1, 1)), ((3, 3), (1, 3)), ((2, 10), (3, 1)), ((3, 10), (3, 1)), ((7, 15), (1.5, 1)), ((7, 30), (1.75, 1)),
    ((3, 3, 3), (1, 2, 4)), ((5, 5, 5), (1, 1, 1)), ((5, 5, 5), (1, 2, 4)), ((3, 10, 10), (1, 1, 1)),
    ((7, 7, 30), (2.5, 2.5, 1)), ((2, 10, 10, 10), (3, 1, 1, 1)), ((2, 10, 10, 10), (1, 1, 1, 1)),
    ((4, 4, 4, 30), (2, 2, 2, 1)), ((5, 5, 5, 5), (1, 1, 2, 3)), ((10, 10, 10, 30), (1, 1, 1, 1)),
    ((5,) * 5, (1, 1, 2, 3, 4)), ((6, 30, 30, 30, 30), (3, 1, 1, 1, 1)), ((13,) * 5, (1, 1.5, 2, 2.5, 3)),
    ((2, 2, 2, 2, 2, 30), (4, 4, 4, 4, 4, 1)), ((2,) * 5 + (20,) * 3, (1.3,) * 5 + (1,) * 3),
    ((2,) * 6 + (20, 20), (5, 5, 9, 6, 8, 13, 6, 2.5)), ((3,) * 5 + (20,) * 3, (6, 10, 15, 17, 20, 3, 3, 2.5)),
    ((22,) * 8, (1,) * 8),
)  # fmt: skip
"""Bars and scatter of what is compared: ordinary ones, and those that Games and Howell's intervals fail most."""


@dataclass(frozen=True)
class Verdicts:
    """How often verdicts on several means are wrong."""

    wrong_different: float
    """Some pair of equal means is called different."""
    wrong_same: float
    """Some pair that differs by the tolerance is called the same within it."""


def compared(sizes: tuple[int, ...], sds: tuple[float, ...], runs: int, rng: np.random.Generator) -> Verdicts:
    """Try the verdicts on means of as many bars as given."""
    bars = np.array(sizes, dtype=float)
    errors = np.array(sds) / np.sqrt(bars)
    means = rng.standard_normal((runs, len(sizes))) * errors
    variances = np.square(errors) * rng.chisquare(bars - 1.0, (runs, len(sizes))) / (bars - 1.0)
    patterns = [np.arange(len(sizes)) % 2, np.arange(len(sizes)) >= 1, np.arange(len(sizes)) >= len(sizes) - 1]
    different = np.zeros(runs, dtype=bool)
    same = np.zeros((len(patterns), runs), dtype=bool)
    for first, second in combinations(range(len(sizes)), 2):
        freedoms = (bars[first] - 1.0, bars[second] - 1.0)
        for run in range(runs):
            pair = (variances[run, first], variances[run, second])
            family = simultaneous(pair, freedoms, len(sizes))
            deviate = (means[run, second] - means[run, first]) / np.sqrt(pair[0] + pair[1])
            risk = family.risk(abs(deviate))
            different[run] |= risk <= RISK
            if risk > 2.0 * RISK:
                continue  # then neither side is below the risk
            falls = family.one_sided(abs(deviate)) <= RISK
            for at, pattern in enumerate(patterns):  # true means a tolerance apart, much wider than their errors
                apart = int(pattern[second]) - int(pattern[first])
                same[at, run] |= falls and apart * deviate < 0.0
    return Verdicts(float(different.mean()), float(same.mean(axis=1).max()))


def families(runs: int) -> Iterator[str]:
    """Yield the table of families of means."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (sizes, sds) in enumerate(FAMILIES):
            found = compared(sizes, sds, runs, np.random.default_rng([SEED, 1, place]))
            yield _listed(sizes), _listed(sds), found.wrong_different, found.wrong_same

    headings = ("bars", "scatter", "wrong different", "wrong same")
    yield from table("Several means (errors of all pairs together, at the worst differences)", headings, rows())


def _listed(numbers: tuple[float, ...]) -> str:
    return " ".join(f"{one:g}" for one in numbers)


SECTIONS = (families,)


def main() -> None:
    """Print the tables, and keep them where that is asked for."""
    options = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    options.add_argument("--runs", type=int, default=10_000, help="simulated tests for each row")
    options.add_argument("--write", type=Path, help="file whose section is replaced")
    chosen = options.parse_args()
    lines = []
    for section in SECTIONS:
        for line in section(chosen.runs):
            print(line, flush=True)
            lines.append(line)
    if chosen.write:
        made_by = f"`python tests/bench/comparison_coverage.py`, {chosen.runs} simulated tests a row, seed {SEED}"
        keep_section(chosen.write, TITLE, made_by, lines)


if __name__ == "__main__":
    main()
