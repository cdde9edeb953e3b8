"""Bars of several batches and loads made up with known true values, and how often what is said of them holds."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from bodytest.stats.borrowed import KnownScatter, borrow_scatter
from bodytest.stats.effect_intervals import effect_intervals
from bodytest.stats.effects import summarise_effects
from bodytest.stats.skew import Positive, with_room_for_skew
from bodytest.stats.summary import MeanSummary, shared_step_uncertainty, summarise_bars
from tests.bench.simulated_firings import Held, cells_of_many, certainty, held, read_off, widths
from tests.stats.deciding import decide

AT_ONCE = 500


@dataclass(frozen=True)
class Programme:
    """How bars were spread over batches and loads, what scatters, and how they were measured."""

    bars: tuple[tuple[int, ...], ...]
    """Bars of each batch (rows) in each load (columns)."""
    batch_sd: float = 0.0
    """Scatter between batches, % shrinkage; of batch and load together where each load holds a batch of its own."""
    load_sd: float = 0.0
    """Scatter between loads, % shrinkage."""
    bar_sd: float = 0.15
    """Scatter between bars of one batch in one load, % shrinkage."""
    step_mm: float = 0.01
    """Reading step."""
    wet_sd_mm: float = 0.3
    """Scatter of true wet lengths; 0 where a template sets the marks."""
    calibration_mm: float = 0.0
    """Expanded uncertainty (k = 2) of the length instrument."""
    errors_alike: bool = True
    """Whether it errs alike in wet and fired lengths."""


def programme(tried: Programme, runs: int, rng: np.random.Generator) -> Held:
    """Try every statement about the bars of a programme."""
    parts = [_some(tried, min(AT_ONCE, runs - done), rng) for done in range(0, runs, AT_ONCE)]
    sizes = [min(AT_ONCE, runs - done) for done in range(0, runs, AT_ONCE)]
    figures = np.average([list(vars(part).values()) for part in parts], axis=0, weights=sizes)
    return Held(*(float(figure) for figure in figures))


def _some(tried: Programme, runs: int, rng: np.random.Generator) -> Held:
    table = np.array(tried.bars)
    any_batch, any_load = table.shape[0] > 1, table.shape[1] > 1
    batch, load = np.nonzero(table)
    sizes = table[batch, load]
    batch_of_bar, load_of_bar = np.repeat(batch, sizes), np.repeat(load, sizes)
    of_batch = tried.batch_sd * rng.standard_normal((runs, table.shape[0]))
    of_load = tried.load_sd * rng.standard_normal((runs, table.shape[1]))
    mean = 12.0 + rng.random(runs)
    of_bar = tried.bar_sd * rng.standard_normal((runs, len(batch_of_bar)))
    shrinkage = mean[:, None] + of_batch[:, batch_of_bar] + of_load[:, load_of_bar] + of_bar
    known = mean + of_batch[:, 0] * (not any_batch) + of_load[:, 0] * (not any_load)
    read = read_off(shrinkage, known, tried, rng)
    shared = np.hypot(read.shared, read.calibration)
    found = effect_intervals(cells_of_many(read.values, batch_of_bar, load_of_bar), read.step, shared)
    sd = float(np.sqrt(tried.bar_sd**2 + tried.batch_sd**2 * any_batch + tried.load_sd**2 * any_load))
    return held(known, sd, found.mean, certainty(found), widths(found))


def borrowed(bars: int, load_sd: float, bar_sd: float, number: int, runs: int, rng: np.random.Generator) -> Held:
    """Try what one load and a scatter seen on other loads say of any load (or one batch of any batch)."""
    values = load_sd * rng.standard_normal((runs, 1)) + bar_sd * rng.standard_normal((runs, bars))
    elsewhere = load_sd * np.sqrt(rng.chisquare(number - 1, runs) / (number - 1))
    one_load = [0] * bars
    found = [
        borrow_scatter(
            summarise_effects(own, one_load, one_load), between_loads=KnownScatter(float(seen), number), confidence=0.95
        )
        for own, seen in zip(values, elsewhere, strict=True)
    ]
    mean, uncertainty, freedom, half, next_half = np.array(
        [(f.mean, f.standard_uncertainty, f.degrees_of_freedom, f.high - f.mean, f.next_high - f.mean) for f in found]
    ).T
    known, reached = (uncertainty, freedom), (half, next_half, next_half)
    found_held = held(np.zeros(runs), float(np.hypot(load_sd, bar_sd)), mean, known, reached)
    return replace(found_held, tolerance=float("nan"))


@dataclass(frozen=True)
class Body:
    """A body whose absorption cannot be negative: bars, and loads where there are several, differ by factors."""

    bars: int
    """Bars of each load."""
    loads: int = 1
    """Loads, all of one programme."""
    sigma: float = 0.5
    """Scatter of the logarithm of a bar's absorption."""
    load_sigma: float = 0.0
    """Scatter of the logarithm of the factor that a load has."""
    noise: float = 0.0
    """Standard deviation of the readings beside a true mean of 1."""


