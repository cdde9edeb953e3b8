"""A summary of bars or of pieces as the result that is reported."""

from bodytest.results import QuantityResult
from bodytest.stats.effects import EffectsSummary
from bodytest.stats.summary import MeanSummary


def as_result(summary: MeanSummary | EffectsSummary, *, unit: str, why_no_interval: str) -> QuantityResult:
    """Return the figures of a summary; ``why_no_interval`` is told where there is no interval."""
    return QuantityResult(
        unit=unit,
        n=summary.n,
        mean=summary.mean,
        sd=summary.sd,
        standard_uncertainty=summary.standard_uncertainty,
        degrees_of_freedom=summary.degrees_of_freedom,
        low=summary.low,
        high=summary.high,
        next_low=summary.next_low,
        next_high=summary.next_high,
        tolerance_low=summary.tolerance_low,
        tolerance_high=summary.tolerance_high,
        batch_sd=getattr(summary, "batch_sd", None),
        bar_sd=getattr(summary, "bar_sd", None) if _has_levels(summary) else None,
        load_sd=getattr(summary, "load_sd", None),
        skew=getattr(summary, "skew", None),
        estimator=getattr(summary, "estimator", None),
        next_standard_deviation=summary.next_standard_deviation,
        next_degrees_of_freedom=summary.next_degrees_of_freedom,
        why_no_interval=None if summary.low is not None else why_no_interval,
    )


def _has_levels(summary: MeanSummary | EffectsSummary) -> bool:
    """Say whether bars of several batches or loads show the scatter within one apart from the whole."""
    return isinstance(summary, EffectsSummary) and summary.batches * summary.loads > 1
