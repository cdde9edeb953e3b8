"""Length at each stage over the wet length, from bars measured at all stages, with the covariance of their means."""

import math
from collections.abc import Callable
from itertools import combinations
from typing import Any

import numpy as np

from bodytest.analysis.bench import Bench, Rows
from bodytest.analysis.instruments import instrument_errors
from bodytest.analysis.values import ALIKE, Array
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.stage_ratios import StageRatio
from bodytest.stats.effects import EXACT, Instruments, summarise_effects

_READINGS = {
    "leather-hard": "leather_hard_length",
    "dry": "dry_length",
    "bisque": "bisque_length",
    "fired": "fired_length",
}
_SHRINKAGES = {
    "fired": "total_shrinkage",
    "dry": "drying_shrinkage",
    "leather-hard": "leather_hard_shrinkage",
}


def stages_of(bench: Bench, rows: Rows) -> dict[str, Any]:
    """Return each stage's length over the wet one, and the covariance of these means in the same order.

    Only bars that were measured wet and at every stage at which any of them was count, so that a size may be followed
    from stage to stage in one step or in several, with the same result. Covariances come from the variances of sums
    and differences of two ratios, cov(a, b) = (u²(a + b) − u²(a − b))/4, each found as that of any mean.

    Parameters:
        bench: tables and values.
        rows: bars that count.

    Returns:
        ``stages`` and ``stage_covariance``; neither where fewer than two bars were measured so far.
    """
    wet = bench.values.readings["wet_length"][rows]
    lengths = {stage: bench.values.readings[key][rows] for stage, key in _READINGS.items()}
    measured = {stage: values for stage, values in lengths.items() if not np.isnan(values).all()}
    complete = ~np.isnan(np.array([wet, *measured.values()])).any(axis=0)
    if not measured or complete.sum() < 2:
        return {}
    ratios = np.column_stack([values[complete] / wet[complete] for values in measured.values()])
    means, covariance = _means(bench, rows[complete], ratios, list(measured))
    found = {
        stage: StageRatio(mean, math.sqrt(variance))
        for stage, mean, variance in zip(measured, means, np.diagonal(covariance).tolist(), strict=True)
    }
    return {"stages": found, "stage_covariance": tuple(tuple(row) for row in covariance.tolist())}


def _means(bench: Bench, rows: Rows, ratios: Array, stages: list[str]) -> tuple[list[float], Array]:
    batches, loads = bench.batch_of_bar[rows], bench.load_of_bar[rows]
    errors_in = _errors_in_sums(bench, rows, ratios.mean(axis=0), stages)

    def mean_and_variance(weights: Array) -> tuple[float, float]:
        """Return a weighted sum of the ratios and the variance of its mean."""
        found = summarise_effects(ratios @ weights, batches, loads, instruments=errors_in(weights))
        return found.mean, (found.standard_uncertainty or 0.0) ** 2

    each = np.eye(len(stages))
    alone = [mean_and_variance(one) for one in each]
    covariance = np.diag([variance for _, variance in alone])
    for a, b in combinations(range(len(each)), 2):
        both = (mean_and_variance(each[a] + each[b])[1] - mean_and_variance(each[a] - each[b])[1]) / 4.0
        most = math.sqrt(alone[a][1] * alone[b][1])
        covariance[a, b] = covariance[b, a] = min(max(both, -most), most)
    return [mean for mean, _ in alone], covariance


def _errors_in_sums(bench: Bench, rows: Rows, ratios: Array, stages: list[str]) -> Callable[[Array], Instruments]:
    """Return a function of weights that tells what the instruments add to the weighted sum of the ratios.

    Every length errs by δ: the sum by Σ w δ/L − (Σ w r) δ_wet/L, all of them the same δ where the Lab table says that
    errors are alike.
    """
    stage = next((one for one in _SHRINKAGES if one in stages), None)
    if stage is None:
        return lambda _: EXACT
    seen = instrument_errors(bench, QUANTITY_BY_KEY[_SHRINKAGES[stage]], rows)
    known = np.array([float(one == stage) for one in stages])
    are_alike = bench.lab_of(rows).length_errors == ALIKE

    def on_their_own(weights: Array) -> float:
        return math.hypot(*weights, float(weights @ ratios))

    def together(weights: Array) -> float:
        return abs(float(weights.sum()) - float(weights @ ratios))

    def in_sum(weights: Array) -> Instruments:
        own = on_their_own(weights) / on_their_own(known)
        alike = together(weights) / max(together(known), 1e-9)
        return Instruments(
            seen.step / 100.0 * own,
            seen.calibration / 100.0 * (alike if are_alike else own),
            seen.shared_step / 100.0 * own,
        )

    return in_sum
