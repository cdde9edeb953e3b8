"""Each question → loads, batches and bars that answer it, and with what half-width or chance."""

import math
from collections.abc import Callable
from functools import cache, partial

import numpy as np
from scipy.special import stdtrit

from bodytest.analysis.bar_needs_words import asked
from bodytest.errors import UnusableRequest
from bodytest.rounding import chance_text, number_text
from bodytest.stats.bar_count import MOST_BARS, chance_of_sameness, fewest
from bodytest.stats.design import FloatArray
from bodytest.stats.replication import (
    Replicates,
    chance_of_half_width,
    fewest_for_half_width,
    half_width_reached,
)
from bodytest.stats.skew import Positive, upper_limit
from bodytest.trial.crossing import need_of_range
from bodytest.trial.goals import Goal
from bodytest.trial.promise import BARS_EACH, CHANCE, CONFIDENCE, OFTEN, Need, limit_and_expected
from bodytest.trial.question import SHRINKAGE_SLOPE, Question, points
from bodytest.units import LENGTH_IN_MM, PIECE, on_piece

_UNEVEN_CHANCE = 0.84
"""Aimed at where the first load has more bars than the others, which says a little less; `CHANCE` is told."""
_LEAST_CHANCE = 0.5
"""A test that is less likely than this to end in a verdict is not worth its clay."""
_MOST_FOR_SCATTER = 100
"""More bars than these show the scatter hardly better."""
_TRIED, _SEED = 2000, 20291129
"""Tests tried out for the chance of a verdict."""


def needs_of(question: Question) -> tuple[Need, ...]:
    """Return what each question takes.

    Raises:
        UnusableRequest: a question that no test, or none of this kiln, answers.
    """
    ways: dict[Goal, Callable[[Question], Need]] = {
        "size": _size,
        "tight": _tight,
        "range": need_of_range,
        "same": _same,
        "match": _match,
    }
    return tuple(ways[goal](question) for goal in question.goals)


def _bar_sd(question: Question) -> float:
    return math.hypot(question.scatter.bar, question.reading)


def _refuse_below_step(question: Question, half_width: float) -> None:
    if half_width < question.step_points:
        raise UnusableRequest(
            "plan-below-step",
            value=asked(half_width, "%"),
            length=question.bar.told(half_width * question.bar.gauge / 100.0),
            gauge=question.bar.told(question.bar.gauge),
            step=question.bar.told(question.reading_step_mm),
        )


def _size(question: Question) -> Need:
    _refuse_below_step(question, question.half_width)
    most, bar = question.most_loads, _bar_sd(question)
    if most == 1:
        return _size_of_one_load(question, bar)
    scatter = question.scatter
    chance = _UNEVEN_CHANCE if {"same", "match"} & {*question.goals} else CHANCE
    load = SHRINKAGE_SLOPE * question.kiln.off_c if scatter.load is None else scatter.load
    between = math.hypot(load, 0.0 if question.one_batch else scatter.batch)

    def of_loads(bars: int) -> Replicates:
        return Replicates("loads", math.hypot(between, bar / math.sqrt(bars)), 0)

    wanted = fewest_for_half_width(of_loads(BARS_EACH), question.half_width, chance)
    loads = min(wanted or most, most)
    reached = half_width_reached(loads, of_loads(BARS_EACH), chance)
    told = _asked_for(reached, question.half_width, loads, of_loads(BARS_EACH))
    twice, one_more = (
        half_width_reached(number, of_loads(bars), chance)
        for number, bars in ((loads, 2 * BARS_EACH), (loads + 1, BARS_EACH))
    )
    by_loads = one_more < twice
    help_ = (
        f"{'More loads help, not more bars' if by_loads else 'More bars help'}: twice the bars in each load give"
        f" ± {number_text(twice, 2)}, one more load ± {number_text(one_more, 2)}."
    )
    who = "this batch in any load" if question.one_batch else "any batch in any load"
    sentence = f"Size, for {who}: known to {points(reached, question.length_unit)} or better {OFTEN}{told}. {help_}"
    batches = 1 if question.one_batch else loads
    enough = reached <= question.half_width
    limit = "loads" if by_loads else "bars"
    return Need("size", question.kiln.heats[:1], loads, BARS_EACH, batches, reached, enough, limit, sentence)


def _size_of_one_load(question: Question, bar: float) -> Need:
    of = Replicates("bars", bar, 0)
    bars = max(fewest_for_half_width(of, question.half_width, CHANCE) or MOST_BARS, BARS_EACH)
    reached = half_width_reached(bars, of, CHANCE)
    sentence = (
        f"Size, for this batch in this load alone: known to {points(reached, question.length_unit)} or better {OFTEN}."
        " Other loads and batches may lie further off; only more loads tell how far."
    )
    return Need("size", question.kiln.heats[:1], 1, bars, 1, reached, True, "loads", sentence)


def _asked_for(reached: float, wanted: float, loads: int, of: Replicates) -> str:
    if reached <= wanted:
        return f" (asked for: ± {wanted:g})"
    chance = chance_of_half_width(loads, of, wanted)
    return f", not the ± {wanted:g} asked for, which {chance_text(chance)} of such tests reach"


