"""Is a verdict on a limit reached as often as `bodytest plan` tells? Many tests made up on plain numbers, no sheets.

Run: nice python -m tests.bench.promises --write tests/bench/promises.md

Each row is a plan with so many loads at most. Bars, loads and batches scatter as it supposes, by normal steps that stop
at 0 or by lognormal factors ("skewed"); loads fall by a share of themselves for each °C in both. Verdicts are those of
the package: `effect_intervals` or `summarise_bars`, room for a long tail, `guarded_mean`, `decide`.
"""

import argparse
import subprocess
from collections.abc import Iterator
from datetime import date
from itertools import product
from pathlib import Path

import numpy as np

from bodytest.analysis.bar_needs import Wish, need_of_scatter
from bodytest.errors import UnusableRequest
from bodytest.stats.bar_count import bars_to_notice
from bodytest.stats.effect_intervals import effect_intervals
from bodytest.stats.mean_differences import compare_means, level_mean
from bodytest.stats.replication import Components
from bodytest.stats.skew import Positive, with_room_for_skew
from bodytest.stats.summary import shared_step_uncertainty, summarise_bars
from bodytest.trial.needs import needs_of
from bodytest.trial.promise import Need
from bodytest.trial.question import SHRINKAGE_SLOPE, Question
from tests.bench.further_bars import FURTHER, further_rows
from tests.bench.planned import question
from tests.bench.simulated_firings import cells_of_many, certainty, widths
from tests.stats.deciding import decide

SEED = 20291129
STEP = 100.0 * 0.01 / 12**0.5 * 2**0.5 / 90.0
"""Standard uncertainty of an absorption by masses of about 90 g read to 0.01 g, percentage points."""
BODIES = ("normal", "skewed")


def absorptions(asked: Question, need: Need, body: str, tests: int, draw: np.random.Generator) -> np.ndarray:
    """Return the absorption of each bar, one test a row, load after load."""
    scatter, loads = asked.scatter, need.loads
    off = np.exp(-scatter.absorption_fall * asked.kiln.off_c * draw.standard_normal((tests, loads, 1)))
    of_load = scatter.absorption * off
    bar, batch = asked.absorption_sds
    batches = (tests, need.batches, 1)
    scattered = _steps if body == "normal" else _factors
    values = scattered(of_load, batch, scatter.absorption, batches, draw)
    bars = (tests, loads, need.bars)
    values = scattered(values, bar, scatter.absorption, bars, draw)
    return np.maximum(values, 0.0).reshape(tests, -1)


def _steps(values, sd: float, mean: float, shape: tuple[int, ...], draw: np.random.Generator):
    return values + sd * draw.standard_normal(shape)


def _factors(values, sd: float, mean: float, shape: tuple[int, ...], draw: np.random.Generator):
    of_log = np.sqrt(np.log1p((sd / mean) ** 2))
    return values * np.exp(of_log * draw.standard_normal(shape) - of_log**2 / 2.0)


def verdicts(values: np.ndarray, need: Need, limit: float) -> list[str]:
    """Return what the package decides of each test."""
    if need.loads == 1:
        found = [summarise_bars(own, step_uncertainty=STEP) for own in values]
        known = [(one.mean, one.standard_uncertainty, one.degrees_of_freedom, one.sd) for one in found]
    else:
        load = np.repeat(np.arange(need.loads), need.bars)
        batch = load if need.batches > 1 else np.zeros_like(load)
        shared = np.array([shared_step_uncertainty(float(sd), STEP) for sd in values.std(axis=1, ddof=1)])
        many = effect_intervals(cells_of_many(values, batch, load), STEP, shared)
        known = zip(many.mean, *certainty(many), many.bar_sd, strict=True)
    return [decide(m, u, freedom, (None, limit), values=Positive(sd, STEP)) for m, u, freedom, sd in known]


def reached(asked: Question, need: Need, body: str, tests: int, draw: np.random.Generator) -> float:
    """Return the share of tests that end in the verdict that is told."""
    wanted = "meets" if asked.scatter.absorption < asked.limit else "does not meet"
    found = verdicts(absorptions(asked, need, body, tests, draw), need, asked.limit)
    return float(np.mean([one == wanted for one in found]))


def plans(expected: float, limit: float, one_batch: bool) -> Iterator[tuple[Question, Need]]:
    """Yield the plans that are made with one load at most, with two and so on, each number of loads once."""
    made = set()
    for most in range(1 + one_batch, 6):
        asked = question(("tight",), expected=expected, limit=limit, most_loads=most, one_batch=one_batch)
        try:
            (need,) = needs_of(asked)
        except UnusableRequest:
            continue  # too near to the limit, as the plan says
        if need.loads not in made:
            made.add(need.loads)
            yield asked, need


def rows(tests: int) -> Iterator[str]:
    """Yield the rows of the table."""
    cases = [(expected, limit, one) for expected, some in LIMITS.items() for limit in some for one in (False, True)]
    for place, (expected, limit, one_batch) in enumerate(cases):
        for asked, need in plans(expected, limit, one_batch):
            seeds = [np.random.default_rng([SEED, place, need.loads, body]) for body in range(len(BODIES))]
            found = [reached(asked, need, body, tests, draw) for body, draw in zip(BODIES, seeds, strict=True)]
            whom = "this load" if need.loads == 1 else "this batch" if one_batch else "the body"
            shares = " | ".join(f"{one:.3f}" for one in found)
            short = "" if min(found) >= need.expected - SHORT else "short"
            of = f"{expected:g} | {limit:g} | {whom} | {need.loads} × {need.bars}"
            yield f"| {of} | {need.expected:.3f} | {shares} | {short} |"


