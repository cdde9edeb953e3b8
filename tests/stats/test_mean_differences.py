"""Comparing means, against published values, R, scipy and statsmodels."""

import json
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from bodytest.stats.mean_differences import LevelMean, compare_means, level_mean, welch_anova
from bodytest.stats.simultaneous import range_probability, range_quantile
from tests.stats.one_batch_values import published

FROM_R = json.loads((Path(__file__).parent / "r" / "several_batches.json").read_text(encoding="utf-8"))


def split(block):
    return np.split(np.array(block["values"]), np.cumsum(block["sizes"])[:-1])


def test_the_published_games_howell_intervals_are_reproduced():
    example = published("games-howell-99")  # rstatix, in the test suite of statsmodels
    groups = [level_mean(example.inputs[name]) for name in ("medical", "mental", "physical")]
    found = compare_means(groups, confidence=example.inputs["conf"])
    pairs = ("mental_minus_medical", "physical_minus_medical", "physical_minus_mental")
    for pair, difference, p, within in zip(pairs, found, example.expected["p"], example.tolerance["p"], strict=True):
        ours = (difference.difference, difference.low, difference.high)
        assert ours == pytest.approx(example.expected[pair], abs=1e-6)
        assert difference.p == pytest.approx(p, abs=within)


def test_the_published_equivalence_test_is_reproduced():
    example = published("tost-clinic-welch-1")  # R tost(), in the test suite of statsmodels
    y, x = level_mean(example.inputs["y"]), level_mean(example.inputs["x"])
    (found,) = compare_means([y, x], tolerance=example.inputs["margin"], confidence=1.0 - example.inputs["alpha"])
    assert found.difference == pytest.approx(example.expected["mean_diff"], abs=1e-10)
    assert found.same_p == pytest.approx(example.expected["p"], abs=1e-9)
    assert found.verdict == "same within tolerance"
    (wide,) = compare_means([y, x], confidence=0.90)
    assert (wide.low, wide.high) == pytest.approx(example.expected["ci90"], abs=1e-9)


def test_a_tolerance_just_below_the_equivalence_limit_leaves_it_open():
    example = published("tost-clinic-welch-1")
    y, x = level_mean(example.inputs["y"]), level_mean(example.inputs["x"])
    edge = example.expected["ci90"][1]
    assert compare_means([y, x], tolerance=edge + 1e-9)[0].verdict == "same within tolerance"
    assert compare_means([y, x], tolerance=edge - 1e-9)[0].verdict == "cannot tell yet"


@pytest.mark.parametrize("confidence", [0.95, 0.99])
def test_differences_equal_another_implementation(confidence):
    from scipy.stats import tukey_hsd

    rng = np.random.default_rng(11)
    for sizes in ((10, 12, 15, 11), (7, 8, 20)):  # enough bars for Games–Howell to hold
        groups = [rng.normal(12.0, 0.1 * (1 + place), n) for place, n in enumerate(sizes)]
        theirs = tukey_hsd(*groups, equal_var=False)
        interval = theirs.confidence_interval(confidence)
        for found in compare_means([level_mean(group) for group in groups], confidence=confidence):
            assert found.low == pytest.approx(interval.low[found.second, found.first], abs=1e-6)
            assert found.high == pytest.approx(interval.high[found.second, found.first], abs=1e-6)
            assert found.p == pytest.approx(theirs.pvalue[found.first, found.second], abs=1e-6)


def test_differences_equal_r():
    block = FROM_R["compared"]
    found = compare_means([level_mean(group) for group in split(block)])
    for difference, r in zip(found, block["differences"], strict=True):
        assert (difference.difference, difference.low, difference.high) == pytest.approx(r[:3], abs=1e-6)
        assert difference.p == pytest.approx(r[3], abs=1e-6)  # the accuracy of ptukey