def _tight(question: Question) -> Need:
    limit, expected = limit_and_expected(question)
    one_load = question.most_loads == 1
    most = MOST_BARS if one_load else question.most_loads
    chance = cache(partial(chance_of_verdict, question, limit, expected))
    enough = fewest(lambda number: number >= most or chance(number) >= CHANCE) or most
    if chance(enough) < (CHANCE if one_load else _LEAST_CHANCE):
        heat = question.kiln.heats[0].called
        raise UnusableRequest("plan-too-near-limit", value=f"{expected:g}", limit=f"{limit:g}", heat=heat)
    loads, bars = (1, max(enough, BARS_EACH)) if one_load else (enough, BARS_EACH)
    number = bars if one_load else loads
    told, more = chance(number), chance_text(chance(number + 1))
    who = "this batch in this load" if one_load else "this batch" if question.one_batch else "the body"
    helps = f"One bar more: {more}." if one_load else f"Loads limit it, not bars: one load more gives {more}."
    sentence = (
        f"Tight, for {who}: the verdict “{'meets' if expected < limit else 'does not meet'}” on {limit:g} % is reached"
        f" with a chance of {chance_text(told)}, if the absorption is {expected:.2g} % as expected. {helps}"
    )
    limited_by = "bars" if one_load else "loads"
    batches = 1 if one_load or question.one_batch else loads
    return Need("tight", question.kiln.heats[:1], loads, bars, batches, told, told >= CHANCE, limited_by, sentence)


def chance_of_verdict(question: Question, limit: float, expected: float, number: int) -> float:
    """Return the chance of the right verdict with so many loads, or with so many bars in the only load.

    Nobody knows whether batches and bars of a body differ by steps as often up as down or by factors, which leave a
    long upper tail; the lesser chance is told. Loads differ by factors, as absorption falls with temperature. What one
    load or one batch is off the body moves all its bars, and so what the verdict speaks of. The limit on absorption and
    what is expected at the first heat, above 0, are in per cent.
    """
    draw, scatter, one_load = np.random.default_rng(_SEED), question.scatter, question.most_loads == 1
    each = 1 if one_load else BARS_EACH
    of_load, of_batch, of_bar = (
        draw.standard_normal((_TRIED, 1 if alone else number, bars))
        for alone, bars in ((one_load, 1), (one_load or question.one_batch, 1), (False, each))
    )
    bar, batch = question.absorption_sds
    load = expected * np.exp(scatter.absorption_fall * question.kiln.off_c * of_load)
    steps = np.maximum(load + batch * of_batch + bar * of_bar, 0.0)
    factors = load * _factors(batch / expected, of_batch) * _factors(bar / expected, of_bar)
    wanted = "meets" if expected < limit else "does not meet"
    return min(_share(values, limit, wanted) for values in (steps, factors))


def _factors(scatter: float, deviates: FloatArray) -> FloatArray:
    """Return lognormal factors about 1."""
    variance = math.log1p(scatter**2)
    return np.asarray(np.exp(math.sqrt(variance) * deviates - variance / 2.0))


def _share(values: FloatArray, limit: float, wanted: str) -> float:
    """Return the share of tests with a verdict; bars by test, load (or bar of the one load) and place in the load."""
    number, means = values.shape[1], values.mean(axis=2)
    mean, of_means = means.mean(axis=1), means.var(axis=1, ddof=1)
    error, sd = np.sqrt(of_means / number), np.sqrt(of_means + values.var(axis=2).mean(axis=1))
    if wanted == "meets":
        return float(np.mean(upper_limit(mean, error, number - 1.0, Positive(sd), CONFIDENCE) <= limit))
    return float(np.mean(mean - stdtrit(number - 1.0, CONFIDENCE) * error > limit))


def _same(question: Question) -> Need:
    _refuse_below_step(question, question.tolerance)
    sd = _bar_sd(question)
    enough = fewest(lambda bars: chance_of_sameness(bars, question.tolerance, sd) >= CHANCE, least=BARS_EACH)
    bars = enough or MOST_BARS
    chance = chance_of_sameness(bars, question.tolerance, sd)
    unit = question.length_unit
    alike = f"{asked(question.tolerance, '%')}, {on_piece(question.tolerance, unit):g} {unit} on {PIECE[unit]:g} {unit}"
    sentence = (
        f"Same as the last delivery: if the two are truly alike, “same within tolerance” ({alike}) is found with a"
        f" chance of {chance_text(chance)}. Both stand in one load, so more bars help, not more loads; keep clay of"
        " each delivery for the next test."
    )
    return Need("same", question.kiln.heats[:1], 1, bars, 2, chance, enough is not None, "bars", sentence)


def _match(question: Question) -> Need:
    shrunk = 1.0 - question.scatter.shrinkage / 100.0
    unit = question.length_unit
    piece, pair = f"{PIECE[unit]:g}", question.pair_mm / LENGTH_IN_MM[unit]
    apart = pair * shrunk / on_piece(1.0, unit)
    _refuse_below_step(question, apart)
    of = Replicates("bars", _bar_sd(question), 0)

    def chance(bars: int) -> float:
        return chance_of_half_width(bars, of, apart / math.sqrt(2.0 * bars))

    bars = fewest(lambda number: chance(number) >= CHANCE, least=BARS_EACH)
    if bars is None or bars > _MOST_FOR_SCATTER:
        raise UnusableRequest(
            "plan-pairs-scatter", value=f"{pair:.3g}", scatter=number_text(of.sd, 2), piece=piece, unit=unit
        )
    sentence = (
        f"Pairs of one batch fired together: that two pieces of {piece} {unit} agree within {pair:.3g} {unit} in 95 of"
        f" 100 pairs is shown with a chance of {chance_text(chance(bars))}, if they are made exactly alike. More bars"
        " help."
    )
    return Need("match", question.kiln.heats[:1], 1, bars, 1, chance(bars), True, "bars", sentence)
