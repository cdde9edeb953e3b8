import numpy as np
import pytest

from bodytest.stats.nested import mark_spread
from tests.stats.one_batch_values import from_r, published

MARKS = (11.8, 11.9, 12.1, 12.3, 12.0, 11.7, 11.8, 11.75, 12.2, 12.25, 11.6)
BARS = (1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 5)


def test_unequal_numbers_of_marks_are_split_as_by_the_mean_squares_of_r():
    # Base R, anova(lm(...)); tests/stats/r/one_batch.R.
    spread = mark_spread(MARKS, BARS)
    assert [spread.mark_sd, spread.bar_sd] == pytest.approx(from_r("marks_within_between_sd"), abs=1e-10)


def test_dyestuff_gives_its_published_components():
    # Davies & Goldsmith 1972, 6.4: balanced, so REML and the mean squares agree.
    example = published("reml-dyestuff")
    groups = example.inputs["groups"]
    spread = mark_spread(np.concatenate(groups), np.repeat(np.arange(6), 5))
    assert spread.bar_sd == pytest.approx(example.expected["sd_batch"], abs=0.005)
    assert spread.mark_sd == pytest.approx(example.expected["sd_resid"], abs=0.006)


def test_marks_that_explain_everything_leave_nothing_to_the_bars():
    assert mark_spread([1.0, 2.0, 1.0, 2.0], [0, 0, 1, 1]).bar_sd == 0.0


def test_one_mark_a_bar_or_one_bar_alone_say_what_they_can():
    one_mark = mark_spread([1.0, 2.0, 3.0], [0, 1, 2])
    assert (one_mark.mark_sd, one_mark.bar_sd) == (None, None)
    one_bar = mark_spread([1.0, 2.0], [4, 4])
    assert (one_bar.mark_sd, one_bar.bar_sd) == (pytest.approx(0.5**0.5), None)


def test_the_split_is_right_on_average():
    rng = np.random.default_rng(11)
    index = np.repeat(np.arange(8), [1, 2, 3, 2, 2, 3, 1, 2])
    found = [mark_spread(rng.normal(0.0, 0.3, 8)[index] + rng.normal(0.0, 0.2, 16), index) for _ in range(3000)]
    assert np.mean([spread.mark_sd**2 for spread in found]) == pytest.approx(0.04, rel=0.03)
    assert np.median([spread.bar_sd for spread in found]) == pytest.approx(0.3, rel=0.1)
