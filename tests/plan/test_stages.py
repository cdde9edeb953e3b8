import math

import numpy as np
import pytest
from scipy import stats

from bodytest.plan.stages import change, relative_variance
from tests.bench.stage_coverage import planned
from tests.export.example_results import STAGES, group, quantity

QUANTITIES = group(**STAGES).quantities


def ratio(start, end, quantities=QUANTITIES):
    return change(quantities, start, end, 0.95).ratio


def test_the_stages_of_a_worked_body():
    # wet 100 → leather-hard 97 → dry 94 → fired 88, so dry to fired is 88/94 and leather-hard to fired 88/97.
    assert ratio("wet", "leather-hard") == pytest.approx(0.97, abs=1e-12)
    assert ratio("wet", "dry") == pytest.approx(0.94, abs=1e-12)
    assert ratio("wet", "fired") == pytest.approx(0.88, abs=1e-12)
    assert ratio("dry", "fired") == pytest.approx(88 / 94, abs=1e-12)
    assert ratio("leather-hard", "fired") == pytest.approx(88 / 97, abs=1e-12)
    assert ratio("fired", "leather-hard") == pytest.approx(97 / 88, abs=1e-12)


def test_shrinkages_compound_where_the_total_was_not_measured():
    # 5 % in drying and 10 % in firing: 0.95 × 0.90 = 0.855, that is 14.5 %, not 15 %.
    apart = group(drying_shrinkage=(5.0, 0.1, 10), firing_shrinkage=(10.0, 0.1, 10)).quantities
    assert ratio("wet", "fired", apart) == pytest.approx(0.855, abs=1e-12)
    assert change(apart, "wet", "fired", 0.95).keys == ("drying_shrinkage", "firing_shrinkage")


def test_bisque_is_reached_over_dry():
    with_bisque = QUANTITIES | {"bisque_shrinkage": quantity("bisque_shrinkage", 1.0, 0.1)}
    # wet 100 → dry 94 → bisque 94 × 0.99 = 93.06 → fired 88.
    assert ratio("wet", "bisque", with_bisque) == pytest.approx(0.9306, abs=1e-12)
    assert ratio("bisque", "fired", with_bisque) == pytest.approx(88 / 93.06, abs=1e-12)


def test_a_stage_that_was_not_measured_has_no_way():
    assert change(QUANTITIES, "bisque", "fired", 0.95) is None


def test_no_way_is_one_without_uncertainty():
    same = change(QUANTITIES, "dry", "dry", 0.95)
    assert (same.ratio, same.low, same.high, same.why_no_range) == (1.0, 1.0, 1.0, None)


def test_the_interval_of_one_step_is_that_of_its_mean():
    total = QUANTITIES["total_shrinkage"]
    there, back = change(QUANTITIES, "wet", "fired", 0.95), change(QUANTITIES, "fired", "wet", 0.95)
    assert (there.low, there.high) == pytest.approx((1 - total.high / 100, 1 - total.low / 100), abs=1e-12)
    assert (back.low, back.high) == pytest.approx((1 / there.high, 1 / there.low), abs=1e-12)


def test_the_interval_of_two_steps_by_hand():
    # Relative standard uncertainties of the remaining lengths: 0.25/√10/88 and 0.2/√10/97, both with 9 degrees.
    u_total, u_leather = 0.25 / math.sqrt(10) / 88, 0.2 / math.sqrt(10) / 97
    together = math.hypot(u_total, u_leather)
    freedom = together**4 / (u_total**4 / 9 + u_leather**4 / 9)
    half = stats.t.ppf(0.975, freedom) * together
    found = change(QUANTITIES, "leather-hard", "fired", 0.95)
    assert found.low == pytest.approx(88 / 97 * math.exp(-half), rel=1e-10)
    assert found.high == pytest.approx(88 / 97 * math.exp(half), rel=1e-10)


def test_the_same_bars_at_both_stages_tell_more_than_two_steps():
    # u of the lengths over the wet one: 0.002/√10 and 0.0025/√10, correlation 0.8; relative 0.002/0.97 and 0.0025/0.88
    lh, fired = 0.002, 0.0025
    covariance = ((lh**2 / 10, 0.8 * lh * fired / 10), (0.8 * lh * fired / 10, fired**2 / 10))
    known = relative_variance({"leather-hard": 0.97, "fired": 0.88}, covariance, "leather-hard", "fired")
    one, other = lh / 0.97, fired / 0.88
    relative = math.sqrt(one**2 + other**2 - 2 * 0.8 * one * other)
    found = change(QUANTITIES, "leather-hard", "fired", 0.95, known)
    assert found.high / found.ratio == pytest.approx(
        math.exp(stats.t.ppf(0.975, 9) * relative / math.sqrt(10)), rel=1e-9
    )
    assert found.of_next.degrees_of_freedom == pytest.approx(9.0)
    assert found.of_next.scale == pytest.approx(88 / 97 * relative * math.sqrt(1 + 1 / 10), rel=1e-6)
    apart = change(QUANTITIES, "leather-hard", "fired", 0.95)
    assert found.of_next.half_width(0.95) < 0.7 * apart.of_next.half_width(0.95)


def test_bars_that_were_not_all_measured_at_both_stages_count_as_two_steps():
    fewer = QUANTITIES | {"leather_hard_shrinkage": quantity("leather_hard_shrinkage", 3.0, 0.2, 4)}
    way = ("leather-hard", "fired")
    known = relative_variance({"leather-hard": 0.97, "fired": 0.88}, ((1e-6, 9e-7), (9e-7, 1e-6)), *way)
    assert known
    assert change(fewer, *way, 0.95, known) == change(fewer, *way, 0.95)
    assert relative_variance({"fired": 0.88}, ((1e-6,),), *way) is None


def test_ranges_planned_from_any_stage_hold():
    for stage, (mean, further, _) in planned(5, 1, 400, np.random.default_rng(51)).items():
        assert mean > 0.95 - 0.033, stage
        assert 0.94 < further < 0.97, stage


def test_one_bar_gives_a_ratio_without_a_range_and_says_why():
    one = change(group(total_shrinkage=(12.0, None, 1)).quantities, "wet", "fired", 0.95)
    assert (one.ratio, one.low, one.high, one.of_next) == (0.88, None, None, None)
    assert one.why_no_range == "One bar alone shows no scatter."


def test_the_fewest_bars_on_the_way_count():
    few = QUANTITIES | {"leather_hard_shrinkage": quantity("leather_hard_shrinkage", 3.0, 0.2, 4)}
    assert change(few, "leather-hard", "fired", 0.95).bars == 4
    assert change(few, "wet", "fired", 0.95).bars == 10
