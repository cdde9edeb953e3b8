import pytest
from scipy import stats

from bodytest.plan.student import Student, of_next
from bodytest.stats.effects import summarise_effects
from bodytest.stats.summary import summarise_bars
from tests.export.example_results import quantity

BARS = [11.7, 12.1, 12.4, 11.9, 12.0]


def test_a_further_bar_has_the_distribution_of_the_textbook():
    # s = 0.25, n = 10: scale 0.25 √(1 + 1/10) with 9 degrees of freedom.
    found = of_next(quantity("total_shrinkage", 12.0, 0.25, 10), 0.95)
    assert (found.mean, found.scale) == pytest.approx((12.0, 0.25 * 1.1**0.5), abs=1e-12)
    assert found.degrees_of_freedom == pytest.approx(9.0, abs=1e-6)


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_the_interval_of_the_results_comes_back(confidence):
    summary = summarise_bars(BARS, confidence=confidence, calibration_uncertainty=0.1)
    found = of_next(summary, confidence)
    assert found.half_width(confidence) == pytest.approx(summary.next_high - summary.mean, rel=1e-9)


def test_the_interval_over_batches_comes_back():
    summary = summarise_effects([11.7, 12.1, 12.9, 13.2, 11.0, 11.4], [0, 0, 1, 1, 2, 2], [0] * 6)
    assert of_next(summary, 0.95).half_width(0.95) == pytest.approx(summary.next_high - summary.mean, rel=1e-9)


def test_chances_are_those_of_another_implementation():
    one = Student(12.0, 0.3, 4.0)
    expected = stats.t.cdf(12.5, 4, 12, 0.3) - stats.t.cdf(11.8, 4, 12, 0.3)
    assert one.chance_between(11.8, 12.5) == pytest.approx(expected, abs=1e-12)


def test_without_scatter_the_chance_is_none_or_all():
    assert Student(12.0, 0.0, 9.0).chance_between(11.9, 12.1) == 1.0
    assert Student(12.0, 0.0, 9.0).chance_between(12.1, 12.2) == 0.0


def test_one_bar_has_no_distribution():
    assert of_next(quantity("total_shrinkage", 12.0, None, 1), 0.95) is None
