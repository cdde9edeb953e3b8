import numpy as np
import pytest

from bodytest.stats.control_chart import RANGE_TO_SD, ewma_chart, individuals_chart
from tests.stats.one_batch_values import published


def test_the_individuals_chart_is_that_of_the_handbook():
    # NIST/SEMATECH e-Handbook 6.3.2.2, flow rate.
    example = published("nist-6.3.2.2-individuals")
    chart = individuals_chart(example.inputs["x"])
    ours = {"xbar": chart.centre, "mrbar": chart.mean_range, "ucl": chart.high, "lcl": chart.low,
            "mr_ucl": chart.range_high}  # fmt: skip
    for figure, printed in example.expected.items():
        assert ours[figure] == pytest.approx(printed, abs=example.tolerance[figure])
    assert chart.outside == ()


def test_the_running_average_is_that_of_the_handbook():
    # NIST/SEMATECH e-Handbook 6.3.2.4; its lower limit is printed truncated (47.4115, exact 47.4116).
    example = published("nist-6.3.2.4-ewma")
    chart = ewma_chart(
        example.inputs["x"], centre=example.inputs["target"], sd=example.inputs["s"], weight=example.inputs["lam"]
    )
    assert chart.averages == pytest.approx(example.expected["ewma"], abs=example.tolerance["ewma"])
    assert chart.high[-1] == pytest.approx(example.expected["ucl"], abs=example.tolerance["ucl"])
    assert chart.low[-1] == pytest.approx(example.expected["lcl"], abs=example.tolerance["lcl"])
    assert chart.outside == ()


def test_the_range_of_two_is_turned_into_an_sd_by_the_standard_constant():
    # Standard table of chart constants, d2 for n = 2.
    constants = published("control-chart-constants")
    assert constants.expected["d2"][constants.inputs["n"].index(2)] == RANGE_TO_SD


def test_the_limits_of_the_running_average_open_with_its_variance():
    rng = np.random.default_rng(3)
    averages = np.array([ewma_chart(row, centre=0.0, sd=1.0).averages for row in rng.standard_normal((20_000, 5))])
    chart = ewma_chart(np.zeros(5), centre=0.0, sd=1.0)
    assert 3.0 * averages.std(axis=0) == pytest.approx(np.array(chart.high), rel=0.02)


def test_a_batch_outside_limits_from_the_first_ones_is_found():
    steady = [12.0, 12.1, 11.9, 12.05, 11.95, 12.0]
    chart = individuals_chart([*steady, 13.0, 12.0, 11.0], reference=6)
    assert chart.outside == (6, 8)
    assert chart.centre == pytest.approx(12.0)


def test_a_slow_drift_shows_in_the_running_average_before_any_single_batch():
    steady = [12.0, 12.1, 11.9, 12.05, 11.9, 12.05]
    values = [*steady, 12.2, 12.2, 12.25, 12.25]
    single = individuals_chart(values, reference=6)
    running = ewma_chart(values, centre=single.centre, sd=single.sd)
    assert single.outside == ()
    assert running.outside == (9,)


@pytest.mark.parametrize(("above", "runs"), [(7, ()), (8, (8,)), (9, (8, 9))])
def test_eight_in_a_row_on_one_side_are_a_run(above, runs):
    # Western Electric rules, NIST/SEMATECH e-Handbook 6.3.2 (from memory).
    values = [-1.0, *[0.1] * above, *[-0.2, 0.2] * 3]
    chart = individuals_chart([*values, -sum(values)])
    assert chart.centre == pytest.approx(0.0)
    assert chart.runs == runs


def test_batches_that_are_all_alike_leave_no_limits():
    chart = individuals_chart([12.3] * 9)
    assert (chart.sd, chart.outside, chart.runs) == (0.0, (), ())
    assert ewma_chart([12.3] * 9, centre=chart.centre, sd=0.0).outside == ()


def test_one_batch_has_no_limits():
    with pytest.raises(ValueError, match="limits need at least two reference values"):
        individuals_chart([12.0])
