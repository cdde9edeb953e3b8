import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import chdtri, ndtr, stdtrit

from bodytest.stats.combined_freedom import student_factor
from bodytest.stats.summary import effective_freedom, shared_step_uncertainty, summarise_bars
from bodytest.stats.tolerance import two_sided_factor
from tests.stats.one_batch_values import ABSORPTION, SHRINKAGE, from_r, published

INTERVALS = (("low", "high"), ("next_low", "next_high"), ("tolerance_low", "tolerance_high"))
bars_strategy = st.lists(st.floats(-50.0, 50.0), min_size=2, max_size=20)


def ends(summary, names):
    return [getattr(summary, name) for name in names]


def test_the_intervals_are_those_of_r():
    # Base R, t.test and qt; tests/stats/r/one_batch.R.
    shrinkage = summarise_bars(SHRINKAGE)
    assert ends(shrinkage, ("low", "high")) == pytest.approx(from_r("t_interval_95_shrinkage"), abs=1e-9)
    assert ends(shrinkage, ("next_low", "next_high")) == pytest.approx(from_r("prediction_95_shrinkage"), abs=1e-9)
    strict = summarise_bars(SHRINKAGE, confidence=0.99)
    assert ends(strict, ("low", "high")) == pytest.approx(from_r("t_interval_99_shrinkage"), abs=1e-9)
    assert ends(summarise_bars(ABSORPTION), ("low", "high")) == pytest.approx(
        from_r("t_interval_95_absorption"), abs=1e-9
    )


def test_the_mean_and_its_interval_are_those_of_the_hot_dogs_of_devore():
    # Devore, Probability and Statistics, examples 7.12 and 7.13 (figures from memory, agree with recomputation).
    example = published("devore-prediction-interval")
    summary = summarise_bars(example.inputs["x"])
    assert summary.sd == pytest.approx(example.expected["s"], abs=example.tolerance["s"])
    assert ends(summary, ("low", "high")) == pytest.approx(example.expected["ci"], abs=example.tolerance["ci"])
    assert ends(summary, ("next_low", "next_high")) == pytest.approx(
        example.expected["pi"], abs=example.tolerance["pi"]
    )


def test_the_particle_counts_of_the_handbook_give_their_factor_and_sd():
    # NIST/SEMATECH e-Handbook 7.2.2.
    example = published("nist-7.2.2-one-sample-t")
    summary = summarise_bars(example.inputs["x"])
    assert summary.mean == pytest.approx(example.expected["mean"])
    assert summary.sd == pytest.approx(example.expected["s"], abs=example.tolerance["s"])
    assert summary.degrees_of_freedom == example.expected["df"]
    t = (summary.mean - example.inputs["mu0"]) / summary.standard_uncertainty
    assert t == pytest.approx(example.expected["t"], abs=example.tolerance["t"])
    assert student_factor(9, 0.95) == pytest.approx(example.expected["t_crit_two_sided"], abs=0.0005)


def test_leading_digits_that_are_all_alike_cost_no_accuracy():
    # NIST StRD univariate NumAcc4 (certified mean 10000000.2, SD 0.1).
    values = [10000000.2, *[10000000.1, 10000000.3] * 500]
    summary = summarise_bars(values)
    assert summary.mean == pytest.approx(10000000.2, abs=1e-7)
    assert summary.sd == pytest.approx(0.1, abs=1e-8)


def test_one_bar_alone_gives_a_mean_and_nothing_else():
    summary = summarise_bars([12.3], step_uncertainty=0.04, calibration_uncertainty=0.01)
    assert (summary.n, summary.mean) == (1, 12.3)
    others = {name: getattr(summary, name) for name in vars(summary) if name not in {"n", "mean"}}
    assert set(others.values()) == {None}


def test_bars_that_all_read_alike_have_the_step_as_their_scatter_and_no_zero_interval():
    # GUM F.2.2.1: everything within a step is equally likely, so all five bars may be off by the same half step.
    summary = summarise_bars([12.0] * 5, step_uncertainty=0.041)
    assert summary.sd == pytest.approx(0.041)
    assert summary.standard_uncertainty == pytest.approx(0.041 * math.sqrt(1 + 1 / 5))
    assert summary.high - summary.mean > math.sqrt(3.0) * 0.041
    for low, high in INTERVALS:
        assert getattr(summary, high) > getattr(summary, low)


def test_bars_without_scatter_and_without_a_known_step_are_computed_without_a_warning():
    summary = summarise_bars([12.0, 12.0, 12.0])
    assert (summary.low, summary.high, summary.sd) == (12.0, 12.0, 0.0)
    calibrated = summarise_bars([12.0, 12.0, 12.0], calibration_uncertainty=0.1)
    assert calibrated.high - 12.0 == pytest.approx(0.19600, abs=1e-5)


def test_the_calibration_does_not_average_out():
    rng = np.random.default_rng(1)
    summary = summarise_bars(rng.normal(12.0, 0.1, 10_000), calibration_uncertainty=0.05)
    assert summary.standard_uncertainty == pytest.approx(0.05, rel=0.01)
    assert summary.high - summary.low == pytest.approx(2 * 1.96 * 0.05, rel=0.01)


