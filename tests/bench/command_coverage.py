"""Do answers of the command line hold where bodies do what no model has? Simulated workbooks of many bodies.

Run: OMP_NUM_THREADS=1 python tests/bench/command_coverage.py --runs 1000       the tables, some minutes of one core
     … --runs 200                                                               a quick look
     … --write tests/bench/coverage.md                                          keep them, with the date and the commit

Each row writes workbooks, calls `bodytest results` or `bodytest compare`, and counts in the document that it prints
how often the true values are held. The standard error of 95 % is 0.7 percentage points with 1000 bodies.
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.own_section import make_section, table
from tests.bench.response_coverage import CLOSE, CONES_4_TO_7, LIMIT, Body
from tests.bench.simulated_sheets import (
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

SEED = 20240303
TITLE = "Through the command line"
AT_ONCE = 500
"""Bodies in one workbook."""
UNEVEN = (1, 2, 10, 3, 6)
PARTLY = ((2, 0, 0, 10, 1), (3, 3, 0, 0, 0), (0, 5, 5, 0, 2), (2, 0, 0, 2, 2))
KNOWN_LOADS = {"scatter between loads (points)": 0.3, "scatter between loads, from how many": 10}
KNOWN_BATCHES = {"scatter between batches (points)": 0.15, "scatter between batches, from how many": 10}
CALIPERS = {"length calibration ± (mm)": 0.1}


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


def programmes(runs: int) -> Iterator[str]:
    """Yield the table of answers for programmes."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (name, test) in enumerate(TESTS.items()):
            yield name, *_programme_row(test, runs, np.random.default_rng([SEED, 1, place]))

    headings = ("bars, 0.15 points between them", "speaks of", "mean", "next", "any batch and load: mean", "next")
    headings = (*headings, "borrowed: mean", "next")
    yield from table("Total shrinkage of programmes", headings, rows())


def _programme_row(test: Test, runs: int, rng: np.random.Generator) -> tuple[object, ...]:
    held, speak = [], set()
    for done in range(0, runs, AT_ONCE):
        made = simulate(test, min(AT_ONCE, runs - done), rng)
        with tempfile.TemporaryDirectory() as folder:
            sheet = write_workbook(Path(folder, "bars.xlsx"), made.rows, one_programme(len(test.bars[0])), test.lab)
            answered = told("results", sheet)["programmes"]
        held += [_programme_held(one, made) for one in answered]
        speak |= {f"{one['speaks_of']['batch']} batch, {one['speaks_of']['load']} load" for one in answered}
    if len(held) != runs:
        raise RuntimeError(f"{len(held)} programmes were answered for, of {runs}")
    return (" or ".join(sorted(speak)), *("" if np.isnan(one) else float(one) for one in np.mean(held, axis=0)))


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


ABSORPTIONS = ((0.1, 5, 1), (0.3, 5, 1), (0.5, 3, 1), (0.5, 5, 1), (0.5, 10, 1), (0.9, 5, 1), (0.5, 5, 4), (0.3, 3, 6))
"""σ of the logarithm of a bar, bars of each load, loads (whose own σ is 0.2)."""


