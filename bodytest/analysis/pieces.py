"""Pieces that were really made, compared with what the bars predicted."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from bodytest.analysis.comparable import step_uncertainties
from bodytest.analysis.compared_levels import Batches, Cell, compared_levels
from bodytest.analysis.groups import as_result
from bodytest.analysis.piece_words import piece_sentence
from bodytest.frames import size_factors
from bodytest.lab.shrinkage import TOTAL_SHRINKAGE, linear_shrinkage
from bodytest.lab.uncertainty import calibration_uncertainty, step_uncertainty
from bodytest.results import Group, PieceComparison, QuantityResult, Results
from bodytest.scope import SpeaksOf
from bodytest.stats.combined_freedom import student_factor
from bodytest.stats.effects import Instruments, summarise_effects
from bodytest.stats.mean_differences import LevelMean, compare_means
from bodytest.stats.summary import MeanSummary, effective_freedom, summarise_bars
from bodytest.tables import Lab

_UNFORMED = "along"
"""Direction taken for pieces whose dimension is no direction of the bars, where there are several."""
_ONE_PIECE = "One piece alone shows no scatter, so no range can be given; measure at least two more."


def compare_pieces(results: Results, pieces: pd.DataFrame, *, confidence: float) -> tuple[PieceComparison, ...]:
    """Compare the total shrinkage of pieces with that of bars, for each body, firing and dimension.

    The piece is the unit: several rows of one piece and dimension are averaged first. Bars of the same direction as
    the dimension and, where the pieces are all of one batch, of the same batch are taken where there are any. They
    are compared as any two means are: different, the same within the shrinkage tolerance, or neither yet.

    Parameters:
        results: groups of the bars.
        pieces: rows of the Pieces table, columns `bodytest.tables.PIECE_COLUMNS`.
        confidence: of the intervals, as a fraction.
    """
    measured = pieces[pieces["wet_size_mm"].notna() & pieces["fired_size_mm"].notna()]
    if measured.empty:
        return ()
    found = measured.groupby(["body", "firing", "dimension"], sort=False)
    return tuple(
        _compare(results, (str(body), str(firing), str(dimension)), rows, confidence)
        for (body, firing, dimension), rows in found
    )


def _compare(results: Results, key: tuple[str, str, str], rows: pd.DataFrame, confidence: float) -> PieceComparison:
    body, firing, dimension = key
    one_each, calibration = _one_row_a_piece(rows, results.lab)
    shrinkage = _shrinkage(one_each, calibration, confidence)
    group = _group_for(results.groups, body, firing, dimension)
    own = _own_batch(group, one_each["batch"]) if group else None
    bars = own or (group.quantities["total_shrinkage"] if group else None)
    tolerance = results.lab.shrinkage_tolerance_points
    within = within_batches(results, group, one_each, calibration) if group else None
    difference = _difference(within or _as_summarised(bars, shrinkage), tolerance, confidence)
    if bars and within:
        bars = with_mean(bars, within[0], confidence)
    found = PieceComparison(
        body=body,
        firing=firing,
        dimension=dimension,
        pieces=shrinkage.n,
        predicted_shrinkage=bars.mean if bars else None,
        piece_shrinkage=shrinkage.mean,
        **size_factors(shrinkage, ("corrected_factor", "corrected_factor_low", "corrected_factor_high")),
        sentence="",
        direction=group.direction if group else None,
        shrinkage=shrinkage,
        wet_size_mm=float(one_each["wet_size_mm"].mean()),
        **difference,
        speaks_of=_speaks_of(group, of_batches=bool(own or within)) if group else None,
    )
    return replace(found, sentence=piece_sentence(found, shrinkage, bars, confidence, results.length_unit))


def _one_row_a_piece(rows: pd.DataFrame, lab: Lab) -> tuple[pd.DataFrame, float]:
    """Average rows of one named piece; a piece without a name is one of its own.

    Returns:
        columns ``batch``, ``wet_size_mm``, ``value`` (total shrinkage, %) and ``step`` (its standard uncertainty from
        the reading steps), and the standard uncertainty of all from calibration.
    """
    names = rows["piece"].astype(str)
    own = names.where(names != "", "row " + rows["row"].astype(str))
    by_piece = rows.assign(own=own).groupby(["sheet", "own"], sort=False)
    one_each = by_piece.agg(
        batch=("batch", "first"), wet_size_mm=("wet_size_mm", "mean"), fired_size_mm=("fired_size_mm", "mean")
    )
    wet, fired = one_each["wet_size_mm"].to_numpy(float), one_each["fired_size_mm"].to_numpy(float)
    step, calibration = _instrument(wet, fired, lab)
    return one_each.assign(value=linear_shrinkage(wet, fired), step=step), calibration


def _shrinkage(one_each: pd.DataFrame, calibration: float, confidence: float) -> QuantityResult:
    values, steps = one_each["value"].to_numpy(float), one_each["step"].to_numpy(float)
    instrument = float(np.sqrt(np.mean(np.square(steps)))), calibration
    summary = _summary(values, one_each["batch"], instrument, confidence)
    return as_result(summary, unit="%", why_no_interval=_ONE_PIECE)


def _summary(
    values: npt.NDArray[np.float64], batch: "pd.Series", instrument: tuple[float, float], confidence: float
) -> MeanSummary:
    step, calibration = instrument
    codes, names = pd.factorize(batch)
    if 1 < len(names) < len(values):
        one_load = np.zeros(len(values), dtype=np.int64)
        errors = Instruments(step, calibration)
        return summarise_effects(values, codes, one_load, confidence=confidence, instruments=errors)
    return summarise_bars(values, confidence=confidence, step_uncertainty=step, calibration_uncertainty=calibration)


def _instrument(
    wet: npt.NDArray[np.float64], fired: npt.NDArray[np.float64], lab: Lab
) -> tuple[npt.NDArray[np.float64], float]:
    """Return standard uncertainties of shrinkage: of each piece from the reading step, of all from calibration."""
    readings = {"wet_length": wet, "fired_length": fired}
    steps, calibrations = {"length": lab.step("length") or 0.0}, {"length": lab.calibration("length") or 0.0}
    step = step_uncertainty(TOTAL_SHRINKAGE, readings, steps=steps)
    calibration = calibration_uncertainty(TOTAL_SHRINKAGE, readings, calibrations=calibrations)
    return np.asarray(step), float(np.mean(calibration))


def _group_for(groups: tuple[Group, ...], body: str, firing: str, dimension: str) -> Group | None:
    fired = [g for g in groups if (g.body, g.firing) == (body, firing) and "total_shrinkage" in g.quantities]
    for direction in (dimension, _UNFORMED):
        named = [group for group in fired if group.direction.casefold() == direction.casefold()]
        if named:
            return named[0]
    return max(fired, key=lambda group: group.bars, default=None)


def _own_batch(group: Group, batches: "pd.Series") -> QuantityResult | None:
    """Return the bars of the pieces' own batch where they have one and it was tested."""
    names = {str(name) for name in batches}
    return next((one.quantities.get("total_shrinkage") for one in group.by_batch if names == {one.batch}), None)


