import math

import numpy as np
import pytest
from scipy.special import stdtrit

from bodytest.stats.limits import MOST_FURTHER_BARS, decide, further_bars, settling_probability
from bodytest.stats.summary import summarise_bars
from tests.stats.one_batch_values import from_r, published


def test_a_mean_meets_the_limit_only_with_its_whole_margin_below():
    margin = stdtrit(4, 0.95) * 0.2
    assert decide(3.0 - margin - 1e-9, 0.2, 4, 3.0) == "meets"
    assert decide(3.0 - margin + 1e-9, 0.2, 4, 3.0) == "cannot tell yet"
    assert decide(3.0 + margin, 0.2, 4, 3.0) == "cannot tell yet"
    assert decide(3.0 + margin + 1e-9, 0.2, 4, 3.0) == "does not meet"


def test_the_limit_itself_is_accepted():
    # ISO 13006: the upper limit belongs to the lower class.
    assert decide(3.0, 0.0, 4, 3.0) == "meets"
    assert decide(3.0 + 1e-9, 0.0, 4, 3.0) == "does not meet"


@pytest.mark.parametrize(("true_mean", "wrong"), [(3.0, "does not meet"), (3.0001, "meets")])
@pytest.mark.parametrize("n", [3, 5, 12])
def test_a_wrong_statement_is_made_no_more_often_than_stated(true_mean, wrong, n):
    rng = np.random.default_rng(n)
    wrongly = 0
    for sample in rng.normal(true_mean, 0.2, (3000, n)):
        summary = summarise_bars(sample)
        said = decide(summary.mean, summary.standard_uncertainty, summary.degrees_of_freedom, 3.0)
        wrongly += said == wrong
    assert wrongly / 3000 < 0.062  # 5 % and three standard errors of 3000 runs


@pytest.mark.parametrize(
    ("name", "bars", "distance", "confidence"),
    [("power_one_sample_5_0.7", 5, 0.7, 0.95), ("power_one_sample_11_1", 11, 1.0, 0.95),
     ("power_one_sample_30_0.3", 30, 0.3, 0.99)],
)  # fmt: skip
def test_the_chance_to_settle_is_the_power_of_r(name, bars, distance, confidence):
    # Base R, power.t.test; tests/stats/r/one_batch.R.
    assert settling_probability(bars, distance, 1.0, confidence) == pytest.approx(from_r(name)[0], abs=1e-8)


def test_the_sample_size_example_of_the_handbook_needs_eleven_bars():
    # NIST/SEMATECH e-Handbook 7.2.2.2: difference of one SD, risks 0.05 and 0.10; R gives 10.08.
    example = published("nist-7.2.2.2-sample-size")
    in_all = 2 + further_bars(2.0, 1.0, 2, 3.0, confidence=0.95, power=0.9)
    assert in_all == example.expected["n_t"]
    assert in_all == math.ceil(from_r("bars_one_sample_1_90")[0])


def test_the_number_given_is_enough_and_one_less_is_not():
    further = further_bars(2.8, 0.3, 5, 3.0)
    assert settling_probability(5 + further, 0.2, 0.3) >= 0.8 > settling_probability(4 + further, 0.2, 0.3)


def test_it_settles_in_simulation_as_often_as_said():
    rng = np.random.default_rng(7)
    bars = 5 + further_bars(2.8, 0.3, 5, 3.0)
    settled = 0
    for sample in rng.normal(2.8, 0.3, (3000, bars)):
        summary = summarise_bars(sample)
        settled += decide(summary.mean, summary.standard_uncertainty, summary.degrees_of_freedom, 3.0) == "meets"
    assert settled / 3000 == pytest.approx(settling_probability(bars, 0.2, 0.3), abs=0.025)


@pytest.mark.parametrize(
    ("mean", "shared"),
    [(3.0, 0.0), (2.999, 0.0), (2.8, 0.2)],
    ids=["mean on the limit", "mean too near", "calibration leaves it open"],
)
def test_no_number_is_given_where_bars_do_not_settle_it(mean, shared):
    assert further_bars(mean, 0.3, 5, 3.0, shared_uncertainty=shared) is None


def test_a_calibration_costs_bars():
    assert further_bars(2.8, 0.3, 5, 3.0, shared_uncertainty=0.05) > further_bars(2.8, 0.3, 5, 3.0)
    assert MOST_FURTHER_BARS == 200
