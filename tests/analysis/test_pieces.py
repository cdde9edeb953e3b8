import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from bodytest.analysis.analysing import summarise
from bodytest.analysis.pieces import compare_pieces
from bodytest.results import BatchResult
from bodytest.stats.mean_differences import LevelMean, compare_means
from bodytest.tables import PIECE_COLUMNS
from tests.analysis.example_tables import bar, checked, firing
from tests.export.example_results import group, quantity, results

BARS = results(group(total_shrinkage=(12.0, 0.25, 10)))


def pieces(*rows):
    """Rows of (piece, dimension, wet mm, fired mm); more keys by dictionary."""
    blank = {
        "sheet": 0,
        "body": "Drift Buff",
        "batch": "A",
        "firing": "C6",
        "leather_hard_size_mm": math.nan,
        "notes": "",
    }
    names = ("piece", "dimension", "wet_size_mm", "fired_size_mm")
    made = [
        blank | {"row": n + 2} | dict(zip(names, row[:4], strict=True)) | (row[4] if len(row) > 4 else {})
        for n, row in enumerate(rows)
    ]
    return pd.DataFrame(made, columns=list(PIECE_COLUMNS))


JARS = pieces(
    ("1", "height", 200, 177.4), ("2", "height", 200, 177.0), ("3", "height", 200, 177.2), ("4", "height", 200, 177.8)
)
"""Shrinkages 11.3, 11.5, 11.4 and 11.1 %: mean 11.325, SD 0.170783."""


def test_the_difference_and_its_interval_by_hand():
    (found,) = compare_pieces(BARS, JARS, confidence=0.95)
    u_pieces, u_bars = 0.1707825 / 2, 0.25 / math.sqrt(10)
    together = math.hypot(u_pieces, u_bars)
    # Few pieces: each variance weighs at its upper limit, and half the way goes to the three degrees of freedom.
    upper_pieces, upper_bars = u_pieces**2 * 3 / stats.chi2.ppf(0.05, 3), u_bars**2 * 9 / stats.chi2.ppf(0.05, 9)
    welch = (upper_pieces + upper_bars) ** 2 / (upper_pieces**2 / 3 + upper_bars**2 / 9)
    freedom = (welch + 3) / 2
    half = stats.t.ppf(0.975, freedom) * together
    assert (found.pieces, found.piece_shrinkage, found.difference) == pytest.approx((4, 11.325, -0.675), abs=1e-9)
    assert (found.low, found.high) == pytest.approx((-0.675 - half, -0.675 + half), abs=1e-6)
    assert found.differs is True


def test_the_corrected_factor_is_that_of_the_pieces():
    (found,) = compare_pieces(BARS, JARS, confidence=0.95)
    # 1 / (1 − 0.11325) = 1.127714; t(0.975; 3) × 0.170783 / 2 = 0.271753
    assert found.corrected_factor == pytest.approx(1.127714, abs=1e-6)
    assert found.corrected_factor_low == pytest.approx(1 / (1 - 0.11325 + 0.00271753), abs=1e-6)
    assert found.corrected_factor_high == pytest.approx(1 / (1 - 0.11325 - 0.00271753), abs=1e-6)


def test_welch_says_the_same():
    """The interval of the difference is that of scipy's Welch test on the same values."""
    rng = np.random.default_rng(5)
    bars, made = rng.normal(12, 0.3, 10), rng.normal(11.5, 0.2, 7)
    of_bars = quantity("total_shrinkage", bars.mean(), bars.std(ddof=1), 10)
    rows = [(str(n), "height", 100.0, 100.0 - s) for n, s in enumerate(made)]
    (found,) = compare_pieces(results(group(total_shrinkage=of_bars)), pieces(*rows), confidence=0.95)
    interval = stats.ttest_ind(made, bars, equal_var=False).confidence_interval()
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), abs=1e-9)


