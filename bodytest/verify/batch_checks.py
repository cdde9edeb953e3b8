"""Published examples of batches, their variances and their course over time, by the program's own functions."""

import math
from typing import Any

import numpy as np

from bodytest.stats.batches import summarise_batches
from bodytest.stats.control_chart import ewma_chart, individuals_chart
from bodytest.stats.variance_components import anova_components, batch_moments, reml_components

Inputs = dict[str, Any]
Ours = dict[str, Any]


def anova(inputs: Inputs) -> Ours:
    """Compute the table of a balanced one-way analysis of variance from its variance components."""
    values, index = _stacked(inputs["groups"])
    moments = batch_moments(values, index)
    components = anova_components(moments)
    within = float(components.bar_variance)
    between = within + float(moments.sizes[0]) * float(components.batch_variance)
    batches, bars = moments.batches, int(moments.bars)
    return {
        "ss_between": between * (batches - 1),
        "ss_within": float(moments.within_squares),
        "df_between": batches - 1,
        "df_within": bars - batches,
        "ms_between": between,
        "ms_within": within,
        "F": between / within,
    }


def certified_anova(inputs: Inputs) -> Ours:
    """Compute the same table with the residual SD."""
    table = anova(inputs)
    return {**table, "residual_sd": math.sqrt(table["ms_within"])}


def dyestuff(inputs: Inputs) -> Ours:
    """Compute SDs between and within batches by restricted maximum likelihood."""
    values, index = _stacked(inputs["groups"])
    summary = summarise_batches(values, index)
    return {
        "sd_batch": summary.batch_sd,
        "sd_resid": summary.bar_sd,
        "reml_criterion": float(reml_components(batch_moments(values, index)).criterion),
        "mean": summary.mean,
    }


def individuals(inputs: Inputs) -> Ours:
    """Compute centre and limits of single values in the order of time."""
    chart = individuals_chart(inputs["x"])
    return {
        "xbar": chart.centre,
        "mrbar": chart.mean_range,
        "ucl": chart.high,
        "lcl": chart.low,
        "mr_ucl": chart.range_high,
    }


def ewma(inputs: Inputs) -> Ours:
    """Compute the exponentially weighted moving average and its limits after many values."""
    chart = ewma_chart(inputs["x"], centre=inputs["target"], sd=inputs["s"], weight=inputs["lam"])
    return {"ewma": chart.averages, "ucl": chart.high[-1], "lcl": chart.low[-1]}


def _stacked(groups: list[list[float]]) -> tuple[np.ndarray, np.ndarray]:
    """Return all values below each other and the batch of each."""
    return np.concatenate(groups), np.repeat(np.arange(len(groups)), [len(group) for group in groups])
