"""The newest shift of a level: found where it is, and rarely where it is not."""

import numpy as np
import pytest

from bodytest.stats.control_chart import newest_shift


@pytest.mark.parametrize("batches", [8, 12, 25, 60])
def test_a_steady_series_shows_a_shift_in_about_two_of_a_hundred(batches):
    rng = np.random.default_rng([31, batches])
    found = sum(newest_shift(series) is not None for series in rng.standard_normal((2000, batches)))
    assert found / 2000 < 0.02 + 3.0 * np.sqrt(0.02 * 0.98 / 2000)


def test_a_late_shift_of_two_standard_deviations_is_mostly_found_and_near_where_it_is():
    rng = np.random.default_rng(32)
    series = rng.standard_normal((1000, 25))
    series[:, 19:] += 2.0
    found = [newest_shift(one) for one in series]
    at = np.array([one.at for one in found if one])
    assert len(at) / 1000 > 0.7
    assert np.mean(np.abs(at - 19) <= 2) > 0.9


def test_the_newest_of_two_shifts_is_found_with_the_level_before_it():
    rng = np.random.default_rng(33)
    level = np.repeat([0.0, 1.0, 0.3], [10, 12, 9])
    found = newest_shift(level + 0.1 * rng.standard_normal(31))
    assert (found.begins, found.at) == (10, 22)
    assert (found.before, found.after) == pytest.approx((1.0, 0.3), abs=0.1)


def test_few_values_and_values_all_alike_show_no_shift():
    assert newest_shift([1.0, 1.1, 0.9, 1.0, 5.0, 5.1, 4.9]) is None
    assert newest_shift([2.0] * 20) is None
    assert newest_shift([]) is None
