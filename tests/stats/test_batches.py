"""Means over batches, against published values, R and lme4, statsmodels, and by hand."""

import json
from pathlib import Path

import numpy as np
import pytest

from bodytest.stats.batch_intervals import batch_intervals, mean_variance
from bodytest.stats.batches import summarise_batches
from bodytest.stats.summary import summarise_bars
from bodytest.stats.variance_components import (
    BatchMoments,
    anova_components,
    batch_moments,
    reml_components,
    restricted_criterion,
)
from tests.stats.one_batch_values import published

FROM_R = json.loads((Path(__file__).parent / "r" / "several_batches.json").read_text(encoding="utf-8"))
SETS = ("apart", "alike", "uneven")


def stacked(groups):
    return np.concatenate(groups), np.repeat(np.arange(len(groups)), [len(group) for group in groups])


def made_up(name):
    sizes = FROM_R[name]["sizes"]
    return np.array(FROM_R[name]["values"]), np.repeat(np.arange(len(sizes)), sizes)


def test_the_dyestuff_variances_are_the_published_ones():
    example = published("reml-dyestuff")  # Davies & Goldsmith 1972, 6.4
    values, batch = stacked(example.inputs["groups"])
    found = summarise_batches(values, batch)
    assert found.batch_sd == pytest.approx(example.expected["sd_batch"], abs=0.005)
    assert found.bar_sd == pytest.approx(example.expected["sd_resid"], abs=0.006)
    assert found.mean == pytest.approx(example.expected["mean"], abs=1e-9)
    criterion = float(reml_components(batch_moments(values, batch)).criterion)
    assert criterion == pytest.approx(example.expected["reml_criterion"], abs=5e-5)
    assert found.standard_uncertainty == pytest.approx(19.383, abs=5e-4)
    assert found.degrees_of_freedom == pytest.approx(5.0)


def test_the_certified_analysis_of_variance_is_reproduced():
    example = published("strd-anova-sirstv")  # NIST StRD, certified
    moments = batch_moments(*stacked(example.inputs["groups"]))
    components = anova_components(moments)
    assert float(components.bar_variance) == pytest.approx(example.expected["ms_within"], rel=1e-11)
    between = float(components.bar_variance) + 5.0 * float(components.batch_variance)
    assert between == pytest.approx(example.expected["ms_between"], rel=1e-10)
    assert float(moments.within_squares) == pytest.approx(example.expected["ss_within"], rel=1e-11)


@pytest.mark.parametrize("name", SETS)
def test_variances_agree_with_lme4_on_unbalanced_batches(name):
    found, r = reml_components(batch_moments(*made_up(name))), FROM_R[name]
    assert float(np.sqrt(found.batch_variance)) == pytest.approx(r["sd_batch"][0], rel=2e-5)
    assert float(np.sqrt(found.bar_variance)) == pytest.approx(r["sd_bar"][0], rel=2e-5)
    assert float(found.criterion) == pytest.approx(r["criterion"][0], abs=1e-7)
    assert float(found.mean) == pytest.approx(r["weighted_mean"][0], abs=1e-6)


@pytest.mark.parametrize("name", ["apart", "uneven"])
def test_the_mean_is_that_of_the_batch_means_with_their_t_interval(name):
    found, r = summarise_batches(*made_up(name)), FROM_R[name]
    assert found.mean == pytest.approx(r["mean"][0], rel=1e-10)
    assert (found.low, found.high) == pytest.approx(r["interval"], rel=1e-8)
    assert found.degrees_of_freedom == pytest.approx(len(r["sizes"]) - 1)


def test_batches_that_agree_by_chance_do_not_narrow_the_interval_beyond_what_their_bars_allow():
    values, batch = made_up("alike")
    found, r = summarise_batches(values, batch), FROM_R["alike"]
    assert found.batch_sd == 0.0
    assert found.bar_sd == pytest.approx(float(np.sqrt(anova_components(batch_moments(values, batch)).bar_variance)))
    assert found.mean == pytest.approx(r["mean"][0])
    assert found.high - found.low > 3.0 * (r["interval"][1] - r["interval"][0])
    assert found.degrees_of_freedom == pytest.approx(len(values) - 4)


def test_the_variances_agree_with_another_implementation():
    from statsmodels.regression.mixed_linear_model import MixedLM

    rng = np.random.default_rng(7)
    for sizes in ((4, 6, 3, 8), (2, 2, 9, 5, 4)):
        batch = np.repeat(np.arange(len(sizes)), sizes)
        values = 12.0 + 0.4 * rng.standard_normal(len(sizes))[batch] + 0.2 * rng.standard_normal(len(batch))
        fit = MixedLM(values, np.ones((len(values), 1)), batch).fit(reml=True)
        found = reml_components(batch_moments(values, batch))
        assert float(found.batch_variance) == pytest.approx(float(fit.cov_re[0, 0]), rel=2e-3)
        assert float(found.bar_variance) == pytest.approx(float(fit.scale), rel=2e-3)
        assert float(found.criterion) <= -2.0 * float(fit.llf) + 1e-6


