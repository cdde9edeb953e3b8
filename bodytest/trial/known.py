"""What an earlier test of the body shows of its scatter; what it does not show is taken as usual."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from bodytest.analysis.response_levels import celsius_of, heat_of
from bodytest.errors import UnusableRequest
from bodytest.results import Programme, QuantityResult, Summary
from bodytest.trial.question import Question

_LEAST_ABSORPTION = 0.01
"""Less is not told from nothing by weighing [%]."""


def with_known(question: Question, results: Summary, name: str) -> Question:
    """Return the question with the scatter that the results of an earlier test show; ``name`` is that of their file.

    Raises:
        UnusableRequest: the test does not show how the body scatters in what is asked for.
    """
    every = [one for one in results.programmes if one.body == question.body]
    body = [one for one in every if one.direction == question.direction] or every
    nearest = sorted(body, key=lambda one: abs(heat_of(one) - question.kiln.heats[0].celsius))
    found = question.scatter
    usual: list[str] = []
    for wanted, key, names in (
        (question.measures, "total_shrinkage", ("bar", "batch", "load", "shrinkage")),
        (question.weighs, "absorption", ("absorption_bar", "absorption_batch", "", "absorption")),
    ):
        if wanted:
            what = key.replace("_", " ")
            quantity = next((one.quantities[key] for one in nearest if _scatters(one, key)), None)
            if quantity is None:
                raise UnusableRequest("plan-not-known", value=name, what=what, body=question.body)
            found = replace(found, **_seen(quantity, names))
            usual += [f"batches in {what}"] if quantity.batch_sd is None and not question.one_batch else []
    seen = None if found.absorption is None else max(found.absorption, _LEAST_ABSORPTION)
    absorption = question.scatter.absorption or seen
    fall = _fall(nearest) or found.absorption_fall
    source = f"{name}, and for {' and '.join(usual)} on what is usual, from memory, no source" if usual else name
    scatter = replace(found, absorption=absorption, absorption_fall=fall, source=source)
    stated = (one.temperature_expanded_c for one in results.groups if one.body == question.body)
    kiln = question.kiln
    if kiln.temperature_pm_c is None:
        kiln = replace(kiln, temperature_pm_c=next((one for one in stated if one is not None), None))
    return replace(question, scatter=scatter, kiln=kiln, bar=question.bar.usual_in(results.length_unit))


def _scatters(programme: Programme, key: str) -> bool:
    quantity = programme.quantities.get(key)
    return quantity is not None and quantity.sd is not None and quantity.n > 1


def _seen(quantity: QuantityResult, names: Iterable[str]) -> dict[str, Any]:
    """Return what a quantity shows of bars, batches and loads, and its mean, by field of `Scatter`."""
    bar = quantity.sd if quantity.bar_sd is None else quantity.bar_sd
    values = (bar, quantity.batch_sd, quantity.load_sd, quantity.mean)
    return {name: value for name, value in zip(names, values, strict=True) if name and value is not None}


def _fall(nearest: Sequence[Programme]) -> float | None:
    """Return the share by which absorption falls for each °C, from the two programmes nearest to the first heat.

    It is ln(A₁/A₂)/(T₂ − T₁).
    """
    seen = [
        (celsius, quantity.mean)
        for one in nearest
        if (celsius := celsius_of(one)) is not None
        and (quantity := one.quantities.get("absorption")) is not None
        and quantity.mean
        and quantity.mean > 0.0
    ]
    if len(seen) < 2 or abs(seen[1][0] - seen[0][0]) < 1.0:
        return None
    (first_c, first), (second_c, second) = seen[:2]
    fall = math.log(first / second) / (second_c - first_c)
    return fall if fall > 0.0 else None
