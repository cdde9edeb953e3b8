import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodytest.stats.outliers import critical_deviate, generalised_esd
from tests.stats.one_batch_values import ROSNER, SHRINKAGE, TWO_HIDDEN, from_r, published


def test_the_example_of_rosner_has_three_outliers():
    # NIST/SEMATECH e-Handbook 1.3.5.17.3 prints these (from memory, agrees with recomputation); R agrees to 11 digits.
    found = generalised_esd(ROSNER, most=10)
    assert [round(r, 3) for r in found.deviates] == [
        3.119, 2.943, 3.179, 2.810, 2.816, 2.848, 2.279, 2.310, 2.102, 2.067,
    ]  # fmt: skip
    assert [round(c, 3) for c in found.critical] == [
        3.159, 3.151, 3.144, 3.136, 3.128, 3.120, 3.112, 3.103, 3.094, 3.085,
    ]  # fmt: skip
    assert found.deviates == pytest.approx(from_r("rosner_R"), abs=1e-10)
    assert found.critical == pytest.approx(from_r("rosner_lambda"), abs=1e-10)
    assert sorted(ROSNER[at] for at in found.flagged) == [5.34, 5.42, 6.01]


def test_one_outlier_is_the_test_of_grubbs():
    # NIST/SEMATECH e-Handbook 1.3.5.17.1.
    example = published("nist-1.3.5.17.1-grubbs")
    found = generalised_esd(example.inputs["x"], most=1, significance=example.inputs["alpha"])
    assert found.deviates[0] == pytest.approx(example.expected["G"], abs=example.tolerance["G"])
    assert found.critical[0] == pytest.approx(example.expected["crit_two_sided"], abs=5e-5)
    assert [example.inputs["x"][at] for at in found.flagged] == [example.expected["outlier"]]


def test_the_critical_values_are_those_of_grubbs():
    # Grubbs 1950/1969, upper 5 %, one-sided: the two-sided value at 10 %.
    table = published("grubbs-crit-one-sided-5pct")
    ours = [critical_deviate(n, 1, 0.10) for n in table.inputs["n"]]
    assert ours == pytest.approx(table.expected["G"], abs=table.tolerance["G"])


def test_two_bars_that_hide_each_other_are_both_found():
    # By R, tests/stats/r/one_batch.R: the first deviate stays below its critical value, the second does not.
    found = generalised_esd(TWO_HIDDEN)
    assert found.deviates == pytest.approx(from_r("two_hidden_R"), abs=1e-10)
    assert found.critical == pytest.approx(from_r("two_hidden_lambda"), abs=1e-10)
    assert found.flagged == (7, 8)
    assert generalised_esd(TWO_HIDDEN, most=1).flagged == ()


@pytest.mark.parametrize("values", [[], [12.0], [12.0, 13.0], [12.0] * 10, [0.1 + 0.2, 0.3, 0.3, 0.3]])
def test_too_few_bars_or_no_scatter_flag_nothing(values):
    assert generalised_esd(values).flagged == ()


def test_a_bar_one_step_beside_others_that_read_alike_is_not_odd():
    one_step_beside = [12.0] * 9 + [12.1]
    assert generalised_esd(one_step_beside).flagged == (9,)
    assert generalised_esd(one_step_beside, step_uncertainty=0.1 / 12**0.5).flagged == ()
    assert generalised_esd([12.0] * 9 + [12.4], step_uncertainty=0.1 / 12**0.5).flagged == (9,)


@pytest.mark.parametrize(("n", "most_false"), [(5, 0.06), (10, 0.085), (30, 0.065)])
def test_sound_bars_are_seldom_flagged(n, most_false):
    # Claimed 5 %; at ten bars and two steps the critical values are a little too low (7 % by longer simulation).
    rng = np.random.default_rng(n)
    flagged = [bool(generalised_esd(rng.standard_normal(n)).flagged) for _ in range(2000)]
    assert np.mean(flagged) < most_false


@settings(deadline=None)
@given(st.lists(st.floats(-30.0, 30.0), min_size=3, max_size=25), st.floats(0.1, 10.0), st.randoms())
def test_order_place_and_scale_do_not_matter(values, stretch, random):
    order = list(range(len(values)))
    random.shuffle(order)
    plain = generalised_esd(values, step_uncertainty=0.1)
    moved = generalised_esd([values[at] * stretch + 5.0 for at in order], step_uncertainty=0.1 * stretch)
    assert moved.deviates == pytest.approx(plain.deviates, rel=1e-6, abs=1e-9)


def test_sound_bars_stay_unflagged_and_positions_point_at_the_values():
    assert generalised_esd(SHRINKAGE).flagged == ()
    assert generalised_esd([*SHRINKAGE[:3], 15.0, *SHRINKAGE[3:]]).flagged == (3,)


@pytest.mark.parametrize("decimals", [1, 12])
def test_deviates_of_many_values_are_those_of_the_definition(decimals):
    values = np.round(np.random.default_rng(7).normal(12.0, 0.2, 2000), decimals)
    values[[40, 1500, 3]] = 15.0, 9.5, 14.0
    left, expected = values, []
    for _ in range(10):
        far = np.abs(left - left.mean())
        expected.append(far.max() / left.std(ddof=1))
        left = np.delete(left, far.argmax())
    found = generalised_esd(values)
    assert found.deviates == pytest.approx(expected, rel=1e-12)
    assert found.flagged == (40, 1500, 3)
