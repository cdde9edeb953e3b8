import numpy as np
import pytest

from bodytest.stats.nested import mark_scatter
from tests.stats.one_batch_values import from_r, published

MARKS = (11.8, 11.9, 12.1, 12.3, 12.0, 11.7, 11.8, 11.75, 12.2, 12.25, 11.6)
BARS = (1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 5)


def test_unequal_numbers_of_marks_scatter_as_by_the_mean_squares_of_r():
    # Base R, anova(lm(...)); tests/stats/r/one_batch.R.
    assert mark_scatter(MARKS, BARS) == pytest.approx(from_r("marks_within_between_sd")[0], abs=1e-10)


def test_dyestuff_gives_its_published_scatter():
    # Davies & Goldsmith 1972, 6.4.
    example = published("reml-dyestuff")
    found = mark_scatter(np.concatenate(example.inputs["groups"]), np.repeat(np.arange(6), 5))
    assert found == pytest.approx(example.expected["sd_resid"], abs=0.006)


def test_one_mark_a_bar_says_nothing_and_one_bar_with_two_does():
    assert mark_scatter([1.0, 2.0, 3.0], [0, 1, 2]) is None
    assert mark_scatter([1.0, 2.0], [4, 4]) == pytest.approx(0.5**0.5)


def test_it_is_right_on_average():
    rng = np.random.default_rng(11)
    index = np.repeat(np.arange(8), [1, 2, 3, 2, 2, 3, 1, 2])
    found = [mark_scatter(rng.normal(0.0, 0.3, 8)[index] + rng.normal(0.0, 0.2, 16), index) for _ in range(3000)]
    assert np.mean(np.square(found)) == pytest.approx(0.04, rel=0.03)