def _speaks_of(group: Group, *, of_batches: bool) -> SpeaksOf:
    """Return whom the bars speak of: one load, and only the pieces' own batches where these are compared."""
    return SpeaksOf("this" if of_batches or len(group.batches) < 2 else "any", "this")


def _as_summarised(bars: QuantityResult | None, pieces: QuantityResult) -> tuple[LevelMean, ...]:
    """Return bars and pieces as they were summarised, where they have a mean; without scatter, variance is endless."""
    return tuple(
        LevelMean(one.mean, (one.standard_uncertainty or math.inf) ** 2, one.degrees_of_freedom or 1.0)
        for one in (bars, pieces)
        if one and one.mean is not None
    )


def _difference(compared: tuple[LevelMean, ...], tolerance: float | None, confidence: float) -> dict[str, Any]:
    """Return pieces minus bars with interval, verdict and tolerance, by field of the comparison."""
    none: dict[str, Any] = {"difference": None, "low": None, "high": None}
    if len(compared) < 2:
        return none
    if any(math.isinf(one.variance) for one in compared):
        known = {"difference": compared[1].mean - compared[0].mean, "verdict": "cannot tell yet"}
        return none | known | {"tolerance": tolerance}
    (found,) = compare_means(compared, tolerance=tolerance, confidence=confidence)
    told = {name: getattr(found, name) for name in (*none, "verdict")}
    return told | {"tolerance": tolerance, "differs": found.verdict == "different"}


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
