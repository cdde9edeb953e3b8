"""Limits that somebody set, judged for each programme and batch: the mean, every bar or a share of bars."""

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.instruments import instrument_errors
from bodytest.conformity import Conformity, SpecVerdict
from bodytest.lab.record import Quantity
from bodytest.quantities import NEVER_NEGATIVE, QUANTITY_BY_KEY, possible
from bodytest.results import Programme, QuantityResult
from bodytest.scope import SpeaksOf
from bodytest.stats import windows
from bodytest.stats.skew import Positive
from bodytest.stats.windows import Guarded, Known
from bodytest.tables import Lab, Specification

LIMITED_QUANTITY = "absorption"
"""The quantity that the Lab table's limit is for."""
WORST_FIRST: tuple[Conformity, ...] = ("does not meet", "cannot tell yet", "not tested", "meets")
_RULES = {
    "mean": "one-sided confidence limit of the mean (JCGM 106:2012, guarded)",
    "every bar": "each bar with the uncertainty of its readings (JCGM 106:2012, guarded)",
    "share of bars": "one-sided tolerance limit (ISO 16269-6)",
}


def specifications_for(
    body: str, purpose: str | None, stated: tuple[Specification, ...], lab: Lab
) -> tuple[Specification, ...]:
    """Return what a body's firings for a purpose are held against; one without a purpose counts as final.

    The absorption limit of the Lab table serves final firings of bodies that no row of a Specs table names.
    """
    purpose = purpose or "final"
    own = [one for one in stated if one.body == body]
    if own or lab.absorption_limit_percent is None or purpose != "final":
        return tuple(one for one in own if one.purpose == purpose)
    return (Specification(body, purpose, LIMITED_QUANTITY, None, lab.absorption_limit_percent, source="Lab sheet"),)


def window_of_mean(found: Iterable[Specification]) -> tuple[float | None, float | None]:
    """Return the lowest and the highest mean absorption that all of some limits allow, None for an open end."""
    for_mean = [one for one in found if one.quantity == LIMITED_QUANTITY and one.applies_to == "mean"]
    lowest = max((one.lowest for one in for_mean if one.lowest is not None), default=None)
    return lowest, min((one.highest for one in for_mean if one.highest is not None), default=None)


def with_verdicts(bench: Bench, programme: Programme, rows: Rows) -> Programme:
    """Return a programme with a verdict on each limit that holds for it."""
    own = _verdicts(bench, programme, rows, programme.purpose)
    judged = _verdicts(bench, programme, rows, "final") if programme.purpose == "test" else own
    return replace(programme, verdicts=own, would_meet=worst(one.verdict for one in judged))


def _verdicts(bench: Bench, programme: Programme, rows: Rows, purpose: str | None) -> tuple[SpecVerdict, ...]:
    limits = specifications_for(programme.body, purpose, bench.sheets.specifications, bench.lab_of(rows))
    quantities, speaks_of = programme.quantities, programme.speaks_of
    return tuple(judge(bench, one, quantities.get(one.quantity), rows, speaks_of) for one in limits)


def worst(verdicts: Iterable[Conformity]) -> Conformity | None:
    """Return the worst of several verdicts, None of none; what was not tested is worse than what meets.

    >>> worst(["meets", "not tested"]), worst([])
    ('not tested', None)
    """
    return min(verdicts, key=WORST_FIRST.index, default=None)


def judge(
    bench: Bench, limit: Specification, result: QuantityResult | None, rows: Rows, speaks_of: SpeaksOf
) -> SpecVerdict:
    """Return the verdict of some bars on one limit."""
    quantity = QUANTITY_BY_KEY[limit.quantity]
    rows = rows[~np.isnan(bench.values.values[quantity.key][rows])]
    blank = untested(limit)
    if result is None or result.mean is None or not len(rows):
        return blank
    ends = _guarded(bench, limit, result, rows, quantity)
    if ends is None:
        sentence = (
            f"{_subject(quantity, limit)}: {_number(result.mean, quantity)}, from one bar only, so it cannot tell yet."
        )
        return replace(blank, verdict="cannot tell yet", value=result.mean, sentence=sentence)
    verdict = windows.decide(*ends, limit.lowest, limit.highest)
    told, guard = _nearest_end(limit, *ends)
    return replace(
        blank,
        verdict=verdict,
        value=told,
        guarded_by=guard,
        next_low=result.next_low,
        next_high=result.next_high,
        rule=_RULES[limit.applies_to],
        risk=round(1.0 - bench.confidence, 12),
        sentence=_sentence(quantity, limit, result, verdict, speaks_of),
    )


