"""Length at each stage over the wet length, from bars measured at all stages, with the covariance of their means."""

import math
from dataclasses import dataclass
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
    errors = _Errors.of(bench, rows, ratios.mean(axis=0), stages)

    def mean_and_variance(weights: Array) -> tuple[float, float]:
        """Return a weighted sum of the ratios and the variance of its mean."""
        found = summarise_effects(ratios @ weights, batches, loads, instruments=errors.in_sum(weights))
        return found.mean, (found.standard_uncertainty or 0.0) ** 2

    each = np.eye(len(stages))
    alone = [mean_and_variance(one) for one in each]
    covariance = np.diag([variance for _, variance in alone])
    for a, b in combinations(range(len(each)), 2):
        both = (mean_and_variance(each[a] + each[b])[1] - mean_and_variance(each[a] - each[b])[1]) / 4.0
        most = math.sqrt(alone[a][1] * alone[b][1])
        covariance[a, b] = covariance[b, a] = min(max(both, -most), most)
    return [mean for mean, _ in alone], covariance


@dataclass(frozen=True)
class _Errors:
    """What the instruments add to the ratio of one stage, and from it to any weighted sum of ratios.

    Every length errs by δ: the sum by Σ w δ/L − (Σ w r) δ_wet/L, all of them the same δ where the Lab table says that
    errors are alike.
    """

    ratios: Array
    known: Array
    of_known: Instruments
    alike: bool

    @classmethod
    def of(cls, bench: Bench, rows: Rows, ratios: Array, stages: list[str]) -> "_Errors":
        stage = next((one for one in _SHRINKAGES if one in stages), None)
        alike = bench.lab_of(rows).length_errors == ALIKE
        if stage is None:
            return cls(ratios, np.ones(len(stages)), EXACT, alike)
        seen = instrument_errors(bench, QUANTITY_BY_KEY[_SHRINKAGES[stage]], rows)
        known = np.array([float(one == stage) for one in stages])
        of_known = Instruments(seen.step / 100.0, seen.calibration / 100.0, seen.shared_step / 100.0)
        return cls(ratios, known, of_known, alike)

    def in_sum(self, weights: Array) -> Instruments:
        """Return them for a weighted sum."""
        own = self._on_their_own(weights) / self._on_their_own(self.known)
        alike = self._together(weights) / max(self._together(self.known), 1e-9)
        return Instruments(
            self.of_known.step * own,
            self.of_known.calibration * (alike if self.alike else own),
            None if self.of_known.shared_step is None else self.of_known.shared_step * own,
        )

    def _on_their_own(self, weights: Array) -> float:
        return math.hypot(*weights, float(weights @ self.ratios))

    def _together(self, weights: Array) -> float:
        return abs(float(weights.sum()) - float(weights @ self.ratios))
