"""What a script can import from the top of the package, used as a planning tool would use it."""

import subprocess
import sys
from pathlib import Path

import pytest

import bodytest

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "sheets" / "demo-complete.xlsx"
WANTED = {"body": "Drift Buff", "firing": "F4", "direction": "along"}


@pytest.fixture(scope="module")
def results():
    return bodytest.analyse(bodytest.read_sheets(DEMO))


def test_every_public_name_is_there():
    assert all(getattr(bodytest, name) for name in bodytest.__all__)
    assert set(bodytest.__all__) <= set(dir(bodytest))
    with pytest.raises(AttributeError, match="no attribute 'nonsense'"):
        bodytest.nonsense  # noqa: B018


def test_importing_the_package_loads_nothing_slow():
    said = subprocess.run(
        [sys.executable, "-c", "import bodytest, sys; print(sorted({'numpy', 'pandas'} & set(sys.modules)))"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert said.stdout.strip() == "[]"


def test_results_written_and_read_again_give_the_same_sizes(results, tmp_path):
    path = tmp_path / "results.json"
    path.write_text(bodytest.to_json(results), encoding="utf-8")
    again = bodytest.read_results(path)
    assert bodytest.sizes(again, ["200mm"], **WANTED) == bodytest.sizes(results, ["200mm"], **WANTED)


def test_the_wet_size_is_the_finished_one_times_the_factor_of_the_group(results):
    (group,) = [g for g in results.groups if (g.body, g.firing, g.direction) == ("Drift Buff", "F4", "along")]
    (found,) = bodytest.sizes(results, ["200mm"], **WANTED, within="2mm")
    assert found.at("wet").size_mm == pytest.approx(200 * group.wet_size_factor, abs=1e-9)
    assert found.next_low_mm < 200 < found.next_high_mm
    assert 0 < found.chance_within < 1


def test_masses_capacities_and_matches_are_there_too(results):
    (mass,) = bodytest.clay_masses(results, ["800g"], **WANTED)
    (capacity,) = bodytest.wet_capacities(results, ["350ml"], **WANTED)
    found = bodytest.match(results, "92mm", clearance="1mm", **WANTED)
    assert mass.wet_g > mass.dry_g > 800
    assert capacity.wet_ml > 350
    assert 0.5 < found.chance_fits < 1


def test_a_document_is_plain_data_and_the_table_is_text(results):
    assert bodytest.to_document(results)["format"] == "bodytest results"
    assert bodytest.to_csv(results).startswith("body,firing,direction,")
