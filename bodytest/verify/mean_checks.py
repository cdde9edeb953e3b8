"""Published examples of means, their differences, outliers, numbers of bars and fitted lines, by our own functions."""

import math

import numpy as np

from bodytest.stats.firing_response import rising_then_falling
from bodytest.stats.inverse import read_line_backwards
from bodytest.stats.mean_differences import compare_means, level_mean
from bodytest.stats.outliers import critical_deviate, generalised_esd
from bodytest.stats.summary import summarise_bars
from bodytest.stats.tolerance import two_sided_factor
from bodytest.verify.examples import Answer, Inputs


def one_sample(inputs: Inputs) -> Answer:
    """Compute mean, SD and Student's t against a fixed value."""
    summary = summarise_bars(inputs["x"], confidence=1.0 - inputs["alpha"])
    half_width = _known(summary.high) - summary.mean
    return {
        "mean": summary.mean,
        "s": summary.sd,
        "t": (summary.mean - inputs["mu0"]) / _known(summary.standard_uncertainty),
        "df": summary.degrees_of_freedom,
        "t_crit_two_sided": half_width / _known(summary.standard_uncertainty),
    }


def interval_of_mean(inputs: Inputs) -> Answer:
    """Compute the interval of a mean from published n, mean and SD, by a sample that has exactly these."""
    raw = np.arange(inputs["n"], dtype=np.float64)
    values = inputs["mean"] + inputs["s"] * (raw - raw.mean()) / raw.std(ddof=1)
    summary = summarise_bars(values, confidence=inputs["conf"])
    uncertainty = _known(summary.standard_uncertainty)
    return {
        "t": (_known(summary.high) - summary.mean) / uncertainty,
        "lower": summary.low,
        "upper": summary.high,
        "t_vs_mu0_5": (summary.mean - 5.0) / uncertainty,
    }


def univariate(inputs: Inputs) -> Answer:
    """Compute number, mean and SD."""
    summary = summarise_bars(inputs["x"])
    return {"n": summary.n, "mean": summary.mean, "s": summary.sd}


def accuracy(inputs: Inputs) -> Answer:
    """Compute mean and SD of data made to show rounding error; the longer sets are a value and 500 pairs."""
    paired = [[centre, *[centre - 0.1, centre + 0.1] * 500] for centre in (1.2, 1_000_000.2, 10_000_000.2)]
    summaries = [summarise_bars(values) for values in (inputs["NumAcc1"], *paired)]
    return {"means": [s.mean for s in summaries], "sds": [s.sd for s in summaries]}


def grubbs(inputs: Inputs) -> Answer:
    """Compute Grubbs' test as the one-outlier case of generalised ESD."""
    values, significance = inputs["x"], inputs["alpha"]
    found = generalised_esd(values, most=1, significance=significance)
    return {
        "G": found.deviates[0],
        "crit_one_sided": critical_deviate(len(values), 1, 2.0 * significance),
        "crit_two_sided": found.critical[0],
        "outlier": values[found.flagged[0]],
    }


def grubbs_table(inputs: Inputs) -> Answer:
    """Compute one-sided critical values of Grubbs' test."""
    return {"G": [critical_deviate(n, 1, 2.0 * inputs["alpha"]) for n in inputs["n"]]}


def prediction(inputs: Inputs) -> Answer:
    """Compute the intervals of the mean and of one further value."""
    summary = summarise_bars(inputs["x"], confidence=inputs["conf"])
    return {
        "mean": summary.mean,
        "s": summary.sd,
        "ci": [summary.low, summary.high],
        "pi": [summary.next_low, summary.next_high],
    }


def tolerance_factors(inputs: Inputs) -> Answer:
    """Compute exact two-sided tolerance factors."""
    coverage, confidence = inputs["coverage"], inputs["confidence"]
    return {"k": [two_sided_factor(n, coverage=coverage, confidence=confidence) for n in inputs["n"]]}


_IN_WORDS_OF_THE_SOURCE = {"same within tolerance": "equivalent"}


def equivalence(inputs: Inputs) -> Answer:
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


def games_howell(inputs: Inputs) -> Answer:
    """Compute simultaneous intervals of all differences of three means, unequal sizes and variances."""
    names = ("medical", "mental", "physical")
    found = compare_means([level_mean(inputs[name]) for name in names], confidence=inputs["conf"])
    differences = {
        f"{names[pair.second]}_minus_{names[pair.first]}": [pair.difference, pair.low, pair.high] for pair in found
    }
    return {**differences, "p": [pair.p for pair in found]}


def isotonic(inputs: Inputs) -> Answer:
    """Compute non-decreasing fits with equal weights, as the rise to a peak that the response to firing fits."""
    peak = max(*inputs["y1"], *inputs["y2"]) + 1.0
    return {name: rising_then_falling([*inputs[y], peak])[:-1] for name, y in (("f1", "y1"), ("f2", "y2"))}


def thermometer(inputs: Inputs) -> Answer:
    """Compute which true temperature belongs to a reading, with its interval."""
    return {name: _read_back(inputs, inputs[name]) for name in ("case1", "case2")}


def _read_back(inputs: Inputs, case: dict[str, float]) -> list[float]:
    found = read_line_backwards(inputs["x"], inputs["y"], case["y0"], confidence=case["conf"])
    return [found.estimate, found.low, found.high]


def _known(value: float | None) -> float:
    """Return a figure that a summary of several bars always has."""
    if value is None:
        raise ValueError("the summary holds no interval")
    return value
