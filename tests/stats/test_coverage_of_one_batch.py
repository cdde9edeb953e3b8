"""What the intervals of one batch claim, on simulated test firings whose true values are known."""

import numpy as np
import pytest
from scipy.special import ndtr

from bodytest.stats.summary import shared_step_uncertainty, summarise_bars

RUNS = 1500
NOISE = 0.017
"""Three standard errors of a coverage of 95 % from so many runs."""


def coverage(simulate):
    """Return how often the mean's interval and the tolerance interval hold, and how many bars the next one holds."""
    mean, following, tolerance = 0, 0.0, 0
    for _ in range(RUNS):
        values, true_mean, true_sd, options = simulate()
        found = summarise_bars(values, **options)
        mean += found.low <= true_mean <= found.high
        following += held(found.next_low, found.next_high, true_mean, true_sd)
        tolerance += held(found.tolerance_low, found.tolerance_high, true_mean, true_sd) >= 0.95
    return np.array([mean, following, tolerance]) / RUNS


def held(low, high, true_mean, true_sd):
    return ndtr((high - true_mean) / true_sd) - ndtr((low - true_mean) / true_sd)


def shrinkage(rng, n, *, step_mm, wet_sd_mm, shrinkage_sd):
    """Return a simulated batch: wet and fired lengths read to a step, and the options of the summary."""
    true_mean = 12.0 + rng.random()
    wet = 100.0 + step_mm * rng.random() + wet_sd_mm * rng.standard_normal(n)
    fired = wet * (1.0 - (true_mean + shrinkage_sd * rng.standard_normal(n)) / 100.0)
    wet, fired = np.round(wet / step_mm) * step_mm, np.round(fired / step_mm) * step_mm
    one = step_mm / 12**0.5
    shared = np.hypot(
        0.88 * shared_step_uncertainty(wet.std(ddof=1), one), shared_step_uncertainty(fired.std(ddof=1), one)
    )
    options = {"step_uncertainty": one * np.hypot(1.0, 0.88), "shared_uncertainty": shared}
    return 100.0 * (wet - fired) / wet, true_mean, shrinkage_sd, options


@pytest.mark.parametrize("n", [3, 5, 10, 30])
def test_fine_readings_are_covered_as_claimed(n):
    rng = np.random.default_rng([1, n])
    found = coverage(lambda: shrinkage(rng, n, step_mm=0.01, wet_sd_mm=0.3, shrinkage_sd=0.15))
    assert found == pytest.approx([0.95, 0.95, 0.95], abs=NOISE)


@pytest.mark.parametrize("n", [3, 5, 10, 30])
@pytest.mark.parametrize("step_mm", [0.1, 0.5, 1.0])
@pytest.mark.parametrize("wet_sd_mm", [0.0, 0.3], ids=["template", "free"])
def test_coarse_readings_are_covered_at_least_as_claimed(n, step_mm, wet_sd_mm):
    # A template sets all wet lengths alike, so that all carry the same reading error.
    rng = np.random.default_rng([2, n, int(10 * step_mm), int(10 * wet_sd_mm)])
    found = coverage(lambda: shrinkage(rng, n, step_mm=step_mm, wet_sd_mm=wet_sd_mm, shrinkage_sd=0.2))
    assert found.min() > 0.93 - NOISE / 2


@pytest.mark.parametrize("n", [3, 5, 10, 30])
@pytest.mark.parametrize("ratio", [0.3, 1.0, 3.0])
def test_a_calibration_error_is_covered_as_claimed(n, ratio):
    rng = np.random.default_rng([3, n, int(10 * ratio)])
    calibration = 0.15 * ratio / n**0.5

    def simulate():
        values = 12.0 + 0.15 * rng.standard_normal(n) + calibration * rng.standard_normal()
        return values, 12.0, 0.15, {"calibration_uncertainty": calibration}

    mean, following, tolerance = coverage(simulate)
    assert mean == pytest.approx(0.95, abs=0.01 + NOISE)
    assert following == pytest.approx(0.95, abs=0.01 + NOISE)
    assert tolerance > 0.95 - NOISE
