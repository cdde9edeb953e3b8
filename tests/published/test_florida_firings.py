"""Porosity of Florida clays against firing temperature, typed into a sheet and run through the real command line.

Source: tests of the National Bureau of Standards of 1914, reprinted in Bell, A Preliminary Report on the Clays of
Florida, Florida State Geological Survey 15th Annual Report (1923): one porosity at each temperature.

The source gives porosities, no masses. Each becomes a bar of 100 g fired and 50 cm³ in water of 1 g/cm³ (boiled mass
100 + P/2, suspended mass 50 g less), so that the porosity comes back if the program computes it as the source defines
it, and absorption is half of it.
"""

import json
import subprocess
import sys
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

SERIES = pd.read_csv(Path(__file__).parent / "florida_nbs1914_porosity_series.csv", comment="#")
CLAYS = list(dict.fromkeys(SERIES["clay"]))


def write_sheet(path):
    book = openpyxl.Workbook()
    bars, firings = book.active, book.create_sheet("Firings")
    bars.title = "Bars"
    bars.append(["bar", "body", "firing", "fired mass (g)", "boiled mass (g)", "suspended mass (g)"])
    firings.append(["firing", "purpose", "peak temperature (°C)"])
    for position, row in enumerate(SERIES.itertuples(), start=1):
        boiled = round(100 + row.porosity_pct / 2, 3)
        bars.append([f"N{position}", row.clay, f"F{row.temp_C}", 100.0, boiled, round(boiled - 50, 3)])
    for celsius in sorted(set(SERIES["temp_C"])):
        firings.append([f"F{celsius}", "test", celsius])
    lab = book.create_sheet("Lab")
    lab.append(["absorption method", "other"])
    lab.append(["mass reading step (g)", 0.001])
    lab.append(["absorption limit (%)", 6.0])
    book.save(path)


@pytest.fixture(scope="module")
def document(tmp_path_factory):
    """Return what ``bodytest results`` prints for the sheet."""
    sheet = tmp_path_factory.mktemp("florida") / "florida.xlsx"
    write_sheet(sheet)
    command = [sys.executable, "-m", "bodytest", "results", str(sheet), "--format", "json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("clay", CLAYS)
def test_every_published_porosity_comes_back(document, clay):
    published = SERIES[SERIES["clay"] == clay].set_index("temp_C")["porosity_pct"]
    groups = [g for g in document["groups"] if g["body"] == clay]
    ours = {g["peak_temperature_c"]: g["quantities"]["apparent_porosity"]["mean"] for g in groups}
    assert len(ours) == len(published)
    for celsius, porosity in published.items():
        assert ours[celsius] == pytest.approx(porosity, abs=0.0005)


def test_one_bar_a_firing_gives_no_interval_and_says_so(document):
    porosity = document["groups"][0]["quantities"]["apparent_porosity"]
    assert porosity["n"] == 1
    assert porosity["low"] is None
    assert porosity["why_no_interval"] == (
        "One bar alone shows no scatter, so no interval can be given; measure at least two more."
    )


def response(document, clay):
    return next(r for r in document["responses"] if r["body"] == clay)


def test_the_temperature_at_the_limit_lies_between_the_published_firings(document):
    # Porosity 12 % (absorption 6 %) lies between 16.6 % at 1260 °C and 11.5 % at 1290 °C: 1287 °C on a straight line.
    at_limit = response(document, "Platt Bros South Jacksonville")["at_limit"]
    assert at_limit["celsius"] == pytest.approx(1260 + 30 * (16.6 - 12.0) / (16.6 - 11.5), abs=2.0)


def test_a_clay_that_stays_open_does_not_reach_the_limit(document):
    # Thomas City: between 32.2 and 35.6 % porosity from 950 to 1320 °C.
    at_limit = response(document, "Thomas City")["at_limit"]
    assert at_limit["celsius"] is None
    assert at_limit["note"].startswith("not reached in the tested range")
