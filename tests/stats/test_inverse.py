"""Reading lines and curves backwards, against a published example and by hand."""

import numpy as np
import pytest

from bodytest.stats.inverse import first_fall, read_line_backwards
from tests.stats.one_batch_values import published


@pytest.mark.parametrize("case", ["case1", "case2"])
def test_the_published_thermometer_readings_are_reproduced(case):
    example = published("inverse-thermometer")  # Graybill & Iyer 1994, p. 431
    asked = example.inputs[case]
    found = read_line_backwards(example.inputs["x"], example.inputs["y"], asked["y0"], confidence=asked["conf"])
    ours = (found.estimate, found.low, found.high)
    for value, printed, within in zip(ours, example.expected[case], example.tolerance[case], strict=True):
        assert value == pytest.approx(printed, abs=within)


def test_the_interval_solves_fiellers_quadratic():
    x, y = [0.0, 1.0, 2.0, 3.0, 4.0], [0.1, 0.9, 2.2, 2.8, 4.1]
    found = read_line_backwards(x, y, 2.5)
    slope, intercept = np.polyfit(x, y, 1)
    sd = np.sqrt(np.square(np.polyval([slope, intercept], x) - y).sum() / 3.0)
    t = 3.182446305284263  # t(0.975, 3)
    for end in (found.low, found.high):
        margin = t * sd * np.sqrt(1.0 + 0.2 + (end - 2.0) ** 2 / 10.0)
        assert abs(intercept + slope * end - 2.5) == pytest.approx(margin, rel=1e-4)


def test_a_line_that_hardly_rises_leaves_its_ends_open():
    found = read_line_backwards([0.0, 1.0, 2.0, 3.0], [1.0, 1.3, 0.9, 1.2], 1.1)
    assert (found.low, found.high) == (-np.inf, np.inf)


@pytest.mark.parametrize(
    ("heights", "found"), [([9.0, 8.0, 2.0, 1.0], 1.5), ([9.0, 8.0, 7.0, 6.0], np.inf), ([5.0, 4.0, 9.0, 1.0], -np.inf)]
)
def test_a_curve_falls_to_a_value_where_it_first_passes_it(heights, found):
    assert first_fall(np.arange(4.0), np.array(heights), 5.0) == found


def test_many_curves_at_once_give_what_each_gives_alone():
    curves = np.random.default_rng(5).normal(5.0, 2.0, (30, 6))
    alone = [first_fall(np.arange(6.0), one, 4.0) for one in curves]
    assert first_fall(np.arange(6.0), curves, 4.0) == pytest.approx(np.array(alone))
