"""A quantity that somebody adds: one file in ``lab/`` and one published value, and everything knows it."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

PACKAGE = Path(__file__).parents[2] / "bodytest"
METHOD = '''"""Slump of a cantilevered bar, invented for a test."""

import numpy.typing as npt

from bodytest.lab.ratio import FloatArray, number, ratio
from bodytest.lab.readings import DRY_LENGTH
from bodytest.lab.record import PRACTICE, Quantity, Reading, Way
from bodytest.units import DIMENSIONS

SAG = Reading("sag", "sag", DIMENSIONS["size"], "fired", "s", ("droop",), "How far the end sank, in {unit}.")


def slump(sag_mm: npt.ArrayLike, dry_length_mm: npt.ArrayLike) -> FloatArray:
    """Return how far the free end sank, in per cent of the dry length."""
    return 100.0 * ratio(number(sag_mm), number(dry_length_mm))


QUANTITIES = (
    Quantity(
        "slump", "Slump", "Z", "%", (Way(slump, (SAG, DRY_LENGTH)),), "dry length", PRACTICE, (0.0, 10.0), PRACTICE,
        (0.0, 50.0), PRACTICE, live=True,
    ),
)
'''
WORKED = {
    "id": "slump", "topic": "quantities", "name": "Slump of one bar", "source": "invented", "provenance": "computed",
    "inputs": {"quantity": "slump", "readings": {"sag": 2.0, "dry_length": 80.0}}, "expected": {"value": 2.5},
    "tolerance": {"value": 0.0005}, "note": "",
}  # fmt: skip
SAGS = (1.9, 2.1, 2.0, 45.0, 12.0, 2.2)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Return a folder with a copy of the package that has the invented quantity."""
    folder = tmp_path_factory.mktemp("invented")
    copy = folder / "bodytest"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "lab" / "slump.py").write_text(METHOD, encoding="utf-8")
    published = copy / "published" / "quantities.json"
    examples = json.loads(published.read_text(encoding="utf-8"))
    examples["examples"].append(WORKED)
    published.write_text(json.dumps(examples), encoding="utf-8")
    return folder


def run(folder, *arguments):
    return subprocess.run(
        [sys.executable, "-m", "bodytest", *arguments], cwd=folder, capture_output=True, text=True, check=False
    )


@pytest.fixture(scope="module")
def filled(folder):
    """Return the name of a sheet of the copy's own making, filled in."""
    said = run(folder, "sheet", "slump.xlsx", "--quantity", "slump", "--bars", str(len(SAGS)), "--no-masses")
    assert said.returncode == 0, said.stderr
    book = openpyxl.load_workbook(folder / "slump.xlsx")
    bars = book["Bars"]
    places = {str(cell.value): cell.column for cell in bars[3]}
    sag, dry = (bars.cell(4, places[heading]).coordinate for heading in ("sag (mm)", "dry length (mm)"))
    shown = bars.cell(4, places["slump (%)"]).value
    assert shown == f'=IF(COUNT({sag},{dry})<2,"",IF({dry}<=0,"",100*{sag}/{dry}))'
    for number, droop in enumerate(SAGS):
        row = {"body": "Invented", "wet length (mm)": 85.1 + 0.1 * number, "dry length (mm)": 80.2 + 0.1 * number}
        for heading, value in {**row, "fired length (mm)": 75.3 + 0.1 * number, "sag (mm)": droop}.items():
            bars.cell(4 + number, places[heading]).value = value
    book.save(folder / "slump.xlsx")
    return "slump.xlsx"


def test_check_holds_its_limits(folder, filled):
    said = json.loads(run(folder, "check", filled, "--json").stdout)
    told = {f["code"]: f["sentence"] for f in said["findings"] if "slump" in f["sentence"]}
    sag = openpyxl.load_workbook(folder / filled)["Bars"]
    column = next(cell.column_letter for cell in sag[3] if cell.value == "sag (mm)")
    assert told == {
        "impossible-value": f"In Bars!{column}7 the slump comes to 55.9 % (dry length 80.5 mm, sag 45 mm), outside what"
        " can be true (0 to 50 %; common practice, no source). None of these is used.",
        "beyond-clay": f"In Bars!{column}8 the slump comes to 14.9 % (dry length 80.6 mm, sag 12 mm), outside what clay"
        " usually does (0 to 10 %); it was used.",
    }


def test_results_and_report_show_it(folder, filled):
    document = json.loads(run(folder, "results", filled, "--format", "json").stdout)
    (group,) = document["groups"]
    assert group["quantities"]["slump"]["n"] == len(SAGS) - 1
    assert document["bars"][0]["values"]["slump"] == pytest.approx(100 * 1.9 / 80.2)
    assert group["quantities"]["slump"]["standard_uncertainty"] > 0
    assert run(folder, "report", filled, "--out", "pages").returncode == 1  # a value is to mend
    page = (folder / "pages" / "invented.html").read_text(encoding="utf-8")
    assert "Z = 100 s / L<sub>dry</sub>" in page
    assert "100 × sag / dry length. Basis: dry length. Source: common practice, no source." in page


def test_verify_computes_its_published_value(folder):
    said = json.loads(run(folder, "verify", "--json").stdout)
    (figure,) = [f for f in said["figures"] if f["example"] == "slump"]
    assert figure["passed"]
    assert figure["ours"] == 2.5
