"""Do answers of the command line hold where bodies do what no model has? Simulated workbooks of many bodies.

Run: OMP_NUM_THREADS=1 python -m tests.bench.command_coverage --runs 1000       the tables, an hour of one core
     … --runs 100                                                               a quick look
     … --write tests/bench/coverage.md                                          keep them, with the date and the commit

Each row writes workbooks, calls `bodytest results` or `bodytest compare`, and counts in the document that it prints
how often the true values are held. All rows get a workbook in turn, and the tables are kept after each turn, so that a
run that is stopped loses nothing. The standard error of 95 % is 0.7 percentage points with 1000 bodies.
"""

import argparse
import gc
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.own_section import keep_section, table
from tests.bench.response_coverage import CLOSE, CONES_4_TO_7, LIMIT, Body
from tests.bench.simulated_sheets import (
    BAR_MM,
    FURTHER,
    Simulated,
    Test,
    heavy,
    one_odd_in_five,
    one_programme,
    simulate,
    skewed,
    told,
    write_workbook,
)

SEED = 20261129
TITLE = "Through the command line"
AT_ONCE = 50
"""Bodies in one workbook."""
UNEVEN = (1, 2, 10, 3, 6)
PARTLY = ((2, 0, 0, 10, 1), (3, 3, 0, 0, 0), (0, 5, 5, 0, 2), (2, 0, 0, 2, 2))
KNOWN_LOADS = {"scatter between loads (points)": 0.3, "scatter between loads, from how many": 10}
KNOWN_BATCHES = {"scatter between batches (points)": 0.15, "scatter between batches, from how many": 10}
CALIPERS = {"length calibration ± (mm)": 0.1}

Figures = list[tuple[float, ...]]
"""What was found of each body of a workbook; NaN where a row does not show it."""


@dataclass(frozen=True)
class Row:
    """A row of a table: what is simulated, and what is counted of each body."""

    names: tuple[str, ...]
    """First cells of the row."""
    of_bodies: Callable[[int, np.random.Generator], Figures]
    """Simulates so many bodies and returns what the command line says of each."""
    medians: tuple[int, ...] = ()
    """Figures that are shown as medians, in whole °C; all others are means."""

    def cells(self, found: Figures) -> tuple[object, ...]:
        """Return the cells of the row."""
        figures = np.array(found, dtype=float)
        shown = [
            f"{np.median(of_all):.0f}" if at in self.medians else "" if np.isnan(of_all).all() else of_all.mean()
            for at, of_all in enumerate(figures.T)
        ]
        return (*self.names, *shown)