def test_scatter_wider_than_the_step_leaves_the_step_aside():
    assert summarise_bars(SHRINKAGE, step_uncertainty=0.04) == summarise_bars(SHRINKAGE)


def test_a_shared_part_found_reading_by_reading_takes_the_place_of_the_one_found_from_the_values():
    template = summarise_bars(SHRINKAGE, step_uncertainty=0.04, shared_uncertainty=0.03)
    plain = summarise_bars(SHRINKAGE)
    assert template.standard_uncertainty == pytest.approx(math.hypot(plain.standard_uncertainty, 0.03))


@settings(deadline=None)
@given(bars_strategy, st.floats(0.001, 10.0), st.floats(-100.0, 100.0))
def test_the_summary_moves_and_stretches_with_the_values(values, stretch, shift):
    plain = summarise_bars(values, step_uncertainty=0.1, calibration_uncertainty=0.05)
    moved = summarise_bars(
        np.array(values) * stretch + shift, step_uncertainty=0.1 * stretch, calibration_uncertainty=0.05 * stretch
    )
    for low, high in INTERVALS:
        for end in (low, high):
            assert getattr(moved, end) == pytest.approx(getattr(plain, end) * stretch + shift, rel=1e-6, abs=1e-6)


@settings(deadline=None)
@given(bars_strategy, st.just(0.0) | st.floats(1e-9, 5.0), st.just(0.0) | st.floats(1e-9, 5.0))
def test_the_intervals_lie_within_each_other(values, step, calibration):
    summary = summarise_bars(values, step_uncertainty=step, calibration_uncertainty=calibration)
    assert summary.next_low <= summary.low <= summary.mean <= summary.high <= summary.next_high
    assert summary.tolerance_low <= summary.mean <= summary.tolerance_high
    assert summary.sd >= step * (1.0 - 1e-12)


@pytest.mark.parametrize("step", [0.0, 0.05, 0.3])
def test_the_shared_part_falls_from_the_whole_step_to_nothing(step):
    seen = [shared_step_uncertainty(sd, step) for sd in np.linspace(0.0, 2.0 * step, 9)]
    assert seen[0] == step
    assert seen == sorted(seen, reverse=True)
    assert seen[-1] == 0.0


@pytest.mark.parametrize("freedom", [2, 3, 4, 9, 29])
@pytest.mark.parametrize("ratio", [0.1, 0.3, 0.5, 0.7, 1.0, 2.0, 5.0])
def test_the_degrees_of_freedom_hold_what_they_claim_beside_a_known_part(freedom, ratio):
    # Coverage by integrating over χ²: error normal with variance 1 + ratio², scatter variance 1 × χ²/ν.
    chances = (np.arange(4000) + 0.5) / 4000
    scatter = chdtri(freedom, chances) / freedom
    total = scatter + ratio**2
    freedoms = np.array([effective_freedom(t, s, freedom) for t, s in zip(total, scatter, strict=True)])
    half = stdtrit(freedoms, 0.975) * np.sqrt(total)
    coverage = float(np.mean(2.0 * ndtr(half / math.sqrt(1.0 + ratio**2)) - 1.0))
    assert 0.9395 < coverage < 0.9605


def test_nothing_estimated_leaves_what_is_known():
    assert effective_freedom(1.0, 0.0, 4.0) == 1e6
    assert effective_freedom(0.0, 0.0, 4.0) == 4.0


def test_a_scatter_that_is_nothing_beside_the_calibration_leaves_as_good_as_endless_freedom():
    assert effective_freedom(1.0, 2e-285, 1.0) == effective_freedom(1.0, 0.0, 4.0) == 1e6
    assert effective_freedom(0.0, 0.0, 4.0) == 4.0
    assert summarise_bars([0.0, 9e-143], calibration_uncertainty=1.0).degrees_of_freedom == 1e6


def test_the_shared_part_of_a_step_the_scatter_of_two_bars_and_the_tolerance_factor_by_hand():
    assert shared_step_uncertainty(0.03, 0.04) == pytest.approx((0.0016 - 0.0003) ** 0.5, abs=1e-12)
    assert summarise_bars([1.0, 2.0]).sd == pytest.approx(0.5**0.5, abs=1e-12)
    ten = summarise_bars(np.arange(10.0))
    assert ten.tolerance_high - ten.mean == pytest.approx(3.393 * ten.sd, abs=0.002)  # as in `two_sided_factor`
    # five bars of s = 1 and a calibration of 1: the mean is known as by 1/(1/5 + 1) of a bar
    five = summarise_bars(np.array([-1.0, -0.5, 0.0, 0.5, 1.0]) / 0.625**0.5, calibration_uncertainty=1.0)
    factor = two_sided_factor(1.0 / 1.2, degrees_of_freedom=4.0)
    assert five.tolerance_high - five.mean == pytest.approx(factor, rel=1e-9)