def test_no_ratio_of_variances_is_likelier_than_the_one_found():
    rng = np.random.default_rng(3)
    ratios = np.concatenate(([0.0], np.geomspace(1e-3, 1e3, 400)))
    for _ in range(50):
        sizes = rng.integers(1, 9, rng.integers(2, 8)).astype(float)
        sizes[0] += 1.0
        moments = BatchMoments(
            sizes, rng.normal(0.0, rng.uniform(0.0, 2.0), len(sizes)), np.array(rng.chisquare(sizes.sum() - len(sizes)))
        )
        best = float(reml_components(moments).criterion)
        assert min(float(restricted_criterion(moments, np.array(ratio))) for ratio in ratios) >= best - 1e-9


def test_two_batches_are_wide_rather_than_optimistic():
    values, batch = [12.1, 12.2, 12.0, 12.6, 12.7, 12.5], [0, 0, 0, 1, 1, 1]
    found, pooled = summarise_batches(values, batch), summarise_bars(values)
    assert found.high - found.low > 5.0 * (pooled.high - pooled.low)
    assert found.next_high - found.next_low > 5.0 * (pooled.next_high - pooled.next_low)
    assert found.degrees_of_freedom == pytest.approx(1.0)


def test_bars_that_all_read_alike_never_give_an_interval_of_nothing():
    found = summarise_batches([12.0] * 6, [0, 0, 0, 1, 1, 1], step_uncertainty=0.04)
    assert found.batch_sd == pytest.approx(0.0, abs=1e-6)
    assert found.bar_sd == pytest.approx(0.04)
    assert found.standard_uncertainty > 0.04
    assert found.low < 12.0 - 0.04 * 1.96


def test_one_bar_a_batch_cannot_tell_batches_from_bars_but_gives_the_usual_t_interval():
    values = [12.0, 12.4, 11.9, 12.3, 12.1]
    found, pooled = summarise_batches(values, range(5)), summarise_bars(values)
    assert found.batch_sd is None
    assert found.bar_sd is None
    for name in ("mean", "sd", "low", "high", "next_low", "next_high"):
        assert getattr(found, name) == pytest.approx(getattr(pooled, name)), name


def test_a_calibration_uncertainty_does_not_average_out():
    values, batch = made_up("apart")
    found = summarise_batches(values, batch, calibration_uncertainty=0.3)
    plain = summarise_batches(values, batch)
    assert found.standard_uncertainty**2 == pytest.approx(plain.standard_uncertainty**2 + 0.3**2)
    assert found.degrees_of_freedom > plain.degrees_of_freedom
    assert found.next_high - found.next_low > plain.next_high - plain.next_low


def test_the_order_of_bars_and_the_numbers_of_batches_do_not_matter():
    values, batch = made_up("uneven")
    order = np.random.default_rng(1).permutation(len(values))
    renamed = np.array([3, 5, 1, 0, 4, 2])[batch]
    first, second = summarise_batches(values, batch), summarise_batches(values[order], renamed[order])
    assert first.low == pytest.approx(second.low)
    assert first.batch_sd == pytest.approx(second.batch_sd, rel=1e-6)


def test_many_data_sets_at_once_give_what_each_gives_alone():
    rng = np.random.default_rng(5)
    sizes = np.array([3.0, 5.0, 4.0])
    many = BatchMoments(sizes, rng.normal(size=(20, 3)), rng.chisquare(9, 20))
    together = batch_intervals(many, 0.95, 0.1, np.full(20, 0.05))
    for place in range(20):
        one = BatchMoments(sizes, many.means[place], np.asarray(many.within_squares[place]))
        alone = batch_intervals(one, 0.95, 0.1, np.asarray(0.05))
        for name in ("half_width", "next_half_width", "tolerance_half_width", "degrees_of_freedom"):
            assert getattr(together, name)[place] == pytest.approx(float(getattr(alone, name))), name


def test_the_mean_rests_on_batches_unless_their_bars_say_more_scatter():
    apart, alike = (batch_moments(*made_up(name)) for name in ("apart", "alike"))
    assert float(mean_variance(apart, 0.95)[1]) == 3.0
    variance, freedom = mean_variance(alike, 0.95)
    assert float(freedom) == 14.0
    harmonic = np.mean(1.0 / alike.sizes)
    assert float(variance) == pytest.approx(float(alike.within_squares) / 14.0 * harmonic / 4.0)
