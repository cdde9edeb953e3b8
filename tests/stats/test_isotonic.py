"""Rising to a peak and falling after it, against R and by hand."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import isotonic_regression

from bodytest.stats.firing_response import rising_then_falling

FROM_R = json.loads((Path(__file__).parent / "r" / "several_batches.json").read_text(encoding="utf-8"))


def test_a_falling_fit_equals_r():
    means = [5.31, 5.40, 2.95, 1.28, 1.33, 0.71]
    fitted = -rising_then_falling([-one for one in means])
    assert fitted == pytest.approx(FROM_R["falling"]["fitted"])


def test_many_sequences_at_once_give_what_each_gives_alone():
    means = np.random.default_rng(2).normal(size=(30, 6))
    assert rising_then_falling(means) == pytest.approx(np.array([rising_then_falling(row) for row in means]))


def test_a_sequence_rises_to_its_peak_and_falls_after_it():
    fitted = rising_then_falling([10.0, 12.0, 11.0, 13.0, 12.1, 12.3, 11.0])
    assert fitted == pytest.approx([10.0, 11.5, 11.5, 13.0, 12.2, 12.2, 11.0])


def test_levels_of_more_bars_weigh_more():
    assert rising_then_falling([3.0, 1.0, 5.0], [1.0, 3.0, 1.0]) == pytest.approx([1.5, 1.5, 5.0])


@pytest.mark.parametrize("count", [1, 2, 5, 9])
def test_weighted_sequences_with_ties_equal_pooling_level_by_level(count):
    rng = np.random.default_rng([3, count])
    means, weights = rng.normal(12.0, 1.0, (60, count)).round(1), rng.integers(1, 9, count).astype(float)
    for row, fitted in zip(means, rising_then_falling(means, weights), strict=True):
        peak = int(row.argmax())
        rising = isotonic_regression(row[: peak + 1], weights=weights[: peak + 1]).x
        falling = isotonic_regression(row[peak:], weights=weights[peak:], increasing=False).x
        assert fitted == pytest.approx(np.concatenate([rising, falling[1:]]))
