"""Limits on a mean, on every bar and on a share of bars: printed factors, and the risks by simulation."""

import numpy as np
import pytest

from bodytest.stats.windows import Guarded, Known, decide, guarded_bars, guarded_mean, guarded_share, one_sided_factor


@pytest.mark.parametrize(
    ("n", "coverage", "confidence", "printed"),
    [(43, 0.90, 0.99, "1.8740"), (10, 0.95, 0.95, "2.911"), (5, 0.95, 0.95, "4.203"), (20, 0.90, 0.95, "1.926")],
)
def test_one_sided_factors_are_those_of_the_tables(n: int, coverage: float, confidence: float, printed: str) -> None:
    """43 wafers: NIST/SEMATECH e-Handbook 7.2.6.3. The others: tables of ISO 16269-6, from memory."""
    digits = len(printed.split(".")[1])
    assert f"{one_sided_factor(n, n - 1, coverage=coverage, confidence=confidence):.{digits}f}" == printed


def known(values: np.ndarray) -> Known:
    sd = float(values.std(ddof=1))
    return Known(float(values.mean()), sd / len(values) ** 0.5, sd, len(values) - 1)


def shares(truth: float, judge: str, *, n: int, two_sided: bool = False, tests: int = 4000) -> dict[str, float]:
    """Return how often each verdict falls on bars of mean ``truth`` and SD 1 whose window ends at 0 (and at −3.5)."""
    draw = np.random.default_rng(11)
    lowest = -3.5 if two_sided else None
    counts = dict.fromkeys(("meets", "does not meet", "cannot tell yet"), 0)
    for values in draw.normal(truth, 1.0, (tests, n)):
        if judge == "mean":
            seen = known(values)
            ends = (guarded_mean(seen.mean, seen.standard_uncertainty, n - 1),) * 2
        else:
            ends = guarded_share(known(values), 0.9, two_sided=two_sided)
        counts[decide(*ends, lowest, 0.0)] += 1
    return {verdict: count / tests for verdict, count in counts.items()}


def test_a_mean_on_its_limit_is_judged_wrongly_in_one_of_twenty_to_either_side() -> None:
    seen = shares(0.0, "mean", n=8)
    assert seen["meets"] == pytest.approx(0.05, abs=0.01)
    assert seen["does not meet"] == pytest.approx(0.05, abs=0.01)


def test_a_share_on_its_limit_is_judged_wrongly_in_one_of_twenty_to_either_side() -> None:
    seen = shares(-1.2816, "share", n=10)
    assert seen["meets"] == pytest.approx(0.05, abs=0.01)
    assert seen["does not meet"] == pytest.approx(0.05, abs=0.01)


def test_a_window_with_two_ends_is_not_met_by_more_than_one_of_twenty_that_leave_out_too_many() -> None:
    """At −1.75 the window of 3.5 SD holds 92 %; at −1.3 it holds 88.8 %, less than the 90 % that are wanted."""
    assert shares(-1.3, "share", n=30, two_sided=True)["meets"] <= 0.05


def test_every_bar_is_held_against_both_ends_with_its_own_uncertainty() -> None:
    low, high = guarded_bars([10.0, 12.0, 14.0], [0.1, 0.1, 0.5])
    assert (low.value, high.value) == (10.0, 14.0)
    assert low.at_least == pytest.approx(9.836, abs=1e-3)
    assert high.at_most == pytest.approx(14.822, abs=1e-3)
    assert decide(low, high, 9.8, 15.0) == "meets"
    assert decide(low, high, 9.8, 14.5) == "cannot tell yet"
    assert decide(low, high, 10.5, 15.0) == "does not meet"


def test_a_window_without_ends_is_met_by_anything() -> None:
    assert decide(Guarded(1.0, 2.0, 0.0), Guarded(1.0, 2.0, 0.0), None, None) == "meets"
