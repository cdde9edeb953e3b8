"""Test firings made up with known true values, and how often what the program says of them holds."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, stdtrit

from bodytest.stats.design import cell_layout
from bodytest.stats.effect_intervals import EffectIntervals, effect_intervals
from bodytest.stats.restricted_likelihood import Cells
from bodytest.stats.summary import shared_step_uncertainty, summarise_bars
from bodytest.stats.variance_parts import half_width, matching_freedom, total_variance

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
    errors_alike: bool = True
    """Whether it errs alike in wet and fired lengths."""


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
    bars = sum(layout.sizes)
    batch_of_bar = np.repeat(np.arange(len(layout.sizes)), layout.sizes)
    true_mean = 12.0 + rng.random((runs, 1))
    of_batch = layout.sd * np.sqrt(layout.correlation) * rng.standard_normal((runs, len(layout.sizes)))
    of_bar = layout.sd * np.sqrt(1.0 - layout.correlation) * rng.standard_normal((runs, bars))
    shrinkage = true_mean + of_batch[:, batch_of_bar] + of_bar
    return read_off(shrinkage, true_mean[:, 0], layout, rng)


def read_off(shrinkage, true_mean, instruments, rng: np.random.Generator) -> Readings:
    """Read wet and fired lengths of bars of known shrinkage with a reading step and a calibration error."""
    (runs, bars), step = shrinkage.shape, instruments.step_mm
    wet = 100.0 + step * rng.random((runs, 1)) + instruments.wet_sd_mm * rng.standard_normal((runs, bars))
    offset = instruments.calibration_mm / 2.0 * rng.standard_normal((runs, 1))
    of_fired = offset if instruments.errors_alike else instruments.calibration_mm / 2.0 * rng.standard_normal((runs, 1))
    left = 1.0 - FIRED_SHARE if instruments.errors_alike else np.hypot(1.0, FIRED_SHARE)
    fired = np.round((wet * (1.0 - shrinkage / 100.0) + of_fired) / step) * step
    wet = np.round((wet + offset) / step) * step
    one = step / np.sqrt(12.0)
    part = np.vectorize(lambda sd: shared_step_uncertainty(float(sd), float(one)))
    return Readings(
        100.0 * (wet - fired) / wet,
        true_mean,
        np.hypot(FIRED_SHARE * part(wet.std(axis=1, ddof=1)), part(fired.std(axis=1, ddof=1))),
        float(one * np.hypot(1.0, FIRED_SHARE)),
        float(left * instruments.calibration_mm / 2.0),
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
    batch_of_bar = np.repeat(np.arange(len(layout.sizes)), layout.sizes)
    cells = cells_of_many(read.values, batch_of_bar, np.zeros_like(batch_of_bar))
    found = effect_intervals(cells, read.step, np.hypot(read.shared, read.calibration))
    return held(read.true_mean, layout.sd, found.mean, certainty(found), widths(found))


def cells_of_many(values, batch_of_bar, load_of_bar) -> Cells:
    """Return many data sets of one layout, one a row of the values, as cells."""
    layout, cell = cell_layout(batch_of_bar, load_of_bar)
    means = np.stack([values[:, cell == one].mean(axis=1) for one in range(len(layout.sizes))], axis=1)
    return Cells(layout, means, np.square(values - means[:, cell]).sum(axis=1))


def certainty(found: EffectIntervals):
    """Return standard uncertainty of the mean and its degrees of freedom."""
    uncertainty = np.sqrt(total_variance(found.parts))
    return uncertainty, matching_freedom(half_width(found.parts, CONFIDENCE), uncertainty, CONFIDENCE)


def widths(found: EffectIntervals):
    """Return half the interval of the mean, of the next bar and of most bars."""
    half, next_half = (half_width(parts, CONFIDENCE) for parts in (found.parts, found.next_parts))
    return half, next_half, found.tolerance_half_width


def held(true_mean, sd, mean, known, widths) -> Held:
    """Compare what was said with what is true."""
    half, next_half, around = widths
    uncertainty, freedom = known
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
