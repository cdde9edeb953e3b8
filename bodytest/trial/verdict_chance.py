"""The chance that a test ends in the right verdict on a limit, by trying it out."""

import math

import numpy as np
from scipy.special import stdtrit

from bodytest.stats.design import FloatArray
from bodytest.stats.skew import Positive, upper_limit
from bodytest.trial.promise import BARS_EACH, CONFIDENCE
from bodytest.trial.question import Question

_TRIED = 2000
_SEED = 20291129


def chance_of_verdict(question: Question, limit: float, expected: float, number: int) -> float:
    """Return the chance of the right verdict with so many loads, or with so many bars in the only load.

    Nobody knows whether batches and bars of a body differ by steps as often up as down or by factors, which leave a
    long upper tail; the lesser chance is told. Loads differ by factors, as absorption falls with temperature. What one
    load or one batch is off the body moves all its bars, and so what the verdict speaks of.

    Parameters:
        question: with scatter and kiln.
        limit: highest absorption [%].
        expected: absorption at the first heat, above 0 [%].
        number: of loads, or of bars [count].
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
