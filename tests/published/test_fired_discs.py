"""Published brick discs, typed into a sheet and run through the real command line.

Source: Feldthus, Kirkelund, Ottosen, Bertelsen 2025, Brick discs with sewage sludge ash: production data, water
absorption, porosity and density measurements, Technical University of Denmark, doi 10.11583/DTU.30157108.v1, licence
CC BY 4.0; extract: clay Y without addition, 21 discs fired at 1020, 1030 and 1050 °C.

How the sheet is formed from the source:
- a disc is a bar measured along its diameter, three caliper readings being three marks; its height is a second bar
  of another direction, without masses. Disc 1020 A is given as means only and has one mark;
- the vacuum-saturated mass is the boiled mass, the Lab table naming the method;
- the source takes water as 998.2 kg/m³. The sheet states the temperature at which Tanaka's formula gives that,
  20.03 °C, as the sheet has a temperature and no density.

How each published figure is formed (tried on the data; the SDs printed are those of a sample, divisor n − 1):
- diameter shrinkage: mean over discs of 100 (d_dry − d_fired)/d_dry, each diameter the mean of three readings;
- volume shrinkage: mean over discs of 100 (1 − (1 − S_diameter)² (1 − S_height)), not the cube of one shrinkage;
- absorption, porosity: fractions there, per cent here; density: kg/m³ there, g/cm³ here; discs A, B and C only.
"""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import openpyxl
import pandas as pd
import pytest

from bodytest.lab.shrinkage import compound_shrinkage
from bodytest.lab.water import water_density
from bodytest.stats.outliers import generalised_esd

HERE = Path(__file__).parent
TEMPERATURES = (1020, 1030, 1050)
BARS_HEADINGS = (
    "bar", "body", "firing", "direction", "mark", "dry length (mm)", "fired length (mm)", "wet mass (g)",
    "dry mass (g)", "fired mass (g)", "boiled mass (g)", "suspended mass (g)",
)  # fmt: skip


def discs():
    return pd.read_csv(HERE / "fired_discs_dtu.csv", comment="#")


def published_groups():
    return pd.read_csv(HERE / "fired_discs_dtu_published_groups.csv", comment="#").set_index("temp_C")


def temperature_of_water(density_kg_m3):
    """Return the temperature above 4 °C at which Tanaka's formula gives the density."""
    temperatures = np.linspace(4.0, 40.0, 100_001)
    return float(np.interp(-density_kg_m3, -water_density(temperatures), temperatures))


def readings(disc, dry, fired):
    """Return the pairs of dry and fired readings of one dimension, or the pair of means where only these are given."""
    pairs = [(disc[f"{dry}{k}"], disc[f"{fired}{k}"]) for k in (1, 2, 3)]
    known = [pair for pair in pairs if not np.isnan(pair).any()]
    words = {"dd": ("dry_diam_mean", "fired_diam_mean"), "dh": ("dry_height_mean", "fired_height_mean")}[dry]
    return known or [tuple(disc[word] for word in words)]


def bar_rows(disc):
    """Return the rows of one disc: a row for each mark of its diameter, then of its height."""
    name, firing = f"{disc['temp_C']}-{disc['rep']}", f"F{disc['temp_C']}"
    masses = [disc[c] for c in ("green_g", "dried_g", "fired_g", "saturated_g", "submerged_g")]
    for dimension, dry, fired in (("diameter", "dd", "fd"), ("height", "dh", "fh")):
        for mark, pair in enumerate(readings(disc, dry, fired), start=1):
            weighed = masses if dimension == "diameter" and mark == 1 else [np.nan] * len(masses)
            code = name if dimension == "diameter" else f"{name}-h"
            cells = [code, "Clay Y", firing, dimension, mark, *pair, *weighed]
            yield [None if isinstance(cell, float) and np.isnan(cell) else cell for cell in cells]


def write_sheet(path):
    """Write the discs as a workbook with Bars, Firings and Lab."""
    book = openpyxl.Workbook()
    bars = book.active
    bars.title = "Bars"
    bars.append(BARS_HEADINGS)
    for _, disc in discs().iterrows():
        for row in bar_rows(disc):
            bars.append(row)
    firings = book.create_sheet("Firings")
    firings.append(("firing", "purpose", "peak temperature (°C)"))
    for celsius in TEMPERATURES:
        firings.append((f"F{celsius}", "test", celsius))
    lab = book.create_sheet("Lab")
    for name, value in (
        ("absorption method", "vacuum"),
        ("water temperature (°C)", temperature_of_water(998.2)),
        ("length reading step (mm)", 0.01),
        ("mass reading step (g)", 0.001),
    ):
        lab.append((name, value))
    book.save(path)