def untested(limit: Specification) -> SpecVerdict:
    """Return the verdict on a limit of which nothing was measured."""
    window = (limit.quantity, limit.applies_to, limit.share, limit.lowest, limit.highest)
    sentence = f"{_subject(QUANTITY_BY_KEY[limit.quantity], limit)}: not tested."
    return SpecVerdict(*window, "not tested", source=limit.source or None, sentence=sentence)


def _guarded(
    bench: Bench, limit: Specification, result: QuantityResult, rows: Rows, quantity: Quantity
) -> tuple[Guarded, Guarded] | None:
    """Return what is held against both ends of a window; None where one bar says nothing of the others."""
    errors = instrument_errors(bench, quantity, rows)
    if limit.applies_to == "every bar":
        own = np.hypot(bench.values.step[quantity.key][rows], bench.values.calibration[quantity.key][rows])
        return windows.guarded_bars(bench.values.values[quantity.key][rows], own, bench.confidence)
    if result.mean is None or result.standard_uncertainty is None or result.degrees_of_freedom is None:
        return None
    freedom = result.degrees_of_freedom
    if limit.applies_to == "mean":
        values = Positive(result.sd or 0.0, errors.step) if quantity.key in NEVER_NEGATIVE else None
        mean = windows.guarded_mean(result.mean, result.standard_uncertainty, freedom, values, bench.confidence)
        return mean, mean
    sd = max(result.sd or 0.0, errors.step)
    known = Known(result.mean, result.standard_uncertainty, sd, result.next_degrees_of_freedom or freedom)
    two_sided = limit.lowest is not None and limit.highest is not None
    low, high = windows.guarded_share(
        known, (limit.share or 95.0) / 100.0, two_sided=two_sided, confidence=bench.confidence
    )
    if result.skew and result.tolerance_high is not None:
        high = replace(high, at_most=max(high.at_most, result.tolerance_high))
    return low, high


def _nearest_end(limit: Specification, low: Guarded, high: Guarded) -> tuple[float, float]:
    """Return what was seen at the end of the window that is nearer, and how far it was guarded."""
    below = math.inf if limit.lowest is None else low.at_least - limit.lowest
    above = math.inf if limit.highest is None else limit.highest - high.at_most
    return (high.value, high.at_most - high.value) if above <= below else (low.value, low.value - low.at_least)


def _number(value: float, quantity: Quantity) -> str:
    unit = f" {quantity.unit}" if quantity.unit else ""
    return f"{value:.{quantity.digits + 1}f}{unit}"


def _window(limit: Specification, quantity: Quantity) -> str:
    """Say a window in words, e.g. ``at most 17.0 %``."""
    unit = f" {quantity.unit}" if quantity.unit else ""
    if limit.lowest is None:
        return f"at most {limit.highest:g}{unit}"
    if limit.highest is None:
        return f"at least {limit.lowest:g}{unit}"
    return f"{limit.lowest:g} to {limit.highest:g}{unit}"


def _subject(quantity: Quantity, limit: Specification) -> str:
    of = {"mean": "mean", "every bar": "every bar", "share of bars": f"{limit.share or 0.0:g} % of bars"}
    return f"{quantity.name}, {of[limit.applies_to]}, {_window(limit, quantity)}"


def _sentence(
    quantity: Quantity, limit: Specification, result: QuantityResult, verdict: str, speaks_of: SpeaksOf
) -> str:
    """Return the verdict, what one further bar may reach, and whom it speaks of."""
    further = ""
    if limit.applies_to == "mean" and result.next_low is not None and result.next_high is not None:
        past_high = limit.highest is not None and result.next_high > limit.highest
        past_low = limit.lowest is not None and result.next_low < limit.lowest
        if past_high:
            further = f" One further bar may reach {_number(result.next_high, quantity)}."
        elif past_low:
            low = possible(quantity.key, result.next_low, result.next_high) or 0.0
            further = f" One further bar may come down to {_number(low, quantity)}."
    return f"{_subject(quantity, limit)}: {verdict}, for {speaks_of.words()}.{further}"
