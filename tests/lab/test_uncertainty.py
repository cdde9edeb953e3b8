"""Closed-form uncertainties against numeric derivatives, simulation and the GUM's own examples."""

import json
from importlib.resources import files

import numpy as np
import pytest

from bodytest.lab.propagation import propagate
from bodytest.lab.uncertainty import calibration_uncertainty, step_uncertainty
from bodytest.quantities import QUANTITIES, QUANTITY_BY_KEY, READINGS
from bodytest.stats.combined_freedom import combined_freedom
from bodytest.units import INSTRUMENTS

RHO = 0.9982
BAR = {
    **{reading.key: 25.0 for reading in READINGS},
    "wet_length": 100.0,
    "leather_hard_length": 97.0,
    "dry_length": 94.0,
    "bisque_length": 93.5,
    "fired_length": 88.0,
    "wet_mass": 60.0,
    "dry_mass": 48.0,
    "fired_mass": 45.0,
    "cold_soaked_mass": 46.1,
    "boiled_mass": 47.5,
    "suspended_mass": 27.0,
    "water_density": RHO,
}
KEYS = [quantity.key for quantity in QUANTITIES]


def example(identifier):
    text = files("bodytest").joinpath("published/check_values.json").read_text(encoding="utf-8")
    return next(e for e in json.loads(text)["examples"] if e["id"] == identifier)


@pytest.mark.parametrize("key", KEYS)
def test_each_sensitivity_is_the_numeric_derivative(key):
    slopes = QUANTITY_BY_KEY[key].slopes(BAR)
    assert set(slopes) == set(QUANTITY_BY_KEY[key].needs)
    for reading, slope in slopes.items():
        width = 1e-5 * BAR[reading]
        above, below = {**BAR, reading: BAR[reading] + width}, {**BAR, reading: BAR[reading] - width}
        numeric = (QUANTITY_BY_KEY[key].value(above) - QUANTITY_BY_KEY[key].value(below)) / (2.0 * width)
        assert slope == pytest.approx(numeric, rel=1e-6)


@pytest.mark.parametrize("key", KEYS)
def test_step_uncertainty_is_what_simulated_rounding_shows(key):
    rng = np.random.default_rng(11)
    steps, marks = dict.fromkeys(INSTRUMENTS, 0.02) | {"length": 0.1}, 3
    draws = {}
    for reading in READINGS:
        true, step = BAR[reading.key], steps[reading.dimension.instrument.name]
        count = marks if reading.of_mark else 1
        draws[reading.key] = true + rng.uniform(-step / 2, step / 2, size=(count, 100_000)).mean(axis=0)
    simulated = QUANTITY_BY_KEY[key].value(draws).std()
    ours = step_uncertainty(QUANTITY_BY_KEY[key], BAR, marks=marks, steps=steps)
    assert ours == pytest.approx(simulated, rel=0.01)  # 1 % is four standard errors of a simulated SD


@pytest.mark.parametrize("key", KEYS)
def test_calibration_uncertainty_is_what_one_simulated_offset_of_each_instrument_shows(key):
    rng = np.random.default_rng(12)
    calibrations = dict.fromkeys(INSTRUMENTS, 0.04) | {"length": 0.05}
    offsets = {name: rng.normal(0.0, expanded / 2, 100_000) for name, expanded in calibrations.items()}
    draws = {r.key: BAR[r.key] + offsets[r.dimension.instrument.name] for r in READINGS}
    simulated = QUANTITY_BY_KEY[key].value(draws).std()
    ours = calibration_uncertainty(QUANTITY_BY_KEY[key], BAR, calibrations=calibrations)
    assert ours == pytest.approx(simulated, rel=0.01, abs=1e-12)


@pytest.mark.parametrize("key", ["apparent_porosity", "saturation_coefficient"])
def test_an_offset_of_the_balance_cancels_where_only_differences_are_divided(key):
    found = calibration_uncertainty(QUANTITY_BY_KEY[key], BAR, calibrations={"length": 1.0, "mass": 1.0})
    assert found == pytest.approx(0.0, abs=1e-12)


def test_a_tenth_of_a_millimetre_on_100_mm_is_0_041_points():
    # 100 × (0.1/√12) × √2 / 100 = 0.0408, worked by hand for two readings near 100 mm.
    lengths = {"wet_length": 100.0, "dry_length": 100.0}
    found = step_uncertainty(QUANTITY_BY_KEY["drying_shrinkage"], lengths, steps={"length": 0.1})
    assert round(float(found), 3) == 0.041


