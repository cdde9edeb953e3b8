"""The reading step told from the digits typed."""

import numpy as np
import pytest

from bodytest.intake.steps import infer_step


@pytest.mark.parametrize("step", [1.0, 0.5, 0.1, 0.05, 0.02, 0.01, 0.005, 0.001])
@pytest.mark.parametrize("count", [20, 60, 2000])
def test_the_step_of_rounded_readings_is_found(step: float, count: int) -> None:
    exact = np.random.default_rng(7).normal(94.3, 0.9 if step < 0.5 else 9.0, count)
    assert infer_step(np.round(exact / step) * step) == pytest.approx(step)


def test_noise_of_binary_numbers_does_not_count_as_digits() -> None:
    assert infer_step([88.93000000000001, 0.1 + 0.2 + 94.0, 100.30000000000001, 88.2, 91.77]) == 0.01


def test_a_few_means_among_readings_do_not_hide_the_step() -> None:
    readings = np.round(np.random.default_rng(3).normal(94, 1, 30), 1)
    assert infer_step([*readings, 94.0333333, 94.1666667]) == 0.1


def test_blanks_are_passed_over_and_too_few_readings_tell_nothing() -> None:
    assert infer_step([np.nan, 94.1, np.nan, 94.2, 93.9]) == 0.1
    assert infer_step([94.1, 94.2]) is None
    assert infer_step([]) is None


def test_numbers_without_any_step_tell_nothing() -> None:
    assert infer_step(np.random.default_rng(1).normal(94, 1, 50)) is None


@pytest.mark.parametrize("parts", [8, 16, 32, 64])
def test_inches_read_in_parts_are_found(parts: int) -> None:
    exact = np.random.default_rng(parts).normal(7.4, 0.4, 80)
    assert infer_step(np.round(exact * parts) / parts, unit="in") == 1 / parts


def test_inches_read_in_decimals_are_found() -> None:
    exact = np.random.default_rng(5).normal(7.4, 0.4, 80)
    assert infer_step(np.round(exact, 3), unit="in") == 0.001
    assert infer_step(np.round(exact, 2), unit="in") == 0.01