def absorptions(runs: int) -> Iterator[str]:
    """Yield the table of skewed absorptions at their limit."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (sigma, bars, loads) in enumerate(ABSORPTIONS):
            found = _absorption_row(sigma, bars, loads, runs, np.random.default_rng([SEED, 2, place]))
            yield f"{sigma:g}", str(bars), str(loads), *found

    headings = ("σ of bars", "bars", "loads", "mean", "wrong meets", "wrong does not", "said that it may not hold")
    yield from table("Lognormal absorptions whose mean is the limit, loads σ 0.2", headings, rows())


def _absorption_row(sigma: float, bars: int, loads: int, runs: int, rng: np.random.Generator) -> tuple[float, ...]:
    headings = ("bar", "body", "firing", "fired mass (g)", "boiled mass (g)")
    lab = {"absorption limit (%)": LIMIT, "absorption method": "boil 5 h and soak 24 h", "mass reading step (g)": 0.001}
    load = np.repeat(np.arange(loads), bars)
    seen = []
    for done in range(0, runs, AT_ONCE):
        bodies = min(AT_ONCE, runs - done)
        whole = np.hypot(sigma, 0.2 * (loads > 1))
        logs = sigma * rng.standard_normal((bodies, load.size))
        logs += 0.2 * (loads > 1) * rng.standard_normal((bodies, loads))[:, load]
        boiled = np.round(100.0 + LIMIT * np.exp(logs - whole**2 / 2.0), 3)
        rows = [
            (f"{body}-{bar}", f"Body {body}", f"L{load[bar]}", 100.0, boiled[body, bar])
            for body in range(bodies)
            for bar in range(load.size)
        ]
        with tempfile.TemporaryDirectory() as folder:
            sheet = write_workbook(Path(folder, "bars.xlsx"), rows, one_programme(loads), lab, headings)
            document = told("results", sheet)
        for programme in document["programmes"]:
            found = programme["quantities"]["absorption"]
            seen.append(
                (
                    found["low"] <= LIMIT <= found["high"],
                    found["decision"] == "meets",
                    found["decision"] == "does not meet",
                    found["skew"] == "may not hold",
                )
            )
    if len(seen) != runs:
        raise RuntimeError(f"{len(seen)} absorptions were answered for, of {runs}")
    return tuple(float(one) for one in np.mean(seen, axis=0))


def temperatures(runs: int) -> Iterator[str]:
    """Yield the table of responses whose loads were not as hot as the kiln says."""

    def rows() -> Iterator[tuple[object, ...]]:
        cells = [(celsius, 20.0, wrong, True) for celsius in (CONES_4_TO_7, CLOSE) for wrong in (3.0, 6.0, 10.0)]
        cells += [(CLOSE, 20.0, wrong, False) for wrong in (0.0, 6.0)]
        for place, (celsius, steepness, wrong, stated) in enumerate(cells):
            body = Body(celsius, steepness, 0.4, wrong_c=wrong, bloats_c=30.0)
            found = _response_row(body, stated, runs, np.random.default_rng([SEED, 3, place]))
            yield " ".join(f"{one:.0f}" for one in celsius), f"{wrong:g}", "yes" if stated else "no", *found

    headings = ("firings °C", "wrong °C", "stated", "at limit", "width °C", "peak", "width °C", "window wrong")
    headings = (*headings, "said to hold for exact temperatures only")
    yield from table("Response to firing, 5 bars in each load (wrong: standard deviation)", headings, rows())


def _response_row(body: Body, stated: bool, runs: int, rng: np.random.Generator) -> tuple[float, ...]:
    headings = (*("bar", "body", "firing", "wet length (mm)", "fired length (mm)"), "fired mass (g)", "boiled mass (g)")
    lab = {"absorption limit (%)": LIMIT, "absorption method": "boil 5 h and soak 24 h"}
    celsius = np.array(body.temperatures_c)
    firings = [("firing", "peak temperature (°C)", *(("temperature ± (°C)",) if stated else ()))]
    firings += [(f"L{at}", one, *((2.0 * body.wrong_c,) if stated else ())) for at, one in enumerate(celsius)]
    load = np.repeat(np.arange(len(celsius)), body.bars)
    seen = []
    for done in range(0, runs, AT_ONCE):
        bodies = min(AT_ONCE, runs - done)
        true = (celsius + body.wrong_c * rng.standard_normal((bodies, len(celsius))))[:, load]
        fired = np.round(100.0 - body.shrinkage(true) - 0.2 * rng.standard_normal(true.shape), 2)
        boiled = np.round(100.0 + np.maximum(body.absorption(true) + body.sd * rng.standard_normal(true.shape), 0), 2)
        rows = [
            (f"{one}-{bar}", f"Body {one}", f"L{load[bar]}", 100.0, fired[one, bar], 100.0, boiled[one, bar])
            for one in range(bodies)
            for bar in range(load.size)
        ]
        with tempfile.TemporaryDirectory() as folder:
            document = told("results", write_workbook(Path(folder, "bars.xlsx"), rows, firings, lab, headings))
        seen += [_of_response(found, body) for found in document["responses"]]
    if len(seen) != runs:
        raise RuntimeError(f"{len(seen)} responses were answered for, of {runs}")
    at, at_width, peak, peak_width, wrong, said = np.array(seen, dtype=float).T
    widths = (f"{np.median(at_width):.0f}", f"{np.median(peak_width):.0f}")
    return (float(at.mean()), widths[0], float(peak.mean()), widths[1], float(wrong.mean()), float(said.mean()))


def _of_response(found: dict, body: Body) -> tuple[float, ...]:
    first, last = body.temperatures_c[0], body.temperatures_c[-1]

    def ends(read: dict) -> tuple[float, float]:
        return tuple(
            read[end] if read[end] is not None else outside for end, outside in (("low", first), ("high", last))
        )

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


def families(runs: int) -> Iterator[str]:
    """Yield the table of batches of unequal size and scatter that are compared."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (sizes, sds) in enumerate(FAMILIES):
            rng = np.random.default_rng([SEED, 4, place])
            alike = _wrong(sizes, sds, 0.0, "different", runs, rng)
            apart = _wrong(sizes, sds, 0.5, "same within tolerance", runs, rng)
            yield _listed(sizes), _listed(sds), alike, apart

    headings = ("bars of each batch", "scatter", "wrong different", "wrong same within 0.5 points")
    yield from table("Batches compared, each body by itself", headings, rows())


def _wrong(sizes, sds, apart: float, verdict: str, runs: int, rng: np.random.Generator) -> float:
    """Return how often some pair gets a wrong verdict: all means equal, or the first apart from the others."""
    batch = np.repeat(np.arange(len(sizes)), sizes)
    wrong = done = 0
    while done < runs:
        bodies = min(AT_ONCE, runs - done)
        means = np.where(batch == 0, 12.0 + apart, 12.0)
        shrinkage = means + np.array(sds)[batch] * rng.standard_normal((bodies, batch.size))
        wet = BAR_LENGTH + 0.3 * rng.standard_normal(shrinkage.shape)
        rows = [
            (f"{body}-{bar}", f"Body {body}", f"D{batch[bar]}", "L0", wet[body, bar], length)
            for body, lengths in enumerate(wet * (1.0 - shrinkage / 100.0))
            for bar, length in enumerate(lengths)
        ]
        lab = {"shrinkage tolerance (%)": 0.5, "length reading step (mm)": 0.001}
        with tempfile.TemporaryDirectory() as folder:
            sheet = write_workbook(Path(folder, "bars.xlsx"), rows, one_programme(1), lab)
            found = told("compare", sheet, "--by", "batch", "--json")["comparisons"]
        if len(found) != bodies:
            raise RuntimeError(f"{len(found)} bodies were compared, of {bodies}")
        for one in found:
            pairs = one["differences"]
            if apart:
                pairs = [pair for pair in pairs if "D0" in (pair["first"], pair["second"])]
            wrong += any(pair["verdict"] == verdict for pair in pairs)
        done += bodies
    return wrong / runs


BAR_LENGTH = 100.0


def _listed(numbers: tuple[float, ...]) -> str:
    return " ".join(f"{one:g}" for one in numbers)


SECTIONS = (programmes, absorptions, temperatures, families)


if __name__ == "__main__":
    make_section(SECTIONS, title=TITLE, script="command_coverage.py", what="bodies", seed=SEED)
