"""Pieces of several batches against bars of the same batches: what batches have in common drops out."""

import math
from dataclasses import replace

import numpy as np
import pandas as pd

from bodytest.analysis.comparable import step_uncertainties
from bodytest.analysis.compared_levels import Batches, Cell, compared_levels
from bodytest.results import Group, QuantityResult, Results
from bodytest.stats.mean_differences import LevelMean
from bodytest.stats.summary import effective_freedom, student_factor

_TOTAL = "total_shrinkage"


def within_batches(
    results: Results, group: Group, pieces: pd.DataFrame, calibration: float
) -> tuple[LevelMean, LevelMean] | None:
    """Return bars and pieces as they scatter within the batches of the pieces.

    None where the pieces are of one batch, or of a batch that has no bars.

    Parameters:
        results: of the analysis.
        group: the bars that the pieces are compared with.
        pieces: one row for each, columns ``batch``, ``value`` (total shrinkage, %) and ``step`` (its standard
            uncertainty from the reading steps).
        calibration: standard uncertainty of the pieces' shrinkage from calibration, percentage points.
    """
    bars = results.bars
    own = bars[(bars["left_out"] == "") & (bars["group"] == results.groups.index(group)) & bars[_TOTAL].notna()]
    made = _batches(pieces)
    if len(made) < 2 or not set(made) <= set(own["batch"]) - {""}:
        return None
    tested = _batches(own.assign(value=own[_TOTAL], step=step_uncertainties(results, own, _TOTAL)))
    levels, _ = compared_levels({"bars": tested, "pieces": made}, "position")
    if len(levels) < 2:
        return None
    of_bars = group.quantities[_TOTAL].certainty
    shares = of_bars.shares if of_bars else ()
    of_bench = math.hypot(*(one.standard_uncertainty for one in shares if one.source == "calibration"))
    return _with_calibration(levels[0].mean, of_bench), _with_calibration(levels[1].mean, calibration)


def _batches(rows: pd.DataFrame) -> Batches:
    return {
        str(batch): Cell(of["value"].to_numpy(dtype=float), of["step"].to_numpy(dtype=float), np.arange(len(of)))
        for batch, of in rows.groupby("batch", sort=False)
    }


def _with_calibration(level: LevelMean, calibration: float) -> LevelMean:
    variance = level.variance + calibration**2
    return LevelMean(level.mean, variance, effective_freedom(variance, level.variance, level.degrees_of_freedom))


def with_mean(bars: QuantityResult, level: LevelMean, confidence: float) -> QuantityResult:
    """Return the bars' figure with the mean of those batches and its interval."""
    half = student_factor(level.degrees_of_freedom, confidence) * math.sqrt(level.variance)
    return replace(bars, mean=level.mean, low=level.mean - half, high=level.mean + half)