def skewed(body: Body, runs: int, rng: np.random.Generator) -> Held:
    """Try every statement about absorptions that are lognormal with mean 1."""
    load_of_bar = np.repeat(np.arange(body.loads), body.bars)
    logs = body.sigma * rng.standard_normal((runs, len(load_of_bar)))
    logs += body.load_sigma * rng.standard_normal((runs, body.loads))[:, load_of_bar]
    whole = np.hypot(body.sigma, body.load_sigma if body.loads > 1 else 0.0)
    values = np.exp(logs - whole**2 / 2.0) + body.noise * rng.standard_normal(logs.shape)
    found = [with_room_for_skew(one, body.noise) for one in _summaries(values, load_of_bar, body.noise)]
    low, high, next_low, next_high, around_low, around_high = np.array(
        [(f.low, f.high, f.next_low, f.next_high, f.tolerance_low, f.tolerance_high) for f in found]
    ).T

    def below(value):
        return np.where(value > 0.0, ndtr((np.log(np.maximum(value, 1e-300)) + whole**2 / 2.0) / whole), 0.0)

    def verdict(f, limit):
        values = Positive(f.sd, body.noise)
        return decide(f.mean, f.standard_uncertainty, f.degrees_of_freedom, (None, limit), values=values)

    return Held(
        float(np.mean((low <= 1.0) & (high >= 1.0))),
        float(np.mean(below(next_high) - below(next_low))),
        float(np.mean(below(around_high) - below(around_low) >= 0.95)),
        float(np.mean([verdict(f, 1.0 - 1e-9) == "meets" for f in found])),
        float(np.mean([verdict(f, 1.0) == "does not meet" for f in found])),
    )


def _summaries(values, load_of_bar, noise: float) -> Iterator[MeanSummary]:
    """Yield the summary of each row of values, of all rows at once where there are several loads."""
    if load_of_bar[-1] == 0:
        yield from (summarise_bars(own, step_uncertainty=noise) for own in values)
        return
    shared = np.array([shared_step_uncertainty(float(sd), noise) for sd in values.std(axis=1, ddof=1)])
    cells = cells_of_many(values, np.zeros_like(load_of_bar), load_of_bar)
    found = effect_intervals(cells, noise, shared)
    uncertainty, freedom = certainty(found)
    for sd, mean, u, nu, half, next_half, around in zip(
        found.bar_sd, found.mean, uncertainty, freedom, *widths(found), strict=True
    ):
        yield MeanSummary(
            n=load_of_bar.size, mean=mean, sd=sd, standard_uncertainty=u, degrees_of_freedom=nu,
            low=mean - half, high=mean + half, next_low=mean - next_half, next_high=mean + next_half,
            tolerance_low=mean - around, tolerance_high=mean + around,
        )  # fmt: skip
