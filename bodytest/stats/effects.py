"""Bars of several batches and loads: the mean, the next bar and most bars."""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from bodytest.stats.combined_freedom import MANY
from bodytest.stats.components import Components
from bodytest.stats.design import CellLayout, Design, FloatArray
from bodytest.stats.effect_intervals import EffectIntervals, effect_intervals
from bodytest.stats.restricted_likelihood import cells_of
from bodytest.stats.summary import MeanSummary, shared_step_uncertainty, summarise_bars
from bodytest.stats.variance_parts import Part, half_width, matching_freedom, total_variance


@dataclass(frozen=True, kw_only=True)
class EffectsSummary(MeanSummary):
    """Mean of bars and what a further bar will do: of any batch where several were tested, else of this one; so loads.

    Each batch and load counts in the mean by what its bars add to what is known (generalised least squares).
    """

    batches: int
    """Batches that they come from."""
    loads: int
    """Loads that they were in."""
    design: Design
    """How batches and loads lie to each other."""
    batch_sd: float | None = None
    """Standard deviation between batches; None where one was tested or where bars cannot be told from batches. Where
    the design is confounded it is that of batch and load together, and `load_sd` is the same one again."""
    load_sd: float | None = None
    """Standard deviation between loads, likewise."""
    bar_sd: float | None = None
    """Standard deviation between bars of one batch in one load."""
    model_standard_error: float | None = None
    """Standard error of the mean over any batch and load as mixed-model programs give it, which takes no account of how
    uncertain the three are; None without REML."""
    estimator: str = "none"
    """How the three were estimated."""
    parts: tuple[Part, ...] = ()
    """The variance of the mean by what it rests on, with the degrees of freedom of each."""
    next_parts: tuple[Part, ...] = ()
    """The same for the next bar."""


@dataclass(frozen=True)
class Instruments:
    """What the instruments add to the scatter of bars."""

    step: float = 0.0
    """Standard uncertainty of one bar's value from the reading steps [unit of the quantity]."""
    calibration: float = 0.0
    """Standard uncertainty from calibration, the same error in all bars [unit of the quantity]."""
    shared_step: float | None = None
    """The part of the reading-step uncertainty that is the same error in all bars; found from the scatter of the values
    when None [unit of the quantity]."""

    def shared(self, bars: FloatArray) -> FloatArray:
        """Return the standard uncertainty of the errors that are the same in all bars."""
        step = self.shared_step
        if step is None:
            step = shared_step_uncertainty(float(np.std(bars, ddof=1)), self.step)
        return np.asarray(np.hypot(step, self.calibration))


EXACT = Instruments()
"""Readings without errors of their own."""


def summarise_effects(
    values: npt.ArrayLike,
    batch_codes: npt.ArrayLike,
    load_codes: npt.ArrayLike,
    *,
    confidence: float = 0.95,
    instruments: Instruments = EXACT,
) -> EffectsSummary:
    """Return the mean of a body over batches and loads, and the intervals for it, for a further bar and for most bars.

    Parameters:
        values: one value for each bar [unit of the quantity].
        batch_codes: batch of each bar, any whole numbers [code].
        load_codes: load of each bar, any whole numbers [code].
        confidence: of the intervals of mean and next bar [fraction].
        instruments: what the instruments add.

    Equation: y = μ + b + l + e; variances by REML; mean Σ w_c ȳ_c by generalised least squares; its variance
        Σ (Σ w)² σ_b² + Σ (Σ w)² σ_l² + Σ w²/n σ_e², sums within batches, within loads and over cells, without a kind
        of which there is one; a further bar adds one of each; `variance_parts` says with how many degrees of freedom
        each part is known and `half_width` what follows

    Reference: Bates, Mächler, Bolker, Walker 2015, doi 10.18637/jss.v067.i01 (components and mean);
        `bodytest.stats.variance_parts` (intervals), held by simulation. Worked values: Davies & Goldsmith 1972, 6.4
        (dyestuff), 42.0, 49.51, 1527.5 and standard error 19.383.

    >>> dyestuff = [1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
    ...             1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445]
    >>> found = summarise_effects(dyestuff, [bar // 5 for bar in range(30)], [0] * 30)
    >>> print(f"{found.batch_sd:.2f} {found.bar_sd:.2f} {found.mean:.1f} {found.standard_uncertainty:.3f}")
    42.00 49.51 1527.5 19.383
    >>> found.batches, found.loads, found.design
    (6, 1, 'batches')
    """
    bars = np.asarray(values, dtype=np.float64)
    cells = cells_of(bars, batch_codes, load_codes)
    if len(cells.layout.sizes) == 1:
        return _of_one_cell(bars, cells.layout, confidence, instruments)
    return _summary(effect_intervals(cells, instruments.step, instruments.shared(bars)), cells.layout, confidence)