@pytest.mark.parametrize("name", ["apart", "alike"])
def test_welchs_analysis_of_variance_equals_r(name):
    found, r = welch_anova([level_mean(group) for group in split(FROM_R[name])]), FROM_R[name]["welch"]
    ours = (found.statistic, found.between_freedom, found.within_freedom, found.p)
    assert ours == pytest.approx(r, rel=1e-9)


def test_welchs_analysis_of_variance_equals_another_implementation():
    from statsmodels.stats.oneway import anova_oneway

    groups = split(FROM_R["compared"])
    found, theirs = welch_anova([level_mean(group) for group in groups]), anova_oneway(groups, use_var="unequal")
    assert (found.statistic, found.p) == pytest.approx((theirs.statistic, theirs.pvalue), rel=1e-9)


def test_welchs_analysis_of_variance_is_not_made_up_where_one_mean_has_no_scatter():
    assert welch_anova([LevelMean(12.0, 0.0, 4.0), LevelMean(12.4, 0.01, 4.0)]) is None


def test_the_studentised_range_equals_r_and_another_implementation():
    from scipy.stats import studentized_range

    for (spread, levels, freedom), r in zip(
        [(3.5, 3, 10), (2.2, 4, 3.7), (5, 6, 40)], FROM_R["compared"]["ranges"], strict=False
    ):
        assert range_probability(spread, levels, freedom) == pytest.approx(r, abs=1e-7)
    for levels, freedom, probability in ((3, 1.0, 0.95), (5, 4.3, 0.95), (12, 20.0, 0.99), (8, 300.0, 0.9)):
        theirs = studentized_range.ppf(probability, levels, freedom)
        assert range_quantile(probability, levels, freedom) == pytest.approx(theirs, rel=1e-7)


def test_two_levels_of_many_bars_are_compared_by_welchs_t():
    from scipy.stats import ttest_ind

    x, y = [12.1, 12.4, 11.9, 12.2, 12.0, 12.3, 12.2], [12.6, 12.9, 12.5, 12.4, 13.0, 12.7, 12.6, 12.8]
    (found,) = compare_means([level_mean(x), level_mean(y)])
    theirs = ttest_ind(y, x, equal_var=False)
    assert found.p == pytest.approx(theirs.pvalue, rel=1e-9)
    interval = theirs.confidence_interval(0.95)
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), rel=1e-9)


def test_as_many_bars_in_both_of_two_batches_of_five_are_compared_by_welchs_t():
    from scipy.stats import ttest_ind

    x, y = [12.1, 12.4, 11.9, 12.2, 12.0], [12.6, 13.2, 12.1, 12.4, 13.0]
    assert compare_means([level_mean(x), level_mean(y)])[0].p == pytest.approx(ttest_ind(x, y, equal_var=False).pvalue)


@pytest.mark.parametrize("sizes", [(3, 3, 3), (5, 5, 5), (2, 10, 10, 10), (7, 8, 10, 12)])
def test_intervals_of_several_means_of_few_bars_are_wider_than_games_howell(sizes):
    from scipy.stats import tukey_hsd

    rng = np.random.default_rng(7)
    groups = [rng.normal(12.0, 0.1, n) for n in sizes]
    interval = tukey_hsd(*groups, equal_var=False).confidence_interval(0.95)
    found = compare_means([level_mean(group) for group in groups])
    few = [one for one in found if min(sizes[one.first], sizes[one.second]) <= 7]
    assert few
    for one in few:
        assert one.high > interval.high[one.second, one.first]


@pytest.mark.parametrize("sizes", [(2, 2), (2, 10), (3, 3, 3), (2, 10, 10, 10), (5, 30), (13,) * 5])
def test_p_says_what_the_interval_says(sizes):
    rng = np.random.default_rng(8)
    levels = [level_mean(rng.normal(12.0, 0.1, n)) for n in sizes]
    for at, found in enumerate(compare_means(levels)):
        edge = compare_means(levels, confidence=1.0 - found.p)[at]
        assert min(abs(edge.low), abs(edge.high)) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("sizes", [(2, 2), (2, 10), (5, 5), (13,) * 5])
