"""Do answers hold for the next load and the next batch? Simulated programmes whose true values are known.

Run: OMP_NUM_THREADS=1 python tests/bench/programme_coverage.py                 the tables, some minutes of one core
     … --runs 500                                                              a quick look
     … --write tests/bench/coverage.md                                         keep it, with the date and the commit

Intervals should hold in at least 93 % (claim 95 %) and verdicts on a limit be wrong in 5.5 % at most. The standard
error of a coverage of 95 % is 0.2 percentage points with 10 000 runs.
"""

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.own_section import make_section, table
from tests.bench.simulated_firings import Held, Layout, several_batches
from tests.bench.simulated_programmes import Body, Programme, borrowed, programme, skewed

SEED = 20240302
TITLE = "Batches and loads"
HEADINGS = ("mean", "next", "tolerance", "wrong meets", "wrong does not")
EQUAL = {2: (5, 5), 3: (5,) * 3, 5: (5,) * 5, 10: (3,) * 10}
UNEQUAL = {2: (3, 10), 3: (3, 8, 15), 4: (2, 10, 10, 10), 5: (1, 2, 10, 3, 6), 10: (1, 2, 3, 4, 5, 2, 3, 4, 1, 5)}
LAYOUTS = {
    "3 batches in each of 3 loads, 2 bars": ((2, 2, 2),) * 3,
    "3 batches in each of 4 loads, 3 bars": ((3, 3, 3, 3),) * 3,
    "2 batches in each of 5 loads, 3 bars": ((3,) * 5,) * 2,
    "a chain: each load shares one batch with the next": ((3, 3, 0, 0), (0, 3, 3, 0), (0, 0, 2, 5)),
    "4 batches, 5 loads, uneven, 7 cells empty": ((2, 0, 0, 10, 1), (3, 3, 0, 0, 0), (0, 5, 5, 0, 2), (2, 0, 0, 2, 2)),
    "3 batches, each in 2 loads of its own": ((4, 4, 0, 0, 0, 0), (0, 0, 4, 4, 0, 0), (0, 0, 0, 0, 4, 4)),
    "4 batches in 8 loads of their own, uneven": (
        (1, 5, 2, 0, 0, 0, 0, 0), (0, 0, 0, 4, 2, 0, 0, 0), (0, 0, 0, 0, 0, 8, 0, 0), (0, 0, 0, 0, 0, 0, 1, 2),
    ),
    "4 pieces of 2 batches and 2 loads": tuple(
        tuple((3, 2, 1, 4)[2 * (row % 2) + column % 2] if row // 2 == column // 2 else 0 for column in range(8))
        for row in range(8)
    ),
}  # fmt: skip
"""Bars of each batch (rows) in each load (columns)."""
SCATTER = ((0.0, 0.0), (0.15, 0.0), (0.0, 0.15), (0.15, 0.15), (0.5, 0.1), (0.1, 0.5), (0.5, 0.5))
"""Between batches and between loads, beside 0.15 between bars."""


def _rng(*cell: int) -> np.random.Generator:
    return np.random.default_rng([SEED, *cell])


def _held(found: Held) -> tuple[object, ...]:
    figures = found.mean, found.next_bar, found.tolerance, found.wrong_meets, found.wrong_does_not_meet
    return tuple("" if np.isnan(figure) else figure for figure in figures)


def next_of_a_kind(runs: int) -> Iterator[str]:
    """Yield the table of the next load, or of the next batch, of which one at a time changes."""
    layouts = ((10,), (4, 3, 3), (2,) * 5, (1,) * 10, (5,) * 3, (5,) * 6, (2, 10, 10, 10))

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (scatter, sizes) in enumerate((s, sizes) for s in (0.0, 0.1, 0.2, 0.3) for sizes in layouts):
            found = programme(Programme((sizes,), load_sd=scatter), runs, _rng(1, place))
            speaks = "any load" if len(sizes) > 1 else "this load"
            yield _listed(sizes), f"{scatter:g}", speaks, "", *_held(found)
        for place, (scatter, number) in enumerate((s, number) for s in (0.1, 0.2, 0.3) for number in (3, 6, 10)):
            found = borrowed(10, scatter, 0.15, number, runs, _rng(2, place))
            yield "10", f"{scatter:g}", "any load", str(number), *_held(found)

        for place, (sizes, step) in enumerate((sizes, step) for sizes in ((10,), (5,) * 6) for step in (0.01, 0.1)):
            tried = Programme((sizes,), load_sd=0.1, step_mm=step, calibration_mm=0.1, errors_alike=False)
            speaks = "any load" if len(sizes) > 1 else "this load"
            name = f"{_listed(sizes)}, read to {step:g} mm by calipers of ± 0.1 mm"
            yield name, "0.1", speaks, "", *_held(programme(tried, runs, _rng(7, place)))

    headings = ("bars of each load", "scatter of loads", "speaks of", "scatter borrowed from loads", *HEADINGS)
    title = "The next load (or batch) of a programme, beside 0.15 points between bars"
    yield from table(title, headings, rows())


def batches_alone(runs: int) -> Iterator[str]:
    """Yield the table of several batches or several loads with coarse steps and a calibration error."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (sizes, correlation, step) in enumerate(
            (sizes, correlation, step)
            for sizes in (*EQUAL.values(), *UNEQUAL.values())
            for correlation in (0.0, 0.1, 0.3, 0.6, 0.9)
            for step in (0.01, 0.1, 1.0)
        ):
            layout = Layout(sizes, correlation, step_mm=step, calibration_mm=0.5 if step == 0.1 else 0.0)
            found = several_batches(layout, runs, _rng(3, place))
            yield _listed(sizes), f"{correlation:g}", f"{step:g}", f"{layout.calibration_mm:g}", *_held(found)

    headings = ("bars of each batch", "correlation", "step mm", "calibration ± mm", *HEADINGS)
    yield from table("Several batches alone (SD of a bar 0.3 %, batches included)", headings, rows())


def both(runs: int) -> Iterator[str]:
    """Yield the table of layouts with batches and loads."""

    def rows() -> Iterator[tuple[object, ...]]:
        cells = [(name, scatter, 0.01) for name in LAYOUTS for scatter in SCATTER]
        cells += [(name, scatter, 1.0) for name in list(LAYOUTS)[1:6:2] for scatter in ((0.0, 0.0), (0.15, 0.15))]
        for place, (name, (of_batch, of_load), step) in enumerate(cells):
            tried = Programme(LAYOUTS[name], of_batch, of_load, step_mm=step)
            yield name, f"{of_batch:g}", f"{of_load:g}", f"{step:g}", *_held(programme(tried, runs, _rng(4, place)))

    headings = ("layout", "scatter of batches", "of loads", "step mm", *HEADINGS)
    yield from table("Any batch in any load, beside 0.15 points between bars", headings, rows())


def long_tails(runs: int) -> Iterator[str]:
    """Yield the table of absorptions that cannot be negative."""
    bodies = (
        *(Body(bars, sigma=sigma) for sigma in (0.1, 0.2, 0.3, 0.5, 0.7) for bars in (3, 5, 10, 20)),
        *(Body(5, noise=noise) for noise in (0.1, 0.5, 1.0, 2.0)),
        *(Body(5, loads, 0.3, of_load) for loads in (3, 6) for of_load in (0.0, 0.2, 0.5)),
    )

    def rows() -> Iterator[tuple[object, ...]]:
        for place, body in enumerate(bodies):
            found = skewed(body, runs, _rng(6, place))
            yield (
                str(body.bars),
                str(body.loads),
                f"{body.sigma:g}",
                f"{body.load_sigma:g}",
                f"{body.noise:g}",
                *_held(found),
            )

    headings = ("bars of each load", "loads", "σ of bars", "σ of loads", "readings ±", *HEADINGS)
    yield from table("Lognormal absorptions with a mean of 1", headings, rows())


def _listed(numbers: tuple[int, ...]) -> str:
    return " ".join(str(one) for one in numbers)


SECTIONS = (next_of_a_kind, both, long_tails, batches_alone)


if __name__ == "__main__":
    make_section(SECTIONS, title=TITLE, script="programme_coverage.py", what="programmes", seed=SEED)