def _of_one_cell(bars: FloatArray, layout: CellLayout, confidence: float, instruments: Instruments) -> EffectsSummary:
    found = summarise_bars(
        bars,
        confidence=confidence,
        step_uncertainty=instruments.step,
        calibration_uncertainty=instruments.calibration,
        shared_uncertainty=instruments.shared_step,
    )
    plain = EffectsSummary(**vars(found), batches=1, loads=1, design=layout.design)
    if found.sd is None or found.standard_uncertainty is None:
        return plain
    of_mean = found.sd**2 / found.n
    shared = Part("instruments", np.asarray(max(found.standard_uncertainty**2 - of_mean, 0.0)), MANY)
    return replace(
        plain,
        bar_sd=found.sd,
        estimator="standard deviation of the bars",
        parts=(Part("bars", np.asarray(of_mean), found.n - 1), shared),
        next_parts=(Part("bars", np.asarray(found.sd**2 + of_mean), found.n - 1), shared),
    )


def _summary(found: EffectIntervals, layout: CellLayout, confidence: float) -> EffectsSummary:
    mean = float(found.mean)
    alone = EffectsSummary(
        n=int(layout.bars),
        mean=mean,
        batches=layout.batches,
        loads=layout.loads,
        design=layout.design,
    )
    around = float(found.tolerance_half_width)
    components, fit = found.components, found.components.fit
    of_batch, of_load, of_bar = _sds(components, layout)
    model_error = math.sqrt(fit.bar_variance * fit.mean_variance) if components.by_likelihood else None
    return replace(
        with_parts(alone, found.parts, found.next_parts, confidence),
        sd=float(found.bar_sd),
        tolerance_low=mean - around,
        tolerance_high=mean + around,
        batch_sd=of_batch,
        load_sd=of_load,
        bar_sd=of_bar,
        model_standard_error=model_error,
        estimator=components.estimator,
    )


def with_parts(
    summary: EffectsSummary, parts: tuple[Part, ...], next_parts: tuple[Part, ...], confidence: float
) -> EffectsSummary:
    """Return a summary whose intervals of the mean and of the next bar rest on the given parts.

    Parameters:
        summary: with its mean.
        parts: variance of the mean [unit of the quantity, squared].
        next_parts: variance of the next bar about it [unit of the quantity, squared].
        confidence: of the intervals [fraction].

    Equation: mean ± h, h as `half_width`; ν as `matching_freedom`

    Reference: as in `bodytest.stats.variance_parts`. Worked value by hand: variances of 9 and 16 known from four loads,
        t(0.975; 3) = 3.182.

    >>> plain = EffectsSummary(n=4, mean=0.0, batches=1, loads=4, design="loads")
    >>> told = with_parts(plain, (Part("loads", np.array(9.0), 3),), (Part("loads", np.array(16.0), 3),), 0.95)
    >>> print(f"{told.high:.2f} {told.next_high:.2f} {told.degrees_of_freedom:.1f}")
    9.55 12.73 3.0
    """
    sds = [math.sqrt(total_variance(one)) for one in (parts, next_parts)]
    halves = [float(half_width(one, confidence)) for one in (parts, next_parts)]
    freedoms = [float(matching_freedom(half, sd, confidence)) for half, sd in zip(halves, sds, strict=True)]
    return replace(
        summary,
        standard_uncertainty=sds[0],
        degrees_of_freedom=freedoms[0],
        low=summary.mean - halves[0],
        high=summary.mean + halves[0],
        next_standard_deviation=sds[1],
        next_degrees_of_freedom=freedoms[1],
        next_low=summary.mean - halves[1],
        next_high=summary.mean + halves[1],
        parts=parts,
        next_parts=next_parts,
    )


def _sds(components: Components, layout: CellLayout) -> tuple[float | None, float | None, float | None]:
    """Return the standard deviations of batches, loads and bars, None for those that the layout does not show."""
    if not layout.bar_freedom:
        return None, None, None
    batch, load, bar = (
        math.sqrt(part) for part in (components.batch_variance, components.load_variance, components.bar_variance)
    )
    if layout.design == "confounded":
        load = batch
    return batch if layout.batches > 1 else None, load if layout.loads > 1 else None, bar
