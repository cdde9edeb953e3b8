"""The temperature at which absorption falls to a limit: which firings show it, and how closely, by trying it out."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from bodytest.errors import UnusableRequest
from bodytest.stats.firing_response import LevelMeans, fit_response, temperature_at
from bodytest.stats.inverse import planned_crossing_uncertainty
from bodytest.trial.promise import BARS_EACH, OFTEN, Need, limit_and_expected
from bodytest.trial.question import Heat, Question

_FEWEST, _MOST = 3, 6
"""Firings."""
_TRIED = 400
_SEED = 20281121
_SHARE = 0.84
"""Of the tests tried, the half-width that so many keep: 0.8 is told, the rest allows for their number."""


def need_of_range(question: Question) -> Need:
    """Return the firings that show where the body becomes tight.

    Raises:
        UnusableRequest: the kiln's firings are too few, or do not lie on both sides of it; or more is asked for.
    """
    if len(question.goals) > 1:
        raise UnusableRequest("plan-range-alone", value=", ".join(goal for goal in question.goals if goal != "range"))
    limit, expected = limit_and_expected(question)
    heats = sorted(question.kiln.heats, key=lambda heat: heat.celsius)
    if len(heats) < _FEWEST:
        raise UnusableRequest("plan-too-few-heats", value=" and ".join(heat.called for heat in heats))
    crossing = question.kiln.heats[0].celsius + math.log(expected / limit) / question.scatter.absorption_fall
    most, wanted = min(len(heats), _MOST), question.half_width_c
    found: list[tuple[float, tuple[Heat, ...]]] = []
    for count in range(most if wanted is None else _FEWEST, most + 1):
        chosen = _about(heats, crossing, count)
        found.append((half_width_of_crossing(question, [heat.celsius for heat in chosen], crossing), chosen))
        if wanted is not None and found[-1][0] <= wanted:
            break
    reached, chosen = min(found, key=lambda one: one[0])
    low, high = heats[0].celsius, heats[-1].celsius
    if not (low < crossing < high and math.isfinite(reached)):
        words = {"low": f"{low:.0f}", "high": f"{high:.0f}", "limit": f"{limit:g}", "body": question.body}
        side = "hotter" if crossing > (low + high) / 2.0 else "cooler"
        raise UnusableRequest("plan-not-crossed", value=f"{crossing:.0f}", side=side, **words)
    enough = wanted is None or reached <= wanted
    asked = "" if wanted is None else f" (asked for: ± {wanted:g})" if enough else f", not the ± {wanted:g} asked for"
    line = _as_line(question, [heat.celsius for heat in chosen], crossing)
    sentence = (
        f"Firing range: the temperature at which absorption falls to {limit:g} % is known to ± {reached:.0f} °C or"
        f" better {OFTEN}{asked}, about {crossing:.0f} °C if all is as expected; ± {line:.0f} °C if it fell in a"
        " straight line, which nobody knows. Firings closer to it help, not more bars. Where the body goes too far"
        " shows only if the hottest firing is beyond that."
    )
    return Need("range", chosen, 1, BARS_EACH, 1, reached, enough, "firings", sentence)


def _about(heats: Sequence[Heat], crossing: float, count: int) -> tuple[Heat, ...]:
    """Return so many neighbouring heats whose middle is nearest to a temperature."""
    runs = (tuple(heats[at : at + count]) for at in range(len(heats) - count + 1))
    return min(runs, key=lambda run: abs((run[0].celsius + run[-1].celsius) / 2.0 - crossing))


def _as_line(question: Question, celsius: Sequence[float], crossing: float) -> float:
    """Return twice the standard uncertainty of the crossing of a straight line through the two firings about it, °C."""
    low, high = next(pair for pair in pairwise(celsius) if pair[0] <= crossing <= pair[1])
    return 2.0 * planned_crossing_uncertainty(
        [*[low] * BARS_EACH, *[high] * BARS_EACH],
        crossing,
        slope=-question.scatter.absorption_fall * (question.limit or 0.0),
        sd=question.absorption_sds[0],
        load_uncertainty=question.kiln.off_c,
        loads=2,
    )


def half_width_of_crossing(question: Question, celsius: Sequence[float], crossing: float) -> float:
    """Return the half-width that four of five tests keep, °C; infinite where more than one in five has an open end.

    Absorption is taken to fall by an equal share for each °C, so that it is never negative:
    A(T) = limit exp(−fall (T − T_c)). Each load is as far from its temperature as the kiln's ± says. ``celsius`` are
    the temperatures of the firings, rising, ``crossing`` is T_c.
    """
    draw = np.random.default_rng(_SEED)
    scatter, limit, freedom = question.scatter, question.limit or 0.0, BARS_EACH - 1.0
    heats = np.asarray(celsius, dtype=np.float64)
    off_c = np.full(len(heats), question.kiln.off_c)
    true_c = heats + off_c * draw.standard_normal((_TRIED, len(heats)))
    error = question.absorption_sds[0] / BARS_EACH**0.5
    means = limit * np.exp(-scatter.absorption_fall * (true_c - crossing))
    means = means + error * draw.standard_normal(means.shape)
    seen = error * np.sqrt(draw.chisquare(freedom, means.shape) / freedom)
    bars = np.full(len(heats), float(BARS_EACH))
    levels = LevelMeans(heats, means, seen, np.full_like(means, freedom), bars, None, off_c)
    at = temperature_at(fit_response(levels, rises=False), limit)
    half = (at.high - at.low) / 2.0
    return float(np.quantile(np.where(np.isnan(half), np.inf, half), _SHARE, method="higher"))