def others(tests: int) -> Iterator[str]:
    """Yield the rows of the other promises."""
    draw = np.random.default_rng(SEED)
    for loads, one_batch in product((2, 3, 4, 5), (False, True)):
        asked = question(("size",), half_width=0.1, most_loads=loads, one_batch=one_batch)
        (need,) = needs_of(asked)
        load = np.repeat(np.arange(loads), need.bars)
        of_load, of_bar = (sd * draw.standard_normal((tests, loads, n)) for sd, n in _sds(asked, need))
        values = (of_load + of_bar).reshape(tests, -1)
        many = effect_intervals(cells_of_many(values, load * (not one_batch), load), 0.0, np.zeros(tests))
        share = np.mean(widths(many)[0] <= need.expected)
        whom = "this batch" if one_batch else "any batch"
        yield f"| size | {whom} known to ± {need.expected:.2f} | {loads} × 5 | 0.80 | {share:.3f} | |"
    for sd, half_width in product((0.15, 0.3, 0.5), (0.5, 0.2)):
        found = need_of_scatter("absorption", Components(sd), Wish(half_width))
        for number, told in ((found.about_even, 0.5), (found.nine_in_ten, 0.9)):
            shares = " | ".join(f"{_within(sd, half_width, number, body, tests, draw):.3f}" for body in BODIES)
            yield f"| howmany | mean 1, sd {sd}, ± {half_width} | {number} bars | {told} | {shares} |"
    for difference in (12.1, 5.66, 3.08, 2.39, 1.0):
        bars = bars_to_notice(difference, 1.0)
        first, second = draw.standard_normal((2, tests, bars))
        pairs = ([level_mean(one), level_mean(other + difference)] for one, other in zip(first, second, strict=True))
        share = np.mean([compare_means(pair)[0].verdict == "different" for pair in pairs])
        yield f"| howmany | difference of {difference} sd noticed | {bars} bars each | 0.80 | {share:.3f} | |"


def _sds(asked: Question, need: Need) -> tuple[tuple[float, int], tuple[float, int]]:
    """Return by how much shrinkage scatters, and how often in a load: loads with their batches, and bars."""
    between = np.hypot(SHRINKAGE_SLOPE * asked.kiln.off_c, 0.0 if asked.one_batch else asked.scatter.batch)
    return (between, 1), (np.hypot(asked.scatter.bar, asked.reading), need.bars)


def _within(sd: float, half_width: float, bars: int, body: str, tests: int, draw: np.random.Generator) -> float:
    """Return the share of tests of one load whose mean, about 1, is known to a half-width."""
    values = (_steps if body == "normal" else _factors)(np.ones((tests, bars)), sd, 1.0, (tests, bars), draw)
    found = [with_room_for_skew(summarise_bars(own)) if body == "skewed" else summarise_bars(own) for own in values]
    return float(np.mean([(one.high - one.low) / 2.0 <= half_width for one in found]))


LIMITS = {
    0.1: (0.2, 0.3, 1.0),
    0.2: (0.5, 1.0, 2.0),
    0.5: (1.0, 1.5, 2.0),
    1.0: (0.7, 1.5, 3.0),
    2.0: (1.3, 3.0, 4.0),
    3.0: (2.0, 4.0, 6.0),
}
"""Limits to each expected absorption, %."""
SHORT = 0.03
"""Where fewer reach the verdict than told by more than this, the row says so."""
HEAD = """# Are verdicts reached as often as plans tell?

Made by `python -m tests.bench.promises --write tests/bench/promises.md`; each row is a plan, "told" the chance that it
tells, then the share of simulated tests that end in that verdict, for bodies that scatter by normal steps and by
lognormal factors. Then the other promises, the share of tests that keep them; where bars are skewed `howmany` says that
it does not hold. Last, of tests whose verdict was open and that were told how many further bars (or loads) "would
probably settle it", 0.67 told: the share that is settled by so many, with the true mean so many standard deviations
above (−) or below the limit, and of all of these together. Loads scatter as the row says, bars in them by half of it.
"""
COLUMNS = """| expected % | limit % | speaks of | loads × bars | told | normal | skewed | |
|---|---|---|---|---|---|---|---|"""

OTHERS = """| promise | asked | with | told | normal | skewed |
|---|---|---|---|---|---|"""


def _table(tests: int) -> str:
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False)
    made = f"{date.today()}, commit {commit.stdout.strip()}, {tests} tests a share, seed {SEED}"
    return "\n".join(
        [
            HEAD,
            f"{made}\n",
            COLUMNS,
            *rows(tests),
            "",
            OTHERS,
            *others(tests),
            "",
            FURTHER,
            *further_rows(tests // 20, SEED),
            "",
        ]
    )


if __name__ == "__main__":
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--tests", type=int, default=4000)
    options.add_argument("--write", type=Path)
    chosen = options.parse_args()
    table = _table(chosen.tests)
    print(table)
    if chosen.write:
        chosen.write.write_text(table, encoding="utf-8")
