"""What limits the certainty of a mean: its variance by source, and the advice that follows from it."""

import math
from dataclasses import dataclass

from bodytest.body.instruments import InstrumentErrors
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
    return Certainty(shares, _advice(shares[0], len(bars_of_batches)), _bars_to_halve(summary, parts))


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


def _bars_to_halve(summary: MeanSummary | BatchesSummary, parts: _Variances) -> int | None:
    """Return the further bars that halve the interval, None where bars alone cannot."""
    if summary.low is None or summary.high is None or summary.sd is None:
        return None
    if parts.batches > 0:
        return None
    wanted = bars_for_half_width(
        summary.sd, (summary.high - summary.low) / 4.0, shared_uncertainty=math.sqrt(parts.calibration)
    )
    return None if wanted is None else max(int(wanted) - summary.n, 1)


def _advice(largest: CertaintyShare, batch_count: int) -> str:
    few = " Two or three batches say little about the next one." if 1 < batch_count <= 3 else ""
    sentence = _ADVICE[largest.source].format(part=f"{100 * largest.share:.0f} % of the variance")
    return sentence + (few if largest.source == "batches" else "")


_ADVICE = {
    "bars": "The bars differ among themselves ({part}): more bars help most.",
    "batches": (
        "The batches differ from each other ({part}): test further batches, more bars of the same ones hardly help."
    ),
    "marks": "The marks of one bar disagree ({part}): finer gauge lines or more marks on each bar help most.",
    "reading step": (
        "The reading step is coarser than the clay's scatter ({part}): read to a finer step, or make longer bars."
    ),
    "calibration": (
        "The calibration of the instrument limits this ({part}): check it against a known length or mass;"
        " more bars do not help."
    ),
}
