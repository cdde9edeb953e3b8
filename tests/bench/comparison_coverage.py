"""Do verdicts, paired intervals and counts hold as often as they say? Simulated bars whose true means are known.

Run: OMP_NUM_THREADS=1 python tests/bench/comparison_coverage.py                a table, some minutes of one core
     … --runs 500                                                              a quick look
     … --write tests/bench/coverage.md                                         keep it, with the date and the commit

Every verdict is the program's own, run by run. The standard error of 5 % is 0.2 percentage points with 10 000 runs.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np
from scipy.special import ndtr

sys.path.insert(0, str(Path(__file__).parents[2]))

from bodytest.analysis.bar_needs_words import TOO_FEW_TO_BE_SURE
from bodytest.analysis.comparable import paired_bars
from bodytest.analysis.compared_levels import Cell
from bodytest.plan.matching import Match, match
from bodytest.stats.effects import summarise_effects
from bodytest.stats.mean_differences import compare_means, level_mean
from bodytest.stats.replication import Components, Replicates, fewest_for_half_width, what_limits
from bodytest.stats.simultaneous import simultaneous
from bodytest.stats.summary import summarise_bars
from tests.bench.own_section import make_section, table
from tests.export.example_results import group, quantity, results

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


@dataclass(frozen=True)
class FiredAgain:
    """What was found of bars that were fired twice."""

    holds: float
    """The interval of the mean change holds the true one."""
    half_width: float
    """Its median half-width, percentage points."""
    as_strangers: float
    """That of the same bars compared as if they were different ones."""


def fired_again(bars: int, batches: int, step_mm: float, runs: int, rng: np.random.Generator) -> FiredAgain:
    """Fire bars of 100 mm twice: they differ by 0.4 points, batches by as much, and each changes by 0.3 ± 0.05."""
    held, widths, strangers = 0, [], []
    step = step_mm / 12**0.5 * np.hypot(1.0, 0.88)
    for _ in range(runs):
        own = 12.0 + 0.4 * rng.standard_normal((batches, 1)) + 0.4 * rng.standard_normal((batches, bars))
        wet = np.round((100.0 + 0.3 * rng.standard_normal(own.shape)) / step_mm) * step_mm
        values = []
        for shrinkage in (own, own + 0.3 + 0.05 * rng.standard_normal(own.shape)):
            fired = np.round(wet * (1.0 - shrinkage / 100.0) / step_mm) * step_mm
            values.append(100.0 * (wet - fired) / wet)
        cells = {
            name: {
                str(batch): Cell(of_batch, np.full(bars, step), bars * batch + np.arange(bars))
                for batch, of_batch in enumerate(of_firing)
            }
            for name, of_firing in zip(("F1", "F2"), values, strict=True)
        }
        found, _ = paired_bars(cells, ("F1", "F2"), "firing")
        levels = [level_mean(one.ravel()) for one in values]
        (same,) = compare_means(levels, paired={(0, 1): found[0, 1].mean})
        (other,) = compare_means(levels)
        held += same.low <= 0.3 <= same.high
        widths.append((same.high - same.low) / 2.0)
        strangers.append((other.high - other.low) / 2.0)
    return FiredAgain(held / runs, float(np.median(widths)), float(np.median(strangers)))


def pairs(runs: int) -> Iterator[str]:
    """Yield the table of bars fired twice."""

    def rows() -> Iterator[tuple[object, ...]]:
        cells = [(bars, batches, step) for bars in (3, 5, 10) for batches in (1, 2) for step in (0.01, 0.1)]
        for place, (bars, batches, step) in enumerate(cells):
            found = fired_again(bars, batches, step, runs, np.random.default_rng([SEED, 2, place]))
            yield str(bars), str(batches), f"{step:g}", found.holds, found.half_width, found.as_strangers

    headings = ("bars of each batch", "batches", "step mm", "paired interval holds", "±", "± as strangers")
    yield from table("Bars fired again (change 0.3 points)", headings, rows())


def reached(seen: int, half_width: float, chance: float, runs: int, rng: np.random.Generator) -> tuple[float, float]:
    """Return how often as many bars as were told reach a half-width, of the tests that had not; and their share."""
    done = asked = 0
    for _ in range(runs):
        bars = rng.standard_normal(seen)
        now = summarise_bars(bars)
        if now.high - now.mean <= half_width:
            continue
        number = fewest_for_half_width(Replicates("bars", now.sd, seen), half_width, chance)
        if number is None:
            continue
        then = summarise_bars(np.concatenate([bars, rng.standard_normal(number - seen)]))
        done += then.high - then.mean <= half_width
        asked += 1
    return done / asked, asked / runs


def reached_by_batches(
    seen: int, ratio: float, chance: float, runs: int, rng: np.random.Generator
) -> tuple[float, float]:
    """Return the same for batches of five bars whose own scatter is that of bars times a ratio."""
    done = asked = 0
    wanted = 0.6 * float(np.hypot(ratio, 5**-0.5))

    def summary(means: np.ndarray, off: np.ndarray):
        batch = np.repeat(np.arange(len(means)), 5)
        return summarise_effects((means[:, None] + off).ravel(), batch, np.zeros(batch.size, dtype=np.int64))

    for _ in range(runs):
        means, off = ratio * rng.standard_normal(seen), rng.standard_normal((seen, 5))
        now = summary(means, off)
        if now.high - now.mean <= wanted:
            continue
        limit = what_limits(Components(now.bar_sd, 5 * seen, now.batch_sd, seen))
        number = fewest_for_half_width(limit, wanted, chance)
        if number is None:
            continue
        further = number - seen
        means = np.concatenate([means, ratio * rng.standard_normal(further)])
        then = summary(means, np.concatenate([off, rng.standard_normal((further, 5))]))
        done += then.high - then.mean <= wanted
        asked += 1
    return done / asked, asked / runs


def counts(runs: int) -> Iterator[str]:
    """Yield the table of numbers that are told to be enough."""

    def rows() -> Iterator[tuple[object, ...]]:
        place = 0
        for seen in (2, 3, 5, 10):
            for wanted in (0.3, 0.5, 0.8):
                for chance in (0.5, 0.9):
                    place += 1
                    if seen == TOO_FEW_TO_BE_SURE and chance > 0.5:
                        continue  # no such number is told
                    found = reached(seen, wanted, chance, runs, np.random.default_rng([SEED, 3, place]))
                    yield f"{seen} bars", f"{wanted:g} SD", f"{chance:g}", *found
        for seen in (3, 5, 8):
            for ratio in (0.5, 2.0):
                for chance in (0.5, 0.9):
                    place += 1
                    found = reached_by_batches(
                        seen, ratio, chance, max(runs // 10, 50), np.random.default_rng([SEED, 3, place])
                    )
                    yield f"{seen} batches of 5", f"batches {ratio:g} × bars", f"{chance:g}", *found

    headings = ("seen", "wanted ±, or scatter", "chance told", "reached", "share of tests asked")
    yield from table("How many (of tests that had not reached it; batches with a tenth of the tests)", headings, rows())


@dataclass(frozen=True)
class Matched:
    """How often two pieces of different batches agree within what is told to be needed."""

    agree: float
    """They agree."""
    within_mm: float
    """Median of the difference that is to be allowed for, mm on 200 mm."""


def matching(batches: int, between: float, runs: int, rng: np.random.Generator) -> Matched:
    """Try what is told of a pair from batches of five bars that scatter by 0.15 points (loads are told alike)."""
    batch = np.repeat(np.arange(batches), 5)
    wet_mm, limits = 200.0 / 0.88, np.empty(runs)
    for run in range(runs):
        means, off = between * rng.standard_normal(batches), 0.15 * rng.standard_normal(batch.size)
        seen = summarise_effects(means[batch] + off, batch, np.zeros_like(batch))
        total = quantity("total_shrinkage", 12.0, seen.sd, seen.n, batch_sd=seen.batch_sd, bar_sd=seen.bar_sd)
        body = group(batches=tuple(map(str, range(batches))), total_shrinkage=total)
        limits[run] = match(results(body), Match("200mm", batches="different")).within_needed_mm
    apart_mm = wet_mm / 100.0 * np.sqrt(2.0) * np.hypot(between, 0.15)
    return Matched(float(np.mean(2.0 * ndtr(limits / apart_mm) - 1.0)), float(np.median(limits)))


def pieces(runs: int) -> Iterator[str]:
    """Yield the table of pieces that are to agree."""

    def rows() -> Iterator[tuple[object, ...]]:
        for place, (batches, between) in enumerate((b, sd) for b in (2, 3, 6) for sd in (0.0, 0.1, 0.2, 0.4)):
            found = matching(batches, between, max(runs // 5, 50), np.random.default_rng([SEED, 4, place]))
            yield str(batches), f"{between:g}", found.agree, f"{found.within_mm:.1f}"

    headings = ("batches or loads of 5 bars", "scatter between", "two pieces agree", "within mm on 200")
    yield from table(
        "Pieces of different batches or loads, told to agree at 95 % (a fifth of the tests)", headings, rows()
    )


def _listed(numbers: tuple[float, ...]) -> str:
    return " ".join(f"{one:g}" for one in numbers)


SECTIONS = (families, pairs, counts, pieces)


if __name__ == "__main__":
    make_section(SECTIONS, title=TITLE, script="comparison_coverage.py", what="tests", seed=SEED)