def test_pieces_that_differ_are_told_with_the_factor_to_use():
    (found,) = compare_pieces(BARS, JARS, confidence=0.95)
    assert (found.verdict, found.wet_size_mm) == ("different", 200.0)
    assert found.sentence == (
        "4 pieces shrank 11.32\xa0% in height, the bars predicted 12.00\xa0%: different. Made 200\xa0mm wet they come"
        " out 0.7 to 2.0\xa0mm larger than the bars say, with 95\xa0% confidence, so for height use the factor 1.128."
    )


ALIKE = pieces(("1", "width", 100, 88.1), ("2", "width", 100, 87.7), ("3", "width", 100, 88.2))


def test_pieces_that_do_not_differ_for_certain_are_not_called_the_same_without_a_tolerance():
    (found,) = compare_pieces(BARS, ALIKE, confidence=0.95)
    assert (found.differs, found.verdict, found.tolerance) == (False, "cannot tell yet", None)
    assert found.sentence == (
        "3 pieces shrank 12.0\xa0% in width, the bars predicted 12.0\xa0%: cannot tell yet. Made 100\xa0mm wet they"
        " may come out up to 0.7\xa0mm smaller or 0.7\xa0mm larger than the bars say (on 200\xa0mm up to 1.4 or"
        " 1.4\xa0mm), with 95\xa0% confidence. State a shrinkage tolerance on the Lab sheet, so that they can be called"
        " the same."
    )


def test_pieces_are_the_same_only_where_the_interval_lies_within_the_tolerance():
    def told(points):
        lab = replace(BARS.lab, shrinkage_tolerance_points=points)
        (found,) = compare_pieces(replace(BARS, lab=lab), ALIKE, confidence=0.95)
        return found

    assert (told(0.3).verdict, told(0.8).verdict) == ("cannot tell yet", "same within tolerance")
    assert told(0.3).sentence.endswith(" with 95\xa0% confidence. Measure more pieces, or more bars of that firing.")
    assert told(0.8).sentence.startswith(
        "3 pieces shrank 12.0\xa0% in width, the bars predicted 12.0\xa0%: the same within 0.8 percentage points. Made"
    )
    assert told(0.8).sentence.endswith(" with 95\xa0% confidence: the size goes by the bars.")


def test_one_piece_gives_no_interval_but_is_held_against_the_next_bar():
    (found,) = compare_pieces(BARS, pieces(("1", "width", 100, 89.0)), confidence=0.95)
    assert (found.difference, found.low, found.corrected_factor_low) == (pytest.approx(-1.0), None, None)
    assert (found.verdict, found.differs) == ("cannot tell yet", None)
    assert found.sentence == (
        "1 piece shrank 11.00\xa0% in width, the bars predicted 12.00\xa0%: cannot tell yet; one piece shows no"
        " scatter, so no interval can be given, but it lies outside the range of the next bar (11.4 to 12.6\xa0%)."
    )


def test_pieces_of_several_batches_are_held_against_bars_of_the_same_batches():
    # Batches A, B and C differ by a point each; pieces of A and B shrank 0.5 points more than the bars of A and B.
    made = [
        bar(f"{batch}{at}", {"wet_length": 100.0, "fired_length": 88.0 - shift - off}, body="Grey", firing="C6",
            batch=batch, direction="along")
        for batch, shift in {"A": 0.0, "B": 1.0, "C": 2.0}.items()
        for at, off in enumerate((-0.1, 0.0, 0.1))
    ]  # fmt: skip
    of_pieces = pieces(*(
        (f"{batch}{at}", "width", 100.0, 87.5 - shift - off, {"body": "Grey", "batch": batch})
        for batch, shift in {"A": 0.0, "B": 1.0}.items()
        for at, off in enumerate((-0.1, 0.1))
    ))  # fmt: skip
    (found,) = compare_pieces(summarise(checked(made, firings=[firing("C6")])), of_pieces, confidence=0.95)
    assert (found.predicted_shrinkage, found.difference) == pytest.approx((12.5, 0.5), abs=1e-6)
    # Within batches, bars: s² = 0.01 with 4 degrees of freedom, pieces: s² = 0.02 with 2.
    bars, own = LevelMean(12.5, 0.01 / 6, 4.0), LevelMean(13.0, 0.02 / 4, 2.0)
    (expected,) = compare_means([bars, own])
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high), abs=1e-3)
    # A piece of a batch without bars: the bars of all batches speak, and their batches scatter.
    elsewhere = of_pieces.assign(batch=["A", "A", "D", "D"])
    (wide,) = compare_pieces(summarise(checked(made, firings=[firing("C6")])), elsewhere, confidence=0.95)
    assert wide.predicted_shrinkage == pytest.approx(13.0)
    assert wide.high - wide.low > 4.0


