"""A summary of bars or of pieces as the result that is reported."""

from dataclasses import fields, replace

from bodytest.results import QuantityResult
from bodytest.stats.effects import EffectsSummary
from bodytest.stats.summary import MeanSummary

_FIGURES = {one.name for one in fields(QuantityResult)}


def as_result(summary: MeanSummary, *, unit: str, why_no_interval: str) -> QuantityResult:
    """Return the figures of a summary; ``why_no_interval`` is told where there is no interval."""
    figures = {one.name: getattr(summary, one.name) for one in fields(summary) if one.name in _FIGURES}
    result = QuantityResult(unit=unit, **figures, why_no_interval=None if summary.low is not None else why_no_interval)
    several = isinstance(summary, EffectsSummary) and summary.batches * summary.loads > 1
    return result if several else replace(result, bar_sd=None)  # one batch in one load scatters as its bars do
