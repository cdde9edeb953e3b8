"""Published examples of differences and equivalence, computed by the program's own functions."""

import math
from typing import Any

from bodytest.stats.comparison import compare_means, level_mean

Inputs = dict[str, Any]
Ours = dict[str, Any]

_IN_WORDS_OF_THE_SOURCE = {"same within tolerance": "equivalent"}


def equivalence(inputs: Inputs) -> Ours:
    """Compute two one-sided tests of the difference of two means, unequal variances."""
    levels = [level_mean(inputs["y"]), level_mean(inputs["x"])]
    risk = inputs["alpha"]
    (judged,) = compare_means(levels, tolerance=inputs["margin"], confidence=1.0 - risk)
    (narrow,) = compare_means(levels, confidence=1.0 - 2.0 * risk)
    return {
        "mean_diff": judged.difference,
        "se": math.sqrt(levels[0].variance + levels[1].variance),
        "ci90": [narrow.low, narrow.high],
        "p": judged.same_p,
        "verdict": _IN_WORDS_OF_THE_SOURCE.get(judged.verdict, judged.verdict),
    }


def games_howell(inputs: Inputs) -> Ours:
    """Compute simultaneous intervals of all differences of three means, unequal sizes and variances."""
    names = ("medical", "mental", "physical")
    found = compare_means([level_mean(inputs[name]) for name in names], confidence=inputs["conf"])
    differences = {
        f"{names[pair.second]}_minus_{names[pair.first]}": [pair.difference, pair.low, pair.high] for pair in found
    }
    return {**differences, "p": [pair.p for pair in found]}
