import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats
from scipy.special import ndtr

from bodytest.stats.tolerance import two_sided_factor
from tests.stats.one_batch_values import from_r, published


@pytest.mark.parametrize("n", [2, 3, 5, 10, 30])
def test_the_factor_is_that_of_a_separate_integration_in_r(n):
    # tests/stats/r/one_batch.R integrates and solves with base R's integrate and uniroot.
    assert two_sided_factor(n) == pytest.approx(from_r(f"tolerance_95_95_{n}")[0], abs=1e-8)


def test_other_contents_and_degrees_of_freedom_agree_with_r():
    assert two_sided_factor(43, coverage=0.90, confidence=0.99) == pytest.approx(
        from_r("tolerance_90_99_43")[0], abs=1e-8
    )
    assert two_sided_factor(4, degrees_of_freedom=9) == pytest.approx(from_r("tolerance_95_95_n4_nu9")[0], abs=1e-8)


@pytest.mark.parametrize(
    ("n", "printed"), [(2, 36.519), (3, 9.789), (4, 6.341), (5, 5.077), (6, 4.422), (7, 4.020), (8, 3.746), (9, 3.546)]
)
def test_the_factors_are_those_of_odeh_and_owen(n, printed):
    # Odeh and Owen, Tables for Normal Tolerance Limits, 1980, 95 % of bars with 95 % confidence (from memory).
    assert two_sided_factor(n) == pytest.approx(printed, abs=0.0006)


def test_the_approximation_of_the_handbook_is_close_but_below():
    # NIST/SEMATECH e-Handbook 7.2.6.3 prints Howe's approximation 2.2173159 for n = 43, 90 % with 99 % confidence.
    howe = published("nist-7.2.6.3-tolerance").expected["k2_howe"]
    assert howe < two_sided_factor(43, coverage=0.90, confidence=0.99) < 1.003 * howe


def test_a_known_sd_and_mean_leave_the_normal_quantile():
    assert two_sided_factor(1e12, degrees_of_freedom=1e7) == pytest.approx(1.95996, abs=0.002)


def test_the_definition_holds_by_simulation():
    rng = np.random.default_rng(20260218)
    sample = rng.standard_normal((20_000, 6))
    mean, sd = sample.mean(axis=1), sample.std(axis=1, ddof=1)
    held = ndtr(mean + two_sided_factor(6) * sd) - ndtr(mean - two_sided_factor(6) * sd)
    assert np.mean(held >= 0.95) == pytest.approx(0.95, abs=0.005)


@pytest.mark.parametrize("n", [0.2, 3.7, 40.0])
def test_a_mean_known_better_or_worse_than_by_its_bars_is_integrated_as_well(n):
    factor = two_sided_factor(n, degrees_of_freedom=5)

    def held(z):
        # ncx2 is the distribution of (Z + d)², a second way to the radius.
        radius_squared = stats.ncx2.ppf(0.95, 1, z * z / n)
        return 2.0 * stats.norm.pdf(z) * stats.chi2.sf(5 * radius_squared / factor**2, 5)

    assert integrate.quad(held, 0.0, 8.0)[0] == pytest.approx(0.95, abs=1e-6)


@settings(deadline=None)
@given(st.integers(2, 200), st.floats(0.6, 0.99), st.floats(0.5, 0.99))
def test_more_bars_less_content_and_less_confidence_lower_the_factor(n, coverage, confidence):
    factor = two_sided_factor(n, coverage=coverage, confidence=confidence)
    assert two_sided_factor(n + 1, coverage=coverage, confidence=confidence) < factor
    assert two_sided_factor(n, coverage=coverage - 0.05, confidence=confidence) < factor
    assert two_sided_factor(n, coverage=coverage, confidence=confidence - 0.05) < factor


@pytest.mark.parametrize(("n", "coverage"), [(1, 0.95), (0, 0.95), (5, 0.4), (5, 1.0)])
def test_what_has_no_factor_is_refused(n, coverage):
    with pytest.raises(ValueError, match="a tolerance factor needs n > 0"):
        two_sided_factor(n, coverage=coverage)
