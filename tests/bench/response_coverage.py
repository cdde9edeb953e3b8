"""Does what is read off the response to firing hold? Simulated test firings, whose kilns are not as hot as they say.

Run: OMP_NUM_THREADS=1 python tests/bench/response_coverage.py                  the tables, some minutes of one core
     … --runs 500                                                               a quick look
     … --write tests/bench/coverage.md                                          keep them, with the date and the commit
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from bodytest.stats.firing_response import LevelMeans, fit_response, rising_then_falling, temperature_at
from bodytest.stats.response_peak import temperature_of_peak
from tests.bench.own_section import make_section, table

TITLE = "Response to firing"

CONFIDENCE = 0.95
SEED = 20240229
CONES_4_TO_7 = (1162.0, 1186.0, 1222.0, 1239.0)
WIDE = (1100.0, 1150.0, 1200.0, 1250.0)
CLOSE = (1160.0, 1180.0, 1200.0, 1220.0, 1240.0, 1260.0)
THREE = (1180.0, 1215.0, 1250.0)
WRONG_C = (0.0, 3.0, 6.0, 10.0)
"""Standard deviation of the error of a load's temperature, stated as ± twice that."""
LIMIT = 3.0
_AT_ONCE = 1000


@dataclass(frozen=True)
class Body:
    """How a body responds to firing, and how it is tested."""

    temperatures_c: tuple[float, ...]
    """Temperatures of the test firings, as read."""
    steepness_c: float
    """Width of the fall of absorption: from 90 to 10 % of it takes 4.4 times this."""
    middle: float
    """Where absorption is half way down, as a share of the tested range."""
    bars: int = 5
    """Bars at each temperature and batch."""
    batches: int = 1
    """Batches, each fired at every temperature."""
    wrong_c: float = 0.0
    """Standard deviation of the error of a load's temperature."""
    bloats_c: float = 30.0
    """How far above the temperature where it is tight it begins to bloat."""
    sd: float = 0.35
    """Standard deviation of the absorption of one bar, %; that of shrinkage is 0.2 %."""
    batch_sd: float = 0.3
    """Standard deviation between batches, where there are several."""

    @property
    def _middle_c(self) -> float:
        low, high = self.temperatures_c[0], self.temperatures_c[-1]
        return low + self.middle * (high - low)

    def absorption(self, celsius):
        """Return the true absorption, % (a logistic curve from 9 down to 0.3)."""
        return 0.3 + 8.7 / (1.0 + np.exp((np.asarray(celsius) - self._middle_c) / self.steepness_c))

    def shrinkage(self, celsius):
        """Return the true shrinkage, %: 6 to 12 as absorption falls, then off by 0.1 % for each °C of bloating."""
        celsius = np.asarray(celsius)
        rise = 12.0 - 6.0 / (1.0 + np.exp((celsius - self._middle_c) / self.steepness_c))
        return rise - 0.1 * 6.0 * np.logaddexp(0.0, (celsius - self.tight_c - self.bloats_c) / 6.0)

    @property
    def tight_c(self) -> float:
        """Temperature at which the true absorption falls to the limit."""
        return self._middle_c + self.steepness_c * float(np.log(8.7 / (LIMIT - 0.3) - 1.0))

    @property
    def peak_c(self) -> float:
        """Temperature at which the true shrinkage is largest."""
        near = np.linspace(self.tight_c - 100.0, self.tight_c + 200.0, 30001)
        return float(near[self.shrinkage(near).argmax()])


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
    parts = [_tried(body, min(_AT_ONCE, runs - done), rng) for done in range(0, runs, _AT_ONCE)]
    reached, width, holds = (np.concatenate(column) for column in zip(*parts, strict=True))
    bootstrap = _bootstrap(body, rng, resamples) if resamples else float("nan")
    of_places = holds.mean(axis=0)
    return Temperatures(
        float(reached.mean()), float(of_places.mean()), float(of_places.min()), float(np.median(width)), bootstrap
    )


def _tried(body: Body, runs: int, rng):
    """Return for some test firings whether the interval holds, how wide it is, and where the band holds."""
    curve = fit_response(_level_means(body, body.absorption, runs, rng), rises=False, confidence=CONFIDENCE)
    at = temperature_at(curve, LIMIT)
    true = body.absorption(curve.temperatures_c)
    return _holds(at, body.tight_c), _width(at, body), ((curve.low <= true) & (true <= curve.high))[:, ::10]


def _holds(read, true_c: float):
    return (np.isnan(read.low) | (read.low <= true_c)) & (np.isnan(read.high) | (read.high >= true_c))


def _width(read, body: Body):
    low, high = body.temperatures_c[0], body.temperatures_c[-1]
    return np.where(np.isnan(read.high), high, read.high) - np.where(np.isnan(read.low), low, read.low)