@pytest.fixture(scope="module")
def document(tmp_path_factory):
    """Return what ``bodytest results`` prints for the sheet."""
    sheet = tmp_path_factory.mktemp("discs") / "discs.xlsx"
    write_sheet(sheet)
    command = [sys.executable, "-m", "bodytest", "results", str(sheet), "--format", "json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def group(document, celsius, direction):
    return next(g for g in document["groups"] if (g["firing"], g["direction"]) == (f"F{celsius}", direction))


def values(document, celsius, direction, quantity):
    chosen = [b for b in document["bars"] if (b["firing"], b["direction"]) == (f"F{celsius}", direction)]
    return np.array([b["values"][quantity] for b in sorted(chosen, key=lambda b: b["bar"])])


def test_every_disc_is_there(document):
    assert len(document["bars"]) == 2 * 21
    assert [group(document, celsius, "diameter")["bars"] for celsius in TEMPERATURES] == [7, 7, 7]
    assert {g["absorption_method"] for g in document["groups"]} == {"vacuum"}
    assert [f for f in document["findings"] if f["level"] == "stop"] == []


@pytest.mark.parametrize("celsius", TEMPERATURES)
def test_diameter_shrinkage_is_as_published(document, celsius):
    printed, ours = published_groups().loc[celsius], group(document, celsius, "diameter")["quantities"]
    shrinkage = ours["firing_shrinkage"]
    assert shrinkage["n"] == printed["n_shr"]
    assert shrinkage["mean"] == pytest.approx(printed["diam_shr_pct_mean"], abs=1e-6)
    assert shrinkage["sd"] == pytest.approx(printed["diam_shr_pct_sd"], abs=2e-6)


@pytest.mark.parametrize("celsius", TEMPERATURES)
def test_volume_shrinkage_from_diameter_and_height_is_as_published(document, celsius):
    printed = published_groups().loc[celsius]
    across = values(document, celsius, "diameter", "firing_shrinkage")
    along = values(document, celsius, "height", "firing_shrinkage")
    volume = compound_shrinkage(across, across, along)
    assert len(volume) == printed["n_vol"]
    # The means of 1020 A are given to 1e-6 mm, the published figures to eight digits of the unrounded ones.
    assert volume.mean() == pytest.approx(printed["vol_shr_pct_mean"], abs=3e-6)
    assert volume.std(ddof=1) == pytest.approx(printed["vol_shr_pct_sd"], abs=3e-6)


@pytest.mark.parametrize("celsius", TEMPERATURES)
@pytest.mark.parametrize(
    ("quantity", "column", "scale"),
    [("absorption", "absorption", 100.0), ("apparent_porosity", "porosity", 100.0), ("bulk_density", "density", 1e-3)],
)
def test_weighing_gives_the_published_figures(document, celsius, quantity, column, scale):
    printed = published_groups().loc[celsius]
    ours = group(document, celsius, "diameter")["quantities"][quantity]
    assert ours["n"] == printed["n_wat"]
    # Eight digits are printed: half a unit of the last one, and as much for the sums behind it.
    assert ours["mean"] == pytest.approx(scale * printed[f"{column}_mean"], rel=6e-8)
    assert ours["sd"] == pytest.approx(scale * printed[f"{column}_sd"], rel=2e-5)


@pytest.mark.parametrize("celsius", TEMPERATURES)
def test_loss_on_ignition_and_water_of_plasticity_are_those_of_the_published_masses(document, celsius):
    # The source prints the masses of each disc and no group figures of these two; plain arithmetic on the masses.
    weighed = discs()[lambda table: table["temp_C"] == celsius]
    loss = (100 * (1 - weighed["fired_g"] / weighed["dried_g"])).mean()
    water = (100 * (weighed["green_g"] / weighed["dried_g"] - 1)).mean()
    ours = group(document, celsius, "diameter")["quantities"]
    assert ours["loss_on_ignition"]["mean"] == pytest.approx(loss, rel=1e-12)
    assert ours["water_of_plasticity"]["mean"] == pytest.approx(water, rel=1e-12)


def test_the_disc_that_stands_apart_is_found_and_kept(document):
    # Disc 1030 G: one dry diameter reads 18.58, the others 19.29 and 19.46; the extract names it a natural outlier.
    shrinkage = values(document, 1030, "diameter", "firing_shrinkage")
    assert generalised_esd(shrinkage, significance=0.05).flagged == (6,)
    assert group(document, 1030, "diameter")["quantities"]["firing_shrinkage"]["n"] == 7
