import math

import numpy as np
import pytest

from bodytest.analysis.values import bar_values
from bodytest.quantities import QUANTITIES
from tests.analysis.example_tables import FINE_LAB, bar, checked


def test_each_quantity_follows_its_formula_by_hand():
    whole = bar(
        "B1",
        {"wet_length": 100.0, "leather_hard_length": 97.0, "dry_length": 94.0, "bisque_length": 93.0,
         "fired_length": 88.0},
        wet_mass=125.0, dry_mass=100.0, fired_mass=92.0, cold_soaked_mass=95.0, boiled_mass=96.0,
        suspended_mass=56.0,
    )  # fmt: skip
    values = {key: float(array[0]) for key, array in bar_values(checked([whole])).values.items()}
    worked = {
        "leather_hard_shrinkage": 3.0,  # 100 (100 − 97)/100
        "drying_shrinkage": 6.0,  # 100 (100 − 94)/100
        "bisque_shrinkage": 100 / 94,  # 100 (94 − 93)/94
        "firing_shrinkage": 600 / 94,  # 100 (94 − 88)/94
        "total_shrinkage": 12.0,  # 100 (100 − 88)/100
        "total_volume_shrinkage": 100 * (1 - 0.88**3),
        "water_of_plasticity": 25.0,  # 100 (125 − 100)/100
        "loss_on_ignition": 8.0,  # 100 (100 − 92)/100
        "absorption": 400 / 92,  # 100 (96 − 92)/92
        "cold_absorption": 300 / 92,
        "saturation_coefficient": 0.75,
        "apparent_porosity": 10.0,  # 100 (96 − 92)/(96 − 56)
        "bulk_density": 0.9982067 * 92 / 40,  # water at 20 °C, Tanaka et al. 2001
        "apparent_specific_gravity": 92 / 36,
    }
    assert {key: values[key] for key in worked} == pytest.approx(worked, rel=1e-7)
    assert list(values) == [q.key for q in QUANTITIES]


def test_a_missing_reading_leaves_out_what_needs_it_and_nothing_else():
    partly = bar("B1", {"wet_length": 100.0, "dry_length": 94.0}, fired_mass=92.0, boiled_mass=96.0)
    values = bar_values(checked([partly])).values
    known = {key for key, array in values.items() if not np.isnan(array[0])}
    assert known == {"drying_shrinkage", "absorption"}


def test_lengths_are_averaged_over_the_marks_measured_at_both_stages():
    marks = (
        {"wet_length": 100.0, "dry_length": 95.0, "fired_length": 90.0},
        {"wet_length": 50.0, "dry_length": 47.0},
    )
    values = bar_values(checked([bar("B1", *marks)])).values
    assert values["drying_shrinkage"][0] == pytest.approx(100 * (75.0 - 71.0) / 75.0)
    assert values["total_shrinkage"][0] == pytest.approx(10.0)


def test_water_temperature_of_the_lab_sheet_enters_the_density():
    from dataclasses import replace

    warm = replace(FINE_LAB, water_temperature_c=25.0)
    bars = [bar("B1", fired_mass=92.0, boiled_mass=96.0, suspended_mass=56.0, sheet=s) for s in (0, 1)]
    density = bar_values(checked(bars, labs=(FINE_LAB, warm))).values["bulk_density"]
    assert density[1] / density[0] == pytest.approx(997.047 / 998.2067, rel=1e-7)


def test_the_reading_step_is_that_of_each_bars_own_sheet():
    from dataclasses import replace

    coarse = replace(FINE_LAB, length_step_mm=0.5)
    bars = [bar("B1", {"wet_length": 100.0, "fired_length": 90.0}, sheet=s) for s in (0, 1)]
    step = bar_values(checked(bars, labs=(FINE_LAB, coarse))).step["total_shrinkage"]
    # u = 100 · δ/√12 · √(1/100² + (90/100²)²)
    assert step[1] == pytest.approx(100 * 0.5 / math.sqrt(12) * math.sqrt(1 / 100**2 + (90 / 100**2) ** 2))
    assert step[0] == pytest.approx(step[1] / 500)


def test_no_bars_give_no_values():
    values = bar_values(checked([])).values
    assert all(len(array) == 0 for array in values.values())
