"""The part of the reading step that all bars of a group share, through the analysis of whole sheets."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bodytest.analysis.analysing import summarise
from bodytest.tables import Lab
from tests.analysis.example_tables import bar, checked

STEP = Lab(length_step_mm=0.1, mass_step_g=1.0)
ONE = 0.1 / math.sqrt(12.0)
FIRED = (87.8, 88.0, 88.1, 88.3, 88.4)


def result(bars, key, lab=STEP):
    (group,) = summarise(checked(bars, labs=(lab,))).groups
    return group.quantities[key]


def shared(found):
    """Return what the uncertainty of a mean holds beyond its scatter."""
    return math.sqrt(max(found.standard_uncertainty**2 - found.sd**2 / found.n, 0.0))


def lengths(wet, fired, marks=1):
    return [
        bar(f"B{i}", *[{"wet_length": w, "fired_length": f}] * marks)
        for i, (w, f) in enumerate(zip(wet, fired, strict=True))
    ]


def test_wet_lengths_set_with_a_template_share_their_error_however_much_fired_ones_scatter():
    found = result(lengths([100.0] * 5, FIRED), "total_shrinkage")
    assert shared(found) == pytest.approx(0.8812 * ONE, rel=1e-3)  # ∂S/∂L_wet = 100 L_fired/L_wet²


def test_two_marks_on_each_bar_lessen_what_is_shared():
    found = result(lengths([100.0] * 5, FIRED, marks=2), "total_shrinkage")
    assert shared(found) == pytest.approx(0.8812 * ONE / math.sqrt(2.0), rel=1e-3)


def test_lengths_that_differ_by_more_than_the_step_share_nothing():
    found = result(lengths([99.5, 99.8, 100.0, 100.3, 100.6], FIRED), "total_shrinkage")
    assert shared(found) == pytest.approx(0.0, abs=1e-6)


def test_masses_that_differ_share_nothing_unless_all_bars_gain_alike():
    fired = np.array([48.0, 50.0, 53.0, 55.0, 57.0])
    gains = (1.0, 0.0, 1.0, 0.0, 1.0)
    some = result(
        [bar(f"B{i}", fired_mass=f, boiled_mass=f + g) for i, (f, g) in enumerate(zip(fired, gains, strict=True))],
        "absorption",
    )
    assert shared(some) == pytest.approx(0.0, abs=1e-6)
    none = result([bar(f"B{i}", fired_mass=f, boiled_mass=f) for i, f in enumerate(fired)], "absorption")
    assert none.mean == 0.0
    # √2 × 1 g/√12 on about 52.6 g is 0.78 points, as scatter and as the error that all bars share.
    assert none.sd == pytest.approx(0.78, rel=0.02)
    assert none.standard_uncertainty == pytest.approx(0.78 * math.sqrt(1 + 1 / 5), rel=0.02)


def test_a_kitchen_scale_cannot_show_that_a_dense_body_meets_a_limit():
    limited = replace(STEP, absorption_limit_percent=0.5)
    bars = [bar(f"B{i}", fired_mass=50.0 + i, boiled_mass=50.0 + i) for i in range(5)]
    assert result(bars, "absorption", limited).decision == "cannot tell yet"


def test_calibration_and_what_is_shared_add_up():
    calibrated = replace(STEP, length_calibration_mm=0.5, length_errors="alike at every stage")
    found = result(lengths([100.0] * 5, FIRED), "total_shrinkage", calibrated)
    # |∂S/∂L_wet + ∂S/∂L_fired| U/2 = |0.8812 − 1| × 0.25 (GUM 5.2.2, one caliper reads both).
    assert shared(found) == pytest.approx(math.hypot(0.8812 * ONE, 0.1188 * 0.25), rel=2e-3)


def test_errors_of_each_stage_on_its_own_do_not_cancel_and_are_the_usual_case():
    stated = replace(STEP, length_calibration_mm=0.5, length_errors="each stage on its own")
    for lab in (stated, replace(stated, length_errors=None)):
        found = result(lengths([100.0] * 5, FIRED), "total_shrinkage", lab)
        assert shared(found) == pytest.approx(math.hypot(0.8812 * ONE, 0.8812 * 0.25, 0.25), rel=2e-3)


def test_means_hold_where_the_wet_and_the_fired_caliper_err_apart():
    """Calipers that may be off by ± 0.1 mm (k = 2), each stage on its own: 95 % of 300 tests, give or take 3 SD."""
    draw = np.random.default_rng(5)
    lab = Lab(length_step_mm=0.01, length_calibration_mm=0.1)
    held = 0
    for _ in range(300):
        off_wet, off_fired = draw.normal(0.0, 0.05, 2)
        fired = 100.0 * (1 - draw.normal(12.0, 0.06, 10) / 100.0)
        bars = lengths(np.round(np.full(10, 100.0) + off_wet, 2), np.round(fired + off_fired, 2))
        found = result(bars, "total_shrinkage", lab)
        held += found.low <= 12.0 <= found.high
    assert held / 300 >= 0.912
