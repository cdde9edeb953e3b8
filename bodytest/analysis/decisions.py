"""Decisions on the stated limit of absorption, what would settle an open one, and where one may not hold."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.instruments import InstrumentErrors
from bodytest.analysis.specifications import specifications_for, window_of_mean
from bodytest.findings import Finding, finding
from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Programme, QuantityResult
from bodytest.rounding import NO_BREAK
from bodytest.stats.effects import EffectsSummary
from bodytest.stats.limits import Seen, further_bars
from bodytest.stats.skew import HOLDS_FROM, Positive
from bodytest.stats.windows import decide, guarded_mean


def decide_on_limit(
    bench: Bench, rows: Rows, summary: EffectsSummary, errors: InstrumentErrors, result: QuantityResult
) -> QuantityResult:
    """Add the window that is set for the mean of these bars and the decision on it."""
    window = _window(bench, rows)
    if window == (None, None) or result.mean is None:
        return result
    undecided = replace(result, lowest=window[0], limit=window[1], decision="cannot tell yet")
    if result.standard_uncertainty is None or result.degrees_of_freedom is None:
        return undecided
    values = Positive(result.sd or 0.0, errors.step)
    seen = guarded_mean(result.mean, result.standard_uncertainty, result.degrees_of_freedom, values, bench.confidence)
    decision = decide(seen, seen, *window)
    if decision != "cannot tell yet":
        return replace(undecided, decision=decision)
    return with_what_would_settle(undecided, summary, errors, bench.confidence)


def _window(bench: Bench, rows: Rows) -> tuple[float | None, float | None]:
    """Return the lowest and the highest mean that are wanted of bars of one body, fired for one purpose."""
    first = bench.sheets.bars.iloc[int(rows[0])]
    load = bench.firings.get(str(first["firing"]))
    purpose = None if load is None else str(load["purpose"])
    return window_of_mean(
        specifications_for(str(first["body"]), purpose, bench.sheets.specifications, bench.lab_of(rows))
    )


def with_what_would_settle(
    undecided: QuantityResult, summary: EffectsSummary, errors: InstrumentErrors, confidence: float
) -> QuantityResult:
    """Say how many further bars would probably settle the decision; batches or loads where it rests on several."""
    mean, sd, uncertainty = undecided.mean, undecided.sd, undecided.standard_uncertainty
    if mean is None or sd is None or uncertainty is None:
        return undecided
    ends = [end for end in (undecided.lowest, undecided.limit) if end is not None]
    limit = min(ends, key=lambda end: abs(end - mean))
    counted = {"batches": summary.batches, "loads": summary.loads, "bars": undecided.n}
    by_batch = summary.batches > 1 and (summary.batch_sd or 0.0) >= (summary.load_sd or 0.0)
    of = "batches" if by_batch else "loads" if summary.loads > 1 else "bars"
    shared = math.hypot(errors.calibration, errors.shared_step)
    of_one = math.sqrt(counted[of] * max(uncertainty**2 - shared**2, 0.0))
    seen = Seen(mean, of_one, counted[of], shared, Positive(sd, errors.step))
    further: dict[str, Any] = {f"further_{of}": further_bars(seen, limit, confidence=confidence)}
    return replace(undecided, **further)


def with_doubt(result: QuantityResult, quantity: Quantity) -> QuantityResult:
    """Return a result with a sentence where its intervals and its verdict may be wrong more often than they say.

    That is where values that cannot be negative scatter so widely beside their mean, or are so few, that the room left
    for a long upper tail was not shown to be enough (`bodytest.stats.skew`).
    """
    if result.skew != "may not hold" or result.mean is None or result.sd is None:
        return result
    known = result.sd < _MOST_TOLD * result.mean
    of_mean = f"{100.0 * result.sd / result.mean:.0f}{NO_BREAK}% of their mean" if known else "far more than their mean"
    few = (
        f"; test at least {HOLDS_FROM} bars" if result.n < HOLDS_FROM else "; test more bars, or look for what differs"
    )
    sentence = (
        f"{quantity.name}: the {result.n} bars scatter by {of_mean}, so the ± and the verdict may be wrong more often"
        f" than they say{few}."
    )
    return replace(result, may_not_hold=sentence)


_MOST_TOLD = 10.0
"""Scatter over mean up to which it is told as a number."""


def doubts(programmes: Iterable[Programme]) -> Iterator[Finding]:
    """Yield a finding for each figure of a programme that may not hold what it claims."""
    for one in programmes:
        for key, result in one.quantities.items():
            if result.may_not_hold:
                of = " · ".join(part for part in (one.body, one.called, one.direction) if part)
                yield finding("may-not-hold", of=of, doubt=result.may_not_hold, quantity=QUANTITY_BY_KEY[key].name)