def test_without_bars_of_the_firing_the_pieces_speak_alone():
    (found,) = compare_pieces(BARS, JARS.assign(firing="C9"), confidence=0.95)
    assert (found.predicted_shrinkage, found.difference, found.direction) == (None, None, None)
    assert found.sentence == (
        "4 pieces shrank 11.32\xa0% in height; there are no bars of that firing to compare with, so for height use the"
        " factor 1.128."
    )


def test_the_piece_is_the_unit_and_its_rows_are_averaged():
    twice = pieces(("1", "width", 100, 88.0), ("1", "width", 100, 87.0), ("2", "width", 100, 88.5))
    (found,) = compare_pieces(BARS, twice, confidence=0.95)
    # piece 1: 12.5 %, piece 2: 11.5 %
    assert (found.pieces, found.piece_shrinkage) == (2, pytest.approx(12.0))


def test_pieces_without_a_name_are_each_their_own():
    (found,) = compare_pieces(BARS, pieces(("", "width", 100, 88.0), ("", "width", 100, 87.0)), confidence=0.95)
    assert found.pieces == 2


def test_pieces_not_fired_yet_are_waited_for():
    assert compare_pieces(BARS, pieces(("1", "width", 100, math.nan)), confidence=0.95) == ()
    assert compare_pieces(BARS, pieces(), confidence=0.95) == ()


def test_bars_of_the_same_direction_and_batch_are_taken():
    in_a = {"total_shrinkage": quantity("total_shrinkage", 12.5, 0.2, 5)}
    along = group(total_shrinkage=(12.0, 0.25, 10), batches=("A", "B"), by_batch=(BatchResult("A", 5, in_a),))
    height = group(direction="Height", total_shrinkage=(11.0, 0.25, 10))
    both = results(along, height)
    assert compare_pieces(both, JARS, confidence=0.95)[0].direction == "Height"
    assert compare_pieces(both, JARS.assign(dimension="width"), confidence=0.95)[0].predicted_shrinkage == 12.5
    assert (
        compare_pieces(both, JARS.assign(dimension="width", batch="B"), confidence=0.95)[0].predicted_shrinkage == 12.0
    )


def test_each_body_firing_and_dimension_is_compared_apart():
    two = pd.concat([JARS, JARS.assign(dimension="width")], ignore_index=True)
    assert [(one.dimension, one.pieces) for one in compare_pieces(BARS, two, confidence=0.95)] == [
        ("height", 4),
        ("width", 4),
    ]


def test_pieces_that_all_read_alike_keep_the_uncertainty_of_the_reading_step():
    alike = pieces(("1", "width", 100, 88), ("2", "width", 100, 88))
    (found,) = compare_pieces(BARS, alike, confidence=0.95)
    # u = 100 × 0.1/√12 / 100 × √(1 + 0.88²) = 0.038454 points for one piece, a shared error of both
    assert found.shrinkage.sd == pytest.approx(0.038454, abs=1e-6)
    assert found.shrinkage.low < 12.0 < found.shrinkage.high
