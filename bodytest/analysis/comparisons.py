"""Comparing batches, bodies, firings, directions and positions: results in, verdicts out."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from bodytest.analysis.comparable import ComparableBars, comparable_bars
from bodytest.analysis.compared_levels import ComparedLevel
from bodytest.analysis.comparison_words import difference_sentence, verdict_sentence, welch_sentence
from bodytest.comparison import Comparison, Difference, LevelResult
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Results
from bodytest.stats.combined_freedom import student_factor
from bodytest.stats.mean_differences import MeanDifference, compare_means, welch_anova
from bodytest.units import on_piece

USUAL_QUANTITIES = ("total_shrinkage", "absorption")
"""Compared when no quantity is asked for."""
USUAL = (("batch", USUAL_QUANTITIES), ("direction", USUAL_QUANTITIES[:1]), ("position", USUAL_QUANTITIES[:1]))
"""What is compared by what where nobody asks."""
MOST_LEVELS = 8
_ON_A_PIECE = {
    "leather_hard_shrinkage": "wet", "drying_shrinkage": "wet", "total_shrinkage": "wet",
    "bisque_shrinkage": "dry", "firing_shrinkage": "dry",
}  # fmt: skip
"""Shrinkages that a difference in length follows from, and when the piece measures 200 mm."""


def compare(
    results: Results,
    by: str,
    *,
    quantities: Sequence[str] = USUAL_QUANTITIES,
    tolerance: float | None = None,
    most: int | None = None,
) -> tuple[Comparison, ...]:
    """Compare the bars of an analysis by one thing, everything else being equal.

    Parameters:
        results: of an analysis.
        by: batch, body, firing, direction or position.
        quantities: keys of the quantities; those that nobody measured are passed over.
        tolerance: largest difference that does not matter, in the unit of every quantity asked for; when None, the
            shrinkage tolerance of the Lab sheet, for shrinkages.
        most: levels above which a comparison is left out; None for no bound.
    """
    of_shrinkage = results.lab.shrinkage_tolerance_points if tolerance is None else tolerance
    return tuple(
        _comparison(results, by, quantity, found, of_shrinkage if quantity in _ON_A_PIECE else tolerance)
        for quantity in quantities
        for found in comparable_bars(results, by, quantity)
        if most is None or len(found.levels) <= most
    )


def usual_comparisons(results: Results) -> tuple[Comparison, ...]:
    """Return what a report shows: shrinkage and absorption by batch, shrinkage by direction and by position.

    More levels than `MOST_LEVELS` are left to the command, which has room for all their pairs.
    """
    found = (one for by, quantities in USUAL for one in compare(results, by, quantities=quantities, most=MOST_LEVELS))
    return tuple(found)


def _comparison(results: Results, by: str, quantity: str, found: ComparableBars, tolerance: float | None) -> Comparison:
    means = [level.mean for level in found.levels]
    paired = {pair: same.mean for pair, same in found.paired.items()}
    welch = None if paired else welch_anova(means)
    differences = tuple(
        _difference(found, quantity, tolerance, difference, results.length_unit)
        for difference in compare_means(means, tolerance=tolerance, confidence=results.confidence, paired=paired)
    )
    return Comparison(
        by=by,
        **{name: found.common.get(name) for name in ("body", "firing", "direction", "absorption_method")},
        quantity=quantity,
        unit=QUANTITY_BY_KEY[quantity].unit,
        confidence=results.confidence,
        tolerance=tolerance,
        levels=tuple(_level(level, results.confidence) for level in found.levels),
        welch_statistic=welch.statistic if welch else None,
        welch_between_freedom=welch.between_freedom if welch else None,
        welch_within_freedom=welch.within_freedom if welch else None,
        welch_p=welch.p if welch else None,
        differences=differences,
        verdict=verdict_sentence([(d.first, d.second, d.verdict) for d in differences]),
        welch=welch_sentence(welch, same_bars=bool(paired)),
        notes=found.notes,
        length_unit=results.length_unit,
    )


def _level(level: ComparedLevel, confidence: float) -> LevelResult:
    mean, freedom, uncertainty = level.mean.mean, level.mean.degrees_of_freedom, float(np.sqrt(level.mean.variance))
    half = student_factor(freedom, confidence) * uncertainty
    return LevelResult(level.name, level.bars, level.batches, mean, uncertainty, freedom, mean - half, mean + half)


def _difference(
    found: ComparableBars, quantity: str, tolerance: float | None, difference: MeanDifference, length_unit: str
) -> Difference:
    first, second = (found.levels[place].name for place in (difference.first, difference.second))
    same, state = found.paired.get((difference.first, difference.second)), _ON_A_PIECE.get(quantity, "")
    amounts = (difference.difference, difference.low, difference.high)
    mm, mm_low, mm_high = (on_piece(amount, "mm") if state else None for amount in amounts)
    bare = Difference(
        first,
        second,
        *amounts,
        difference.p,
        difference.same_p,
        mm_on_piece=mm,
        mm_low=mm_low,
        mm_high=mm_high,
        verdict=difference.verdict,
        sentence="",
        same_bars=same.bars if same else None,
    )
    said = difference_sentence(found.by, QUANTITY_BY_KEY[quantity], bare, state, tolerance, length_unit)
    return replace(bare, sentence=said)
