"""What limits the certainty of a mean: its variance by source, and the advice that follows from it."""

import math
from dataclasses import dataclass

from bodytest.analysis.advice import advice_for
from bodytest.analysis.instruments import InstrumentErrors
from bodytest.results import Certainty, CertaintyShare
from bodytest.stats.bar_count import bars_for_half_width
from bodytest.stats.batches import BatchesSummary
from bodytest.stats.summary import MeanSummary


@dataclass(frozen=True)
class _Variances:
    """Variance of the mean by source, in the quantity's unit squared."""

    bars: float
    batches: float
    marks: float
    step: float
    calibration: float

    def by_source(self) -> dict[str, float]:
        return {
            "bars": self.bars,
            "batches": self.batches,
            "marks": self.marks,
            "reading step": self.step,
            "calibration": self.calibration,
        }


def certainty_of(
    summary: MeanSummary | BatchesSummary,
    bars_of_batches: list[int],
    errors: InstrumentErrors,
    marks: tuple[float, float] | None,
) -> Certainty | None:
    """Split the variance of a mean by source and say what would help.

    Parameters:
        summary: the mean and its uncertainty.
        bars_of_batches: number of bars of each batch.
        errors: what the instruments add.
        marks: standard deviation between the marks of a bar and their mean number, None for one mark a bar.
    """
    if summary.standard_uncertainty is None or summary.sd is None:
        return None
    parts = _variances(summary, bars_of_batches, errors, marks)
    whole = sum(parts.by_source().values())
    if not whole > 0:
        return None
    shares = tuple(
        CertaintyShare(source, math.sqrt(variance), float(variance / whole))  # type: ignore[arg-type]
        for source, variance in sorted(parts.by_source().items(), key=lambda item: -item[1])
    )
    to_halve = _bars_to_halve(summary, math.hypot(errors.calibration, errors.shared_step))
    advice = advice_for(
        shares,
        batches=len(bars_of_batches),
        bars_to_halve=to_halve,
        step=errors.step_text,
        finer_step=errors.finer_step_text,
    )
    return Certainty(shares, advice, to_halve)


def _variances(
    summary: MeanSummary | BatchesSummary,
    bars_of_batches: list[int],
    errors: InstrumentErrors,
    marks: tuple[float, float] | None,
) -> _Variances:
    """Scatter of one bar = bars + marks + reading step, each over n; the step can be no more than the scatter.

    The part of the reading step that is the same error in every bar does not average out and stands beside it.
    """
    n, step, calibration, shared_step = sum(bars_of_batches), errors.step, errors.calibration, errors.shared_step**2
    one_bar = max((getattr(summary, "bar_sd", None) or summary.sd or 0.0) ** 2, step**2)
    mark_variance = max(marks[0] ** 2 - step**2 * marks[1], 0.0) / marks[1] if marks else 0.0
    mark_variance = min(mark_variance, one_bar - step**2)
    between_bars = max(one_bar - step**2 - mark_variance, 0.0)
    seen = max((summary.standard_uncertainty or 0.0) ** 2 - calibration**2 - shared_step, 0.0)
    batches = max(seen - one_bar / n, 0.0) if len(bars_of_batches) > 1 else 0.0
    return _Variances(between_bars / n, batches, mark_variance / n, step**2 / n + shared_step, calibration**2)


def _bars_to_halve(summary: MeanSummary | BatchesSummary, shared: float) -> int | None:
    """Return the further bars that halve the interval, None where bars alone cannot: an interval rests on batches."""
    if summary.low is None or summary.high is None or summary.sd is None:
        return None
    if isinstance(summary, BatchesSummary):
        return None
    wanted = bars_for_half_width(summary.sd, (summary.high - summary.low) / 4.0, shared_uncertainty=shared)
    return None if wanted is None else max(int(wanted) - summary.n, 1)
