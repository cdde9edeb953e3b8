"""Published examples of batches, their variances and their course over time, by the program's own functions."""

import math

import numpy as np

from bodytest.stats.components import reml_components
from bodytest.stats.control_chart import ewma_chart, individuals_chart
from bodytest.stats.effects import summarise_effects
from bodytest.stats.mean_squares import mean_squares
from bodytest.stats.restricted_likelihood import Cells, cells_of
from bodytest.verify.examples import Answer, Inputs


def anova(inputs: Inputs) -> Answer:
    """Compute the table of a balanced one-way analysis of variance from its mean squares."""
    cells = _cells(inputs["groups"])
    squares, bars = mean_squares(cells), int(cells.layout.sizes[0])
    within, between = float(squares.bar_variance), bars * float(squares.batch.value)
    return {
        "ss_between": between * squares.batch.freedom,
        "ss_within": float(squares.residual_squares),
        "df_between": squares.batch.freedom,
        "df_within": squares.bar_freedom,
        "ms_between": between,
        "ms_within": within,
        "F": between / within,
    }


def certified_anova(inputs: Inputs) -> Answer:
    """Compute the same table with the residual SD."""
    table = anova(inputs)
    return {**table, "residual_sd": math.sqrt(table["ms_within"])}


def dyestuff(inputs: Inputs) -> Answer:
    """Compute SDs between and within batches by restricted maximum likelihood."""
    values, index = stacked(inputs["groups"])
    summary = summarise_effects(values, index, np.zeros_like(index))
    return {
        "sd_batch": summary.batch_sd,
        "sd_resid": summary.bar_sd,
        "reml_criterion": float(reml_components(_cells(inputs["groups"])).fit.criterion),
        "mean": summary.mean,
    }


def batches_and_loads(inputs: Inputs) -> Answer:
    """Compute the design, the mean and SDs between batches, between loads and between bars."""
    batches, loads = (np.unique(inputs[kind], return_inverse=True)[1] for kind in ("batch", "load"))
    found = summarise_effects(inputs["value"], batches, loads)
    sds = {"load_sd": found.load_sd, "bar_sd": found.bar_sd, "batch_sd": found.batch_sd}
    if found.design not in ("crossed", "nested"):
        del sds["batch_sd"]
    return {"design": found.design, "mean": found.mean, "se": found.model_standard_error, **sds}


def individuals(inputs: Inputs) -> Answer:
    """Compute centre and limits of single values in the order of time."""
    chart = individuals_chart(inputs["x"])
    return {
        "xbar": chart.centre,
        "mrbar": chart.mean_range,
        "ucl": chart.high,
        "lcl": chart.low,
        "mr_ucl": chart.range_high,
    }


def ewma(inputs: Inputs) -> Answer:
    """Compute the exponentially weighted moving average and its limits after many values."""
    chart = ewma_chart(inputs["x"], centre=inputs["target"], sd=inputs["s"], weight=inputs["lam"])
    return {"ewma": chart.averages, "ucl": chart.high[-1], "lcl": chart.low[-1]}


def _cells(groups: list[list[float]]) -> Cells:
    """Return the values as cells of as many batches in one load."""
    values, index = stacked(groups)
    return cells_of(values, index, np.zeros_like(index))


def stacked(groups: list[list[float]]) -> tuple[np.ndarray, np.ndarray]:
    """Return all values below each other and the batch of each."""
    return np.concatenate(groups), np.repeat(np.arange(len(groups)), [len(group) for group in groups])
