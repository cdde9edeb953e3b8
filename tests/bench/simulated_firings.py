"""Test firings made up with known true values, and how often what the program says of them holds."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.special import ndtr, stdtrit

from bodytest.stats.batch_intervals import batch_intervals
from bodytest.stats.firing_response import LevelMeans, fit_response, temperature_at, temperature_of_peak
from bodytest.stats.isotonic import linear_between, rising_then_falling
from bodytest.stats.summary import shared_step_uncertainty, summarise_bars
from bodytest.stats.variance_components import BatchMoments

FIRED_SHARE = 0.88
"""Fired over wet length, about: the slope of shrinkage against the wet length, in % for each mm of 100 mm."""
CONFIDENCE = 0.95


@dataclass(frozen=True)
class Layout:
    """How bars were made and measured."""

    sizes: tuple[int, ...]
    """Bars of each batch."""
    correlation: float = 0.0
    """Share of the variance of one bar that lies between batches."""
    sd: float = 0.3
    """Standard deviation of the true shrinkage of one bar, %, batches included."""
    step_mm: float = 0.01
    """Reading step."""
    wet_sd_mm: float = 0.3
    """Scatter of true wet lengths; 0 where a template sets the marks."""
    calibration_mm: float = 0.0
    """Expanded uncertainty (k = 2) of the length instrument."""


@dataclass(frozen=True)
class Readings:
    """What was read off simulated bars, one row for each test firing."""

    values: np.ndarray
    """Shrinkage of each bar as read, shape (runs, bars)."""
    true_mean: np.ndarray
    """True mean over all batches to come, shape (runs,)."""
    shared: np.ndarray
    """The part of the reading step that all bars share, shape (runs,)."""
    step: float
    """Standard uncertainty of one value from the reading steps."""
    calibration: float
    """Standard uncertainty from calibration."""


def measure(layout: Layout, runs: int, rng: np.random.Generator) -> Readings:
    """Make bars, read their wet and fired lengths to the step, and work out what the instruments add."""
    bars, step = sum(layout.sizes), layout.step_mm
    batch_of_bar = np.repeat(np.arange(len(layout.sizes)), layout.sizes)
    true_mean = 12.0 + rng.random((runs, 1))
    of_batch = layout.sd * np.sqrt(layout.correlation) * rng.standard_normal((runs, len(layout.sizes)))
    of_bar = layout.sd * np.sqrt(1.0 - layout.correlation) * rng.standard_normal((runs, bars))
    shrinkage = true_mean + of_batch[:, batch_of_bar] + of_bar
    wet = 100.0 + step * rng.random((runs, 1)) + layout.wet_sd_mm * rng.standard_normal((runs, bars))
    offset = layout.calibration_mm / 2.0 * rng.standard_normal((runs, 1))
    fired = np.round((wet * (1.0 - shrinkage / 100.0) + offset) / step) * step
    wet = np.round((wet + offset) / step) * step
    one = step / np.sqrt(12.0)
    part = np.vectorize(lambda sd: shared_step_uncertainty(float(sd), float(one)))
    return Readings(
        100.0 * (wet - fired) / wet,
        true_mean[:, 0],
        np.hypot(FIRED_SHARE * part(wet.std(axis=1, ddof=1)), part(fired.std(axis=1, ddof=1))),
        float(one * np.hypot(1.0, FIRED_SHARE)),
        (1.0 - FIRED_SHARE) * layout.calibration_mm / 2.0,
    )


@dataclass(frozen=True)
class Held:
    """How often each statement about bars holds."""

    mean: float
    """The interval of the mean holds the true mean."""
    next_bar: float
    """The next interval holds the true value of a further bar (of a new batch, where several were seen)."""
    tolerance: float
    """The tolerance interval holds 95 % of all bars."""
    wrong_meets: float
    """`meets`, though the true mean is just above the limit."""
    wrong_does_not_meet: float
    """`does not meet`, though the true mean is just at the limit."""


def one_batch(layout: Layout, runs: int, rng: np.random.Generator) -> Held:
    """Try every statement about the bars of one batch."""
    read = measure(layout, runs, rng)
    found = [
        summarise_bars(
            values,
            confidence=CONFIDENCE,
            step_uncertainty=read.step,
            shared_uncertainty=float(shared),
            calibration_uncertainty=read.calibration,
        )
        for values, shared in zip(read.values, read.shared, strict=True)
    ]
    mean, uncertainty, freedom, half, next_half, around = np.array(
        [
            (f.mean, f.standard_uncertainty, f.degrees_of_freedom, f.high - f.mean, f.next_high - f.mean,
             f.tolerance_high - f.mean)
            for f in found
        ]
    ).T  # fmt: skip
    return held(read.true_mean, layout.sd, mean, (uncertainty, freedom), (half, next_half, around))


def several_batches(layout: Layout, runs: int, rng: np.random.Generator) -> Held:
    """Try every statement about the bars of several batches."""
    read = measure(layout, runs, rng)
    ends = np.cumsum((0, *layout.sizes))
    cells = [read.values[:, low:high] for low, high in pairwise(ends)]
    moments = BatchMoments(
        np.array(layout.sizes, dtype=float),
        np.stack([cell.mean(axis=1) for cell in cells], axis=1),
        sum(np.square(cell - cell.mean(axis=1, keepdims=True)).sum(axis=1) for cell in cells),
    )
    found = batch_intervals(moments, CONFIDENCE, read.step, np.hypot(read.shared, read.calibration))
    certainty = found.standard_uncertainty, found.degrees_of_freedom
    widths = found.half_width, found.next_half_width, found.tolerance_half_width
    return held(read.true_mean, layout.sd, found.mean, certainty, widths)


def held(true_mean, sd, mean, certainty, widths) -> Held:
    """Compare what was said with what is true."""
    half, next_half, around = widths
    uncertainty, freedom = certainty
    off = mean - true_mean
    margin = stdtrit(freedom, CONFIDENCE) * uncertainty

    def share_within(width):
        return ndtr((off + width) / sd) - ndtr((off - width) / sd)

    return Held(
        float(np.mean(np.abs(off) <= half)),
        float(np.mean(share_within(next_half))),
        float(np.mean(share_within(around) >= 0.95)),
        float(np.mean(off + margin <= 0.0)),
        float(np.mean(off - margin > 0.0)),
    )


@dataclass(frozen=True)
class Body:
    """How a body responds to firing."""

    temperatures_c: tuple[float, ...]
    """Temperatures of the test firings."""
    steepness_c: float
    """Width of the fall of absorption: from 90 to 10 % of it takes 4.4 times this."""
    middle: float
    """Where absorption is half way down, as a share of the tested range."""
    bars: int = 5
    """Bars at each temperature and batch."""
    batches: int = 1
    """Batches, each fired at every temperature."""
    sd: float = 0.35
    """Standard deviation of the absorption of one bar, %."""
    batch_sd: float = 0.3
    """Standard deviation between batches, where there are several."""
    limit: float = 3.0
    """Limit on absorption, %."""

    def absorption(self, celsius):
        """Return the true absorption, % (a logistic curve from 9 down to 0.3)."""
        low, high = self.temperatures_c[0], self.temperatures_c[-1]
        half_way = low + self.middle * (high - low)
        return 0.3 + 8.7 / (1.0 + np.exp((np.asarray(celsius) - half_way) / self.steepness_c))

    @property
    def tight_c(self) -> float:
        """Temperature at which the true absorption falls to the limit."""
        low, high = self.temperatures_c[0], self.temperatures_c[-1]
        return low + self.middle * (high - low) + self.steepness_c * float(np.log(8.7 / (self.limit - 0.3) - 1.0))


@dataclass(frozen=True)
class Temperatures:
    """How often what is read off a response holds."""

    at_limit: float
    """The interval holds the temperature at which the true curve reaches the limit."""
    band: float
    """The band holds the true curve, averaged over temperatures."""
    band_least: float
    """The same at the temperature where it does so least often."""
    width_c: float
    """Median width of the interval, °C, ends outside the tested range taken at its ends."""
    bootstrap: float
    """What a percentile bootstrap over bars would hold (not used by the program)."""


def fired(body: Body, runs: int, rng: np.random.Generator, *, resamples: int = 0) -> Temperatures:
    """Try what is read off the response of absorption."""
    celsius = np.array(body.temperatures_c)
    parts = [_tried(body, celsius, min(_AT_ONCE, runs - done), rng) for done in range(0, runs, _AT_ONCE)]
    reached, width, holds = (np.concatenate(column) for column in zip(*parts, strict=True))
    bootstrap = _bootstrap(body, celsius, rng, resamples) if resamples else float("nan")
    of_places = holds.mean(axis=0)
    return Temperatures(
        float(reached.mean()), float(of_places.mean()), float(of_places.min()), float(np.median(width)), bootstrap
    )


_AT_ONCE = 1000


def _tried(body: Body, celsius, runs: int, rng):
    """Return for some test firings whether the interval holds, how wide it is, and where the band holds."""
    curve = fit_response(_level_means(body, celsius, runs, rng), rises=False, confidence=CONFIDENCE)
    at = temperature_at(curve, body.limit)
    reached = (np.isnan(at.low) | (at.low <= body.tight_c)) & (np.isnan(at.high) | (at.high >= body.tight_c))
    width = np.where(np.isnan(at.high), celsius[-1], at.high) - np.where(np.isnan(at.low), celsius[0], at.low)
    true = body.absorption(curve.temperatures_c)
    return reached, width, ((curve.low <= true) & (true <= curve.high))[:, ::10]


def _level_means(body: Body, celsius, runs: int, rng) -> LevelMeans:
    """Fire bars of each batch at every temperature and average them as the program does."""
    of_batch = body.batch_sd * rng.standard_normal((runs, 1, body.batches, 1)) * (body.batches > 1)
    scatter = body.sd * rng.standard_normal((runs, len(celsius), body.batches, body.bars))
    readings = body.absorption(celsius)[:, None, None] + of_batch + scatter
    means, bars = readings.mean(axis=(2, 3)), np.full(len(celsius), float(body.bars * body.batches))
    if body.batches == 1:
        sd = readings[:, :, 0].std(axis=2, ddof=1)
        return LevelMeans(celsius, means, sd / np.sqrt(body.bars), np.full_like(means, body.bars - 1.0), bars)
    off = readings.mean(axis=3) - means[:, :, None]
    together = np.einsum("rib,rjb->rij", off, off) / (body.batches - 1.0) / body.batches
    own = np.sqrt(np.diagonal(together, axis1=1, axis2=2))
    return LevelMeans(celsius, means, own, np.full_like(means, body.batches - 1.0), bars, together)


def _bootstrap(body: Body, celsius, rng, resamples: int) -> float:
    """Return how often a percentile bootstrap of the pooled means, joined by straight lines, holds."""
    places, hits, firings = np.linspace(celsius[0], celsius[-1], 301), 0, 300
    for _ in range(firings):
        readings = body.absorption(celsius)[:, None] + body.sd * rng.standard_normal((len(celsius), body.bars))
        chosen = rng.integers(0, body.bars, (resamples, len(celsius), body.bars))
        means = np.take_along_axis(np.broadcast_to(readings, chosen.shape), chosen, axis=2).mean(axis=2)
        curves = linear_between(celsius, -rising_then_falling(-means), places)
        below = curves <= body.limit
        at = np.where(below.any(axis=1), places[below.argmax(axis=1)], places[-1])
        low, high = np.quantile(at, [0.025, 0.975])
        hits += low <= body.tight_c <= high
    return hits / firings


def peaked(temperatures_c: tuple[float, ...], peak_c: float, bars: int, runs: int, rng: np.random.Generator) -> float:
    """Return how often the interval of the peak of shrinkage holds the true one (a parabola 40 °C wide for 1 %)."""
    celsius = np.array(temperatures_c)
    readings = (
        13.0 - np.square((celsius - peak_c) / 40.0)[:, None] + 0.2 * rng.standard_normal((runs, len(celsius), bars))
    )
    sd = readings.std(axis=2, ddof=1) / np.sqrt(bars)
    freedom, number = np.full_like(sd, bars - 1.0), np.full(len(celsius), float(bars))
    peak = temperature_of_peak(LevelMeans(celsius, readings.mean(axis=2), sd, freedom, number), confidence=CONFIDENCE)
    holds = (np.isnan(peak.low) | (peak.low <= peak_c)) & (np.isnan(peak.high) | (peak.high >= peak_c))
    return float(holds.mean())