def _level_means(body: Body, truth, runs: int, rng, off_c=None, sd: float | None = None) -> LevelMeans:
    """Fire bars of each batch at every temperature, which is not quite the one read, and average them."""
    celsius = np.array(body.temperatures_c)
    off_c = body.wrong_c * rng.standard_normal((runs, len(celsius))) if off_c is None else off_c
    of_batch = body.batch_sd * rng.standard_normal((runs, 1, body.batches, 1)) * (body.batches > 1)
    scatter = (sd or body.sd) * rng.standard_normal((runs, len(celsius), body.batches, body.bars))
    readings = truth(celsius + off_c)[:, :, None, None] + of_batch + scatter
    means, bars = readings.mean(axis=(2, 3)), np.full(len(celsius), float(body.bars * body.batches))
    stated = np.full(len(celsius), body.wrong_c) if body.wrong_c else None
    if body.batches == 1:
        own = readings[:, :, 0].std(axis=2, ddof=1) / np.sqrt(body.bars)
        return LevelMeans(celsius, means, own, np.full_like(means, body.bars - 1.0), bars, None, stated)
    off = readings.mean(axis=3) - means[:, :, None]
    together = np.einsum("rib,rjb->rij", off, off) / (body.batches - 1.0) / body.batches
    own = np.sqrt(np.diagonal(together, axis1=1, axis2=2))
    return LevelMeans(celsius, means, own, np.full_like(means, body.batches - 1.0), bars, together, stated)


def _bootstrap(body: Body, rng, resamples: int) -> float:
    """Return how often a percentile bootstrap of the pooled means, joined by straight lines, holds."""
    celsius, hits, firings = np.array(body.temperatures_c), 0, 100
    places = np.linspace(celsius[0], celsius[-1], 301)
    for _ in range(firings):
        readings = body.absorption(celsius)[:, None] + body.sd * rng.standard_normal((len(celsius), body.bars))
        chosen = rng.integers(0, body.bars, (resamples, len(celsius), body.bars))
        means = np.take_along_axis(np.broadcast_to(readings, chosen.shape), chosen, axis=2).mean(axis=2)
        curves = np.array([np.interp(places, celsius, one) for one in -rising_then_falling(-means)])
        below = curves <= LIMIT
        at = np.where(below.any(axis=1), places[below.argmax(axis=1)], places[-1])
        low, high = np.quantile(at, [0.025, 0.975])
        hits += low <= body.tight_c <= high
    return hits / firings


PEAKS = {
    "parabola": lambda off: 13.0 - np.square(off / 40.0),
    "slow rise, quick fall": lambda off: 7.0 + 6.0 * np.exp(-0.5 * np.square(off / np.where(off < 0.0, 50.0, 15.0))),
    "quick rise, slow fall": lambda off: 7.0 + 6.0 * np.exp(-0.5 * np.square(off / np.where(off < 0.0, 20.0, 60.0))),
    "flat": lambda off: 13.0 - np.square(off / 90.0),
}
"""Shrinkage by distance from its peak."""


def peaked(
    shape: str, body: Body, peak_c: float, runs: int, rng: np.random.Generator, sd: float = 0.2
) -> tuple[float, float]:
    """Return how often the interval of the peak of shrinkage holds the true one, and its median width."""
    levels = _level_means(body, lambda celsius: PEAKS[shape](celsius - peak_c), runs, rng, sd=sd)
    peak = temperature_of_peak(levels, confidence=CONFIDENCE)
    return float(_holds(peak, peak_c).mean()), float(np.median(_width(peak, body)))


@dataclass(frozen=True)
class Windows:
    """How often the safe window is safe."""

    known: float
    """Share of firings that give a window."""
    porous: float
    """Share of all firings that give one whose cool end is not tight."""
    overfired: float
    """Share of all firings that give one whose hot end is past the peak."""
    width_c: float
    """Median width of those given, °C."""
    point_too_cool: float
    """Share in which the estimate of the cool end alone is more than 3 °C too cool."""


def windows(body: Body, runs: int, rng: np.random.Generator) -> Windows:
    """Try the safe window; the bars of a load share its wrong temperature."""
    parts = []
    for done in range(0, runs, _AT_ONCE):
        size = min(_AT_ONCE, runs - done)
        off_c = body.wrong_c * rng.standard_normal((size, len(body.temperatures_c)))
        at = temperature_at(fit_response(_level_means(body, body.absorption, size, rng, off_c), rises=False), LIMIT)
        peak = temperature_of_peak(_level_means(body, body.shrinkage, size, rng, off_c, sd=0.2))
        parts.append((at.celsius, at.high, peak.low))
    celsius, low, high = (np.concatenate(column) for column in zip(*parts, strict=True))
    known = low < high
    width = float(np.median((high - low)[known])) if known.any() else float("nan")
    return Windows(
        float(known.mean()),
        float((known & (low < body.tight_c)).mean()),
        float((known & (high > body.peak_c)).mean()),
        width,
        float((celsius < body.tight_c - 3.0).mean()),
    )


