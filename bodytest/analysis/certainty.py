"""What limits the certainty of a mean: its variance by source, and the advice that follows from it."""

import math

from bodytest.analysis.advice import advice_for
from bodytest.analysis.instruments import InstrumentErrors
from bodytest.budget import Certainty, CertaintyShare, Source
from bodytest.stats.bar_count import bars_for_half_width
from bodytest.stats.effects import EffectsSummary


def certainty_of(
    summary: EffectsSummary, errors: InstrumentErrors, marks: tuple[float, float] | None
) -> Certainty | None:
    """Split the variance of a mean by source and say what would help.

    Parameters:
        summary: the mean and its uncertainty.
        errors: what the instruments add.
        marks: standard deviation between the marks of a bar and their mean number, None for one mark a bar.
    """
    if summary.standard_uncertainty is None or summary.sd is None:
        return None
    parts = _variances(summary, errors, marks)
    whole = sum(parts.values())
    if not whole > 0:
        return None
    shares = tuple(
        CertaintyShare(source, math.sqrt(variance), float(variance / whole), instrument)
        for (source, instrument), variance in sorted(parts.items(), key=lambda item: -item[1])
    )
    to_halve = _bars_to_halve(summary, math.hypot(errors.calibration, errors.shared_step))
    advice = advice_for(
        shares,
        levels={"batches": summary.batches, "loads": summary.loads},
        bars_to_halve=to_halve,
        step=errors.step_text,
        finer_step=errors.finer_step_text,
    )
    return Certainty(shares, advice, to_halve)


_LEVELS: tuple[Source, ...] = ("batches", "loads", "batches and loads")


def _variances(
    summary: EffectsSummary, errors: InstrumentErrors, marks: tuple[float, float] | None
) -> dict[tuple[Source, str | None], float]:
    """Return variances by source and instrument.

    Scatter of one bar = bars + marks + reading step, each over n; the step can be no more than the scatter.

    The part of the reading step that is the same error in every bar does not average out and stands beside it. What
    the bars do not explain is of batches, of loads, or of both where they change together.
    """
    n, step = summary.n, errors.step**2
    one_bar = max((summary.bar_sd or summary.sd or 0.0) ** 2, step)
    mark_variance = max(marks[0] ** 2 - step * marks[1], 0.0) / marks[1] if marks else 0.0
    mark_variance = min(mark_variance, one_bar - step)
    found: dict[tuple[Source, str | None], float] = {
        ("bars", None): max(one_bar - step - mark_variance, 0.0) / n,
        **{(level, None): 0.0 for level in _LEVELS},
        ("marks", None): mark_variance / n,
    }
    for instrument, (of_step, of_shared, of_calibration) in errors.parts.items():
        found["reading step", instrument] = of_step * step / n + of_shared * errors.shared_step**2
        found["calibration", instrument] = of_calibration * errors.calibration**2
    of_levels = {part.source: float(part.variance) for part in summary.parts if part.source in _LEVELS}
    between = sum(of_levels.values())
    rest = max((summary.standard_uncertainty or 0.0) ** 2 - sum(found.values()), 0.0) if between > 0 else 0.0
    return found | {(source, None): rest * variance / between for source, variance in of_levels.items() if between > 0}


def _bars_to_halve(summary: EffectsSummary, shared: float) -> int | None:
    """Return the further bars that halve the interval, None where bars alone cannot: it rests on batches or loads."""
    if summary.low is None or summary.high is None or summary.sd is None:
        return None
    if summary.batches * summary.loads > 1:
        return None
    wanted = bars_for_half_width(summary.sd, (summary.high - summary.low) / 4.0, shared_uncertainty=shared)
    return None if wanted is None else max(int(wanted) - summary.n, 1)