def test_four_marks_halve_what_the_step_does_to_a_length():
    one, four = (
        step_uncertainty(QUANTITY_BY_KEY["total_shrinkage"], BAR, marks=marks, steps={"length": 0.5, "mass": 0.01})
        for marks in (1, 4)
    )
    assert four == pytest.approx(one / 2)


def test_marks_do_not_help_a_mass():
    one, four = (
        step_uncertainty(QUANTITY_BY_KEY["absorption"], BAR, marks=marks, steps={"length": 0.5, "mass": 0.01})
        for marks in (1, 4)
    )
    assert four == one


def test_instruments_without_stated_step_and_calibration_add_nothing():
    assert step_uncertainty(QUANTITY_BY_KEY["bulk_density"], BAR, steps={}) == 0.0
    assert calibration_uncertainty(QUANTITY_BY_KEY["absorption"], BAR, calibrations={}) == 0.0


def test_without_calibration_a_bar_without_readings_still_has_no_value():
    masses = {"fired_mass": np.array([45.0, np.nan]), "boiled_mass": np.array([46.0, 46.0])}
    found = calibration_uncertainty(QUANTITY_BY_KEY["absorption"], masses, calibrations={"length": 0.0})
    assert found[0] == 0.0
    assert np.isnan(found[1])


def test_uncertainty_is_given_bar_by_bar_and_missing_where_a_reading_is_missing():
    lengths = {"wet_length": np.array([100.0, np.nan, 50.0]), "fired_length": np.array([90.0, 90.0, 45.0])}
    total = QUANTITY_BY_KEY["total_shrinkage"]
    steps = step_uncertainty(total, lengths, marks=np.array([1, 1, 4]), steps={"length": np.array([0.1, 0.1, 0.1])})
    offsets = calibration_uncertainty(total, lengths, calibrations={"length": 0.05})
    assert np.isnan(steps).tolist() == [False, True, False]
    assert steps[2] == pytest.approx(steps[0])  # half the length, four marks
    assert offsets[2] == pytest.approx(2.0 * offsets[0])  # half the length, and marks do not help


def test_the_end_gauge_of_the_gum_comes_out_as_printed():
    # JCGM 100:2008 H.1.3 to H.1.6; model l = lS + d − lS (δα·θ + αS·δθ).
    case = example("gum-h1-end-gauge")
    length, _, expansion, temperature, difference, deviation = case["inputs"]["values"]
    slopes = [
        1.0 - (difference * temperature + expansion * deviation),
        1.0,
        -length * deviation,
        -length * difference,
        -length * temperature,
        -length * expansion,
    ]
    uncertainties = case["inputs"]["u"]
    combined = propagate(slopes, uncertainties)
    assert combined == pytest.approx(case["expected"]["u_c"], abs=case["tolerance"]["u_c"])
    parts = [abs(slope * uncertainty) for slope, uncertainty in zip(slopes, uncertainties, strict=True)]
    assert parts == pytest.approx(case["expected"]["contributions"], abs=case["tolerance"]["contributions"])
    freedom = [np.inf if count is None else count for count in case["inputs"]["dof"]]
    effective = combined_freedom(np.square(parts), freedom)
    assert effective == pytest.approx(case["expected"]["v_eff"], abs=case["tolerance"]["v_eff"])


def test_the_correlated_impedance_of_the_gum_comes_out_as_printed():
    # JCGM 100:2008 H.2, tables H.2 to H.4; the correlations are taken from the observations.
    case = example("gum-h2-impedance")
    observed = np.array(case["inputs"]["observations_V_mA_rad"]) * [1.0, 1e-3, 1.0]
    voltage, current, phase = observed.mean(axis=0)
    uncertainties = observed.std(axis=0, ddof=1) / np.sqrt(len(observed))
    correlation = np.corrcoef(observed, rowvar=False)
    impedance = voltage / current
    slopes = {
        "R": (np.cos(phase) / current, -impedance * np.cos(phase) / current, -impedance * np.sin(phase)),
        "X": (np.sin(phase) / current, -impedance * np.sin(phase) / current, impedance * np.cos(phase)),
        "Z": (1.0 / current, -impedance / current, 0.0),
    }
    for name, slope in slopes.items():
        combined = propagate(slope, uncertainties, correlation=correlation)
        assert combined == pytest.approx(case["expected"][name][1], abs=case["tolerance"]["default"][1])


def test_degrees_of_freedom_are_as_said_where_nothing_scatters():
    assert combined_freedom([0.0, 0.0], [3.0, 5.0], 3.0) == 3.0
    assert combined_freedom([np.zeros(2), np.array([0.0, 1.0])], [4.0, 9.0]).tolist() == [1.0, 9.0]