def _named(celsius: tuple[float, ...]) -> str:
    return " ".join(f"{one:.0f}" for one in celsius)


def _limits(runs: int) -> Iterator[str]:
    headings = ("firings °C", "steepness °C", "middle", "bars", "batches", "wrong °C", "at limit", "band",
                "band, least", "width °C", "percentile bootstrap")  # fmt: skip
    title = "Temperature at the limit of absorption (bootstrap: 100 runs, for comparison only)"
    yield from table(title, headings, _limit_rows(runs))


def _limit_rows(runs: int) -> Iterator[tuple[object, ...]]:
    tests = ((3, 1, 0.0), (10, 1, 0.0), (5, 3, 0.0), *((5, 1, wrong) for wrong in WRONG_C), (5, 3, 6.0))
    for place, (celsius, steepness, middle, (bars, batches, wrong)) in enumerate(
        (celsius, steepness, middle, test)
        for celsius in (CONES_4_TO_7, THREE, WIDE, CLOSE)
        for steepness in (15.0, 30.0, 60.0)
        for middle in (0.3, 0.5, 0.7)
        for test in tests
    ):
        body = Body(celsius, steepness, middle, bars, batches, wrong)
        if body.tight_c > celsius[-1]:
            continue
        compare = 300 if (bars, batches, wrong, middle) == (5, 1, 0.0, 0.5) else 0
        found = fired(body, runs, np.random.default_rng([SEED, 3, place]), resamples=compare)
        yield (
            _named(celsius), f"{steepness:g}", f"{middle:g}", str(bars), str(batches), f"{wrong:g}", found.at_limit,
            found.band, found.band_least, f"{found.width_c:.0f}", f"{found.bootstrap:.3f}" if compare else "",
        )  # fmt: skip


def _peaks(runs: int) -> Iterator[str]:
    headings = ("firings °C", "shape", "peak °C", "bars", "wrong °C", "peak", "width °C")
    yield from table("Temperature of the peak of shrinkage", headings, _peak_rows(runs))


def _peak_rows(runs: int) -> Iterator[tuple[object, ...]]:
    for place, (celsius, shape, share, (bars, wrong)) in enumerate(
        (celsius, shape, share, test)
        for celsius in (CONES_4_TO_7, WIDE, CLOSE)
        for shape in PEAKS
        for share in (0.45, 0.7, 0.95)
        for test in ((3, 0.0), (10, 0.0), *((5, wrong) for wrong in WRONG_C))
    ):
        peak = celsius[0] + share * (celsius[-1] - celsius[0])
        body = Body(celsius, 30.0, 0.5, bars, wrong_c=wrong)
        holds, width = peaked(shape, body, peak, runs, np.random.default_rng([SEED, 4, place]))
        yield _named(celsius), shape, f"{peak:.0f}", str(bars), f"{wrong:g}", holds, f"{width:.0f}"


def _windows(runs: int) -> Iterator[str]:
    headings = ("firings °C", "steepness °C", "bloats °C", "wrong °C", "window known", "cool end porous",
                "hot end overfired", "width °C", "true width °C", "estimate 3 °C too cool")  # fmt: skip
    yield from table("Safe window (wrong ends as shares of all firings)", headings, _window_rows(runs))


def _window_rows(runs: int) -> Iterator[tuple[object, ...]]:
    every_15 = tuple(np.arange(1150.0, 1271.0, 15.0))
    for place, (celsius, steepness, bloats, wrong) in enumerate(
        (celsius, steepness, bloats, wrong)
        for celsius in (CONES_4_TO_7, CLOSE, every_15)
        for steepness in (15.0, 30.0)
        for bloats in (5.0, 20.0, 40.0)
        for wrong in WRONG_C
    ):
        body = Body(celsius, steepness, 0.35, wrong_c=wrong, bloats_c=bloats)
        found = windows(body, runs, np.random.default_rng([SEED, 6, place]))
        width = f"{found.width_c:.0f}" if found.known else ""
        yield (
            _named(celsius), f"{steepness:g}", f"{bloats:g}", f"{wrong:g}", found.known, found.porous,
            found.overfired, width, f"{body.peak_c - body.tight_c:.0f}", found.point_too_cool,
        )  # fmt: skip


SECTIONS = (_limits, _peaks, _windows)


if __name__ == "__main__":
    make_section(SECTIONS, title=TITLE, script="response_coverage.py", what="firings", seed=SEED)