def test_the_same_within_a_tolerance_is_the_interval_with_the_risk_on_either_side(sizes):
    rng = np.random.default_rng(9)
    levels = [level_mean(rng.normal(12.0, 0.1, n)) for n in sizes]
    for at, found in enumerate(compare_means(levels, tolerance=0.4)):
        edge = compare_means(levels, confidence=1.0 - 2.0 * found.same_p)[at]
        assert max(abs(edge.low), abs(edge.high)) == pytest.approx(0.4, abs=1e-6)


@pytest.mark.parametrize(
    ("shift", "tolerance", "verdict"),
    [
        (0.0, 0.3, "same within tolerance"),
        (0.5, 0.3, "different"),
        (0.5, None, "different"),
        (0.5, 1.0, "same within tolerance"),
        (0.0, None, "cannot tell yet"),
        (0.0, 0.02, "cannot tell yet"),
    ],
)
def test_verdicts_are_three_way(shift, tolerance, verdict):
    first, second = LevelMean(12.0, 0.05**2, 9.0), LevelMean(12.0 + shift, 0.05**2, 9.0)
    assert compare_means([first, second], tolerance=tolerance)[0].verdict == verdict


def test_bars_compared_with_themselves_are_judged_by_their_own_differences():
    from scipy.stats import ttest_rel

    before, after = np.array([11.2, 12.1, 12.9, 13.4, 11.7]), np.array([11.5, 12.35, 13.2, 13.75, 12.0])
    (found,) = compare_means([level_mean(before), level_mean(after)], paired={(0, 1): level_mean(after - before)})
    theirs = ttest_rel(after, before)
    interval = theirs.confidence_interval(0.95)
    assert (found.low, found.high, found.p) == pytest.approx((interval.low, interval.high, theirs.pvalue))


def test_pairs_of_the_same_bars_take_their_share_of_the_risk():
    from scipy.stats import t

    change = LevelMean(0.3, 0.01**2, 4.0)
    levels = [LevelMean(12.0, 0.09, 4.0), LevelMean(12.3, 0.09, 4.0), LevelMean(12.1, 0.09, 4.0)]
    found = compare_means(levels, paired={(0, 1): change})[0]
    assert found.high - found.difference == pytest.approx(0.01 * t.ppf(1 - (1 - 0.95 ** (1 / 3)) / 2, 4.0))


def test_every_pair_is_there_once_with_the_sign_second_minus_first():
    levels = [LevelMean(mean, 0.01, 5.0) for mean in (10.0, 11.0, 13.0)]
    found = compare_means(levels)
    assert [(d.first, d.second) for d in found] == list(combinations(range(3), 2))
    assert [d.difference for d in found] == [1.0, 3.0, 2.0]


def test_means_without_any_scatter_are_compared_without_a_crash():
    alike, other = LevelMean(12.0, 0.0, 4.0), LevelMean(12.4, 0.0, 4.0)
    (found,) = compare_means([alike, other], tolerance=0.5)
    assert (found.low, found.high, found.p) == (pytest.approx(0.4), pytest.approx(0.4), 0.0)
    assert found.verdict == "same within tolerance"
    assert compare_means([alike, alike])[0].verdict == "cannot tell yet"


def test_a_difference_beyond_the_tolerance_is_never_the_same_however_many_are_compared():
    levels = [LevelMean(12.0, 0.13**2, 1.0), *[LevelMean(mean, 0.03**2, 9.0) for mean in (11.49, 12.0, 12.0)]]
    first = compare_means(levels, tolerance=0.5)[0]

    assert first.difference == pytest.approx(-0.51)
    assert (first.verdict, first.same_p > 0.5) == ("cannot tell yet", True)
    many = [LevelMean(mean, 0.03**2, 30.0) for mean in (12.0, 11.49, 12.0)]
    assert compare_means(many, tolerance=0.5)[0].same_p > 0.5
