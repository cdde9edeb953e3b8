import math

import pytest
from scipy import stats

from bodytest.plan.stages import change
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


def test_one_bar_gives_a_ratio_without_a_range_and_says_why():
    one = change(group(total_shrinkage=(12.0, None, 1)).quantities, "wet", "fired", 0.95)
    assert (one.ratio, one.low, one.high, one.of_next) == (0.88, None, None, None)
    assert one.why_no_range == "One bar alone shows no scatter."


def test_the_fewest_bars_on_the_way_count():
    few = QUANTITIES | {"leather_hard_shrinkage": quantity("leather_hard_shrinkage", 3.0, 0.2, 4)}
    assert change(few, "leather-hard", "fired", 0.95).bars == 4
    assert change(few, "wet", "fired", 0.95).bars == 10
