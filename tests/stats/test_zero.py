"""Where a function crosses zero, to the last digit as scipy finds it."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from bodytest.stats.zero import zero_of


@pytest.mark.parametrize("precision", [1e-12, 2e-12, 1e-6])
def test_zeros_are_those_of_scipy_to_the_last_digit(precision: float) -> None:
    rng = np.random.default_rng(20240301)
    for place, steep, below, above in rng.uniform([-3, 0.1, 0.1, 0.1], [3, 5, 9, 9], (500, 4)).tolist():
        for sign in (1.0, -1.0):

            def wavy(x: float, place: float = place, steep: float = sign * steep) -> float:
                return math.tanh(steep * (x - place)) * (1.0 + 0.3 * math.sin(x))

            ends = (place - below, place + above)
            assert zero_of(wavy, *ends, precision=precision) == brentq(wavy, *ends, xtol=precision)


def test_an_end_that_is_zero_is_the_answer() -> None:
    assert zero_of(lambda x: x, 0.0, 2.0) == 0.0
    assert zero_of(lambda x: x, -2.0, 0.0) == 0.0


def test_ends_of_one_sign_are_refused() -> None:
    with pytest.raises(ValueError, match="same sign at both ends"):
        zero_of(lambda x: x, 1.0, 2.0)
