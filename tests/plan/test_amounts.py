import math

import pytest
from scipy import stats

from bodytest.errors import NotMeasured
from bodytest.plan.amounts import clay_masses, wet_capacities
from bodytest.plan.measured import Wanted
from tests.export.example_results import STAGES, group, results

WEIGHED = results(group(**STAGES, water_of_plasticity=(25.0, 0.5, 10), loss_on_ignition=(8.0, 0.1, 10)))


def test_wet_mass_for_a_finished_mass_by_hand():
    # 920 g / (1 − 0.08) = 1000 g dry; × (1 + 0.25) = 1250 g wet
    (found,) = clay_masses(WEIGHED, ["920g"])
    assert found.dry_g == pytest.approx(1000.0, abs=1e-9)
    assert found.wet_g == pytest.approx(1250.0, abs=1e-9)


def test_the_range_of_the_wet_mass_by_hand():
    # relative: 0.1/√10/92 and 0.5/√10/125, 9 degrees of freedom each
    u_loss, u_water = 0.1 / math.sqrt(10) / 92, 0.5 / math.sqrt(10) / 125
    together = math.hypot(u_loss, u_water)
    freedom = together**4 / ((u_loss**4 + u_water**4) / 9)
    half = stats.t.ppf(0.975, freedom) * together
    (found,) = clay_masses(WEIGHED, ["920g"])
    assert found.wet_low_g == pytest.approx(1250 * math.exp(-half), rel=1e-10)
    assert found.wet_high_g == pytest.approx(1250 * math.exp(half), rel=1e-10)


def test_bars_not_weighed_wet_give_the_dry_mass_alone():
    (found,) = clay_masses(results(group(**STAGES, loss_on_ignition=(8.0, 0.1, 10))), ["920g"])
    assert (found.wet_g, found.wet_low_g) == (None, None)
    assert found.dry_g == pytest.approx(1000.0)
    assert found.notes == ("The bars were not weighed wet, so only the dry mass can be told.",)


def test_bars_never_weighed_are_refused():
    with pytest.raises(NotMeasured) as caught:
        clay_masses(results(), ["920g"])
    assert caught.value.finding.sentence == (
        "Bars of Drift Buff fired in C6 were not weighed both dry and fired, so no clay mass can be told."
    )


def test_wet_capacity_is_the_cube_of_the_factor():
    # 350 ml / 0.88³ = 350 / 0.681472 = 513.594 ml
    (found,) = wet_capacities(WEIGHED, ["350ml"])
    assert found.wet_ml == pytest.approx(513.594, abs=1e-3)
    assert found.notes == (
        "Height and width are taken to shrink alike; say --direction height=NAME where they do not.",
    )


def test_height_and_width_may_shrink_differently():
    # height 10 %, width 12 %: 350 / (0.90 × 0.88²) = 502.181 ml
    two = results(group(**STAGES), group(direction="height", total_shrinkage=(10.0, 0.2, 10)))
    (found,) = wet_capacities(two, ["350ml"], wanted=Wanted(direction="along"), height_direction="height")
    assert found.wet_ml == pytest.approx(502.181, abs=1e-3)
    assert found.directions == ("height", "along")
    assert found.wet_low_ml < found.wet_ml < found.wet_high_ml


def test_capacity_of_a_body_whose_wet_length_is_unknown_is_refused():
    with pytest.raises(NotMeasured) as caught:
        wet_capacities(results(group(firing_shrinkage=(6.0, 0.1, 10))), ["350ml"])
    assert caught.value.finding.sentence == (
        "Bars of Drift Buff fired in C6 were not measured at the stage “wet”. There are: dry."
    )