def _own(sizes: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """Return the layout in which each load holds a batch of its own."""
    return tuple(tuple(size if at == row else 0 for at in range(len(sizes))) for row, size in enumerate(sizes))


TESTS = {
    "6 even loads": Test(((5,) * 6,), load_sd=0.3),
    "3 even loads": Test(((5,) * 3,), load_sd=0.3),
    "uneven loads": Test((UNEVEN,), load_sd=0.3),
    "uneven loads, no scatter between": Test((UNEVEN,)),
    "uneven batches": Test(tuple((size,) for size in UNEVEN), batch_sd=0.3),
    "batches and loads confounded": Test(_own((4,) * 5), batch_sd=0.2, load_sd=0.2),
    "confounded, uneven": Test(_own(UNEVEN), batch_sd=0.2, load_sd=0.2),
    "partly crossed, uneven": Test(PARTLY, batch_sd=0.2, load_sd=0.2),
    "partly crossed, uneven, batches rule": Test(PARTLY, batch_sd=0.5, load_sd=0.1),
    "partly crossed, uneven, loads rule": Test(PARTLY, batch_sd=0.1, load_sd=0.5),
    "skewed loads and bars": Test(((5,) * 6,), load_sd=0.3, draw=skewed, draw_bars=skewed),
    "skewed loads, uneven": Test((UNEVEN,), load_sd=0.3, draw=skewed),
    "heavy tails": Test(((5,) * 6,), load_sd=0.3, draw=heavy, draw_bars=heavy),
    "one load in five is off": Test(((5,) * 6,), load_sd=0.3, draw=one_odd_in_five),
    "skewed bars of one load": Test(((5,),), draw_bars=skewed),
    "one load": Test(((10,),), load_sd=0.3, lab=KNOWN_LOADS),
    "one batch": Test(((5, 5, 5, 5, 5, 5),), batch_sd=0.15, load_sd=0.1, lab=KNOWN_BATCHES),
    "calipers ± 0.1 mm, one load": Test(((10,),), calibration_mm=0.05, lab=CALIPERS),
    "calipers ± 0.1 mm, 6 loads": Test(((5,) * 6,), load_sd=0.1, calibration_mm=0.05, lab=CALIPERS),
}
OF_PROGRAMMES = (
    "bars, 0.15 points between them", "mean of whom it speaks", "next", "any batch and load: mean", "next",
    "borrowed: mean", "next",
)  # fmt: skip


def answered(test: Test, bodies: int, rng: np.random.Generator) -> Figures:
    """Return what the intervals of each programme hold."""
    made = simulate(test, bodies, rng)
    found = _told_of("programmes", bodies, made.rows, one_programme(len(test.bars[0])), test.lab)
    return [_programme_held(one, made) for one in found]


def _told_of(part: str, bodies: int, *workbook, call: tuple[str, ...] = ("results",)) -> list[dict]:
    """Write a workbook, call a command and return a part of what it prints, one piece for each body."""
    command, *options = call
    with tempfile.TemporaryDirectory() as folder:
        found: list[dict] = told(command, write_workbook(Path(folder, "bars.xlsx"), *workbook), *options)[part]
    if len(found) != bodies:
        raise RuntimeError(f"{len(found)} {part} were told of, of {bodies}")
    return found


def _programme_held(programme: dict, made: Simulated) -> tuple[float, ...]:
    """Return what the intervals of a programme hold: of whom they speak, of any batch and load, and borrowed."""
    body = int(programme["body"].removeprefix("Body "))
    total, speaks = programme["quantities"]["total_shrinkage"], programme["speaks_of"]
    this_batch, this_load = speaks["batch"] == "this", speaks["load"] == "this"
    found = (*_within(total, *made.truth(body, this_batch, this_load)), *_within(total, *made.truth(body)))
    if (borrowed := total["borrowed"]) is None:
        return (*found, np.nan, np.nan)
    still = this_batch and borrowed["batches"] is None, this_load and borrowed["loads"] is None
    return (*found, *_within(borrowed, *made.truth(body, *still)))


def _within(interval: dict, mean: float, further: np.ndarray) -> tuple[float, float]:
    """Return whether the interval of the mean holds it, and the share of further bars that the next one holds."""
    next_bar = (interval["next_low"] <= further) & (further <= interval["next_high"])
    return float(interval["low"] <= mean <= interval["high"]), float(next_bar.sum() / FURTHER)


ABSORPTIONS = (
    (0.1, 5, 1), (0.3, 5, 1), (0.5, 3, 1), (0.5, 5, 1), (0.5, 10, 1), (0.7, 5, 1), (0.9, 5, 1), (0.5, 5, 4), (0.3, 3, 6)
)  # fmt: skip
"""σ of the logarithm of a bar, bars of each load, loads (whose own σ is 0.2)."""
OF_ABSORPTIONS = ("σ of bars", "bars", "loads", "mean", "wrong meets", "wrong does not", "said that it may not hold")


def absorbed(sigma: float, bars: int, loads: int, bodies: int, rng: np.random.Generator) -> Figures:
    """Return what is said of each lognormal absorption whose mean is the limit."""
    headings = ("bar", "body", "firing", "fired mass (g)", "boiled mass (g)")
    lab = {"absorption limit (%)": LIMIT, "absorption method": "boil 5 h and soak 24 h", "mass reading step (g)": 0.001}
    load = np.repeat(np.arange(loads), bars)
    whole = np.hypot(sigma, 0.2 * (loads > 1))
    logs = sigma * rng.standard_normal((bodies, load.size))
    logs += 0.2 * (loads > 1) * rng.standard_normal((bodies, loads))[:, load]
    boiled = np.round(100.0 + LIMIT * np.exp(logs - whole**2 / 2.0), 3)
    rows = [
        (f"{body}-{bar}", f"Body {body}", f"L{load[bar]}", 100.0, boiled[body, bar])
        for body in range(bodies)
        for bar in range(load.size)
    ]
    answers = _told_of("programmes", bodies, rows, one_programme(loads), lab, headings)
    return [
        (
            found["low"] <= LIMIT <= found["high"],
            found["decision"] == "meets",
            found["decision"] == "does not meet",
            found["skew"] == "may not hold",
        )
        for found in (one["quantities"]["absorption"] for one in answers)
    ]


TEMPERATURES = (
    *((celsius, wrong, True) for celsius in (CONES_4_TO_7, CLOSE) for wrong in (3.0, 6.0, 10.0)),
    *((CLOSE, wrong, False) for wrong in (0.0, 6.0)),
)
"""Firings, standard deviation of the errors of their temperatures, and whether the sheet states them."""
OF_TEMPERATURES = (
    "firings °C", "wrong °C", "stated", "at limit", "width °C", "peak", "width °C", "window wrong",
    "said to hold for exact temperatures only",
)  # fmt: skip


def read_off(body: Body, stated: bool, bodies: int, rng: np.random.Generator) -> Figures:
    """Return what is read off each response whose loads were not as hot as the kiln says."""
    headings = ("bar", "body", "firing", "wet length (mm)", "fired length (mm)", "fired mass (g)", "boiled mass (g)")
    lab = {"absorption limit (%)": LIMIT, "absorption method": "boil 5 h and soak 24 h"}
    celsius = np.array(body.temperatures_c)
    firings = [("firing", "peak temperature (°C)", *(("temperature ± (°C)",) if stated else ()))]
    firings += [(f"L{at}", one, *((2.0 * body.wrong_c,) if stated else ())) for at, one in enumerate(celsius)]
    load = np.repeat(np.arange(len(celsius)), body.bars)
    true = (celsius + body.wrong_c * rng.standard_normal((bodies, len(celsius))))[:, load]
    fired = np.round(100.0 - body.shrinkage(true) - 0.2 * rng.standard_normal(true.shape), 2)
    boiled = np.round(100.0 + np.maximum(body.absorption(true) + body.sd * rng.standard_normal(true.shape), 0), 2)
    rows = [
        (f"{one}-{bar}", f"Body {one}", f"L{load[bar]}", 100.0, fired[one, bar], 100.0, boiled[one, bar])
        for one in range(bodies)
        for bar in range(load.size)
    ]
    answers = _told_of("responses", bodies, rows, firings, lab, headings)
    return [_of_response(found, body) for found in answers]


def _of_response(found: dict, body: Body) -> tuple[float, ...]:
    first, last = body.temperatures_c[0], body.temperatures_c[-1]

    def ends(read: dict) -> tuple[float, float]:
        low, high = read["low"], read["high"]
        return first if low is None else low, last if high is None else high

    (low, high), (cool, hot), window = ends(found["at_limit"]), ends(found["densest"]), found["safe_window"]
    return (
        low <= body.tight_c <= high, high - low,
        cool <= min(body.peak_c, last) <= hot, hot - cool,
        window is not None and (window[0] < body.tight_c or window[1] > body.peak_c),
        found["exact_temperatures_only"],
    )  # fmt: skip


FAMILIES = (
    ((2, 10, 10, 10), (0.3, 0.1, 0.1, 0.1)), ((5, 5, 5), (0.1, 0.1, 0.1)), ((3, 10), (0.3, 0.1)),
    ((2, 2, 2, 20, 20), (0.3, 0.3, 0.3, 0.1, 0.1)), ((10, 10, 10, 10), (0.3, 0.1, 0.1, 0.1)),
)  # fmt: skip
"""Bars of each batch of a body, and how they scatter."""
OF_FAMILIES = ("bars of each batch", "scatter", "true means", "wrong verdicts")


def compared(
    sizes: Sequence[int], sds: Sequence[float], apart: float, bodies: int, rng: np.random.Generator
) -> Figures:
    """Return whether some pair gets a wrong verdict: all means equal, or the first apart by the tolerance."""
    batch = np.repeat(np.arange(len(sizes)), sizes)
    means = np.where(batch == 0, 12.0 + apart, 12.0)
    shrinkage = means + np.array(sds)[batch] * rng.standard_normal((bodies, batch.size))
    wet = BAR_MM + 0.3 * rng.standard_normal(shrinkage.shape)
    rows = [
        (f"{body}-{bar}", f"Body {body}", f"D{batch[bar]}", "L0", wet[body, bar], length)
        for body, lengths in enumerate(wet * (1.0 - shrinkage / 100.0))
        for bar, length in enumerate(lengths)
    ]
    lab = {"shrinkage tolerance (%)": 0.5, "length reading step (mm)": 0.001}
    call = ("compare", "--by", "batch", "--json")
    answers = _told_of("comparisons", bodies, rows, one_programme(1), lab, call=call)
    verdict = "same within tolerance" if apart else "different"
    return [
        (
            any(
                pair["verdict"] == verdict and (not apart or "D0" in (pair["first"], pair["second"]))
                for pair in one["differences"]
            ),
        )
        for one in answers
    ]


def _listed(numbers: Sequence[float]) -> str:
    return " ".join(f"{one:g}" for one in numbers)


def _rows() -> dict[tuple[str, tuple[str, ...]], list[Row]]:
    """Return the rows of each table by its title and headings."""
    responses = [
        (celsius, wrong, stated, Body(celsius, 20.0, 0.4, wrong_c=wrong, bloats_c=30.0))
        for celsius, wrong, stated in TEMPERATURES
    ]
    return {
        ("Total shrinkage of programmes", OF_PROGRAMMES): [
            Row((name,), lambda bodies, rng, test=test: answered(test, bodies, rng)) for name, test in TESTS.items()
        ],
        ("Lognormal absorptions whose mean is the limit, loads σ 0.2", OF_ABSORPTIONS): [
            Row(tuple(f"{one:g}" for one in body), lambda bodies, rng, body=body: absorbed(*body, bodies, rng))
            for body in ABSORPTIONS
        ],
        ("Response to firing, 5 bars in each load (wrong: standard deviation)", OF_TEMPERATURES): [
            Row(
                (_listed(celsius), f"{wrong:g}", "yes" if stated else "no"),
                lambda bodies, rng, body=body, stated=stated: read_off(body, stated, bodies, rng),
                medians=(1, 3),
            )
            for celsius, wrong, stated, body in responses
        ],
        ("Batches compared, each body by itself", OF_FAMILIES): [
            Row(
                (_listed(sizes), _listed(sds), "first apart by the tolerance of 0.5 points" if apart else "equal"),
                lambda bodies, rng, test=(sizes, sds, apart): compared(*test, bodies, rng),
            )
            for sizes, sds in FAMILIES
            for apart in (0.0, 0.5)
        ],
    }


def in_turn(runs: int) -> Iterator[tuple[int, list[str]]]:
    """Yield after each turn how many bodies a row has by then, and the lines of all tables."""
    tables = _rows()
    found: dict[tuple[int, int], Figures] = {}
    for turn in range(max(runs // AT_ONCE, 1)):
        lines = []
        for at, ((title, headings), rows) in enumerate(tables.items()):
            for place, row in enumerate(rows):
                rng = np.random.default_rng([SEED, at, place, turn])
                found.setdefault((at, place), []).extend(row.of_bodies(min(AT_ONCE, runs), rng))
                print(turn, title, *row.names, sep=" | ", flush=True)
            cells = (row.cells(found[at, place]) for place, row in enumerate(rows))
            lines += table(title, headings, cells)
        yield (turn + 1) * min(AT_ONCE, runs), lines


def main() -> None:
    options = argparse.ArgumentParser(prog="command_coverage", description=TITLE)
    options.add_argument("--runs", type=int, default=1000, help="simulated bodies for each row")
    options.add_argument("--write", type=Path, help="file whose section is replaced")
    chosen = options.parse_args()
    gc.set_threshold(100_000, 50, 50)  # as the command line itself has it
    for bodies, lines in in_turn(chosen.runs):
        print(*lines, sep="\n", flush=True)
        if chosen.write:
            made_by = f"`python -m tests.bench.command_coverage --runs {bodies}`, {bodies} bodies a row, seed {SEED}"
            keep_section(chosen.write, TITLE, made_by, lines)


if __name__ == "__main__":
    main()
