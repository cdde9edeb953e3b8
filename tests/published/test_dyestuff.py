"""The classic batches example, typed into a sheet as absorptions and run through the real command line.

Source: Davies and Goldsmith, Statistical Methods in Research and Production, 4th edition, 1972, section 6.4: yields of
dyestuff in grams, six batches of five; REML SDs 42.00 between and 49.51 within batches, mean 1527.5, standard error
of the mean 19.383 (figures and data from the check values that ship with the package).

A yield of 1545 becomes a bar of 100 g that weighs 115.45 g boiled: absorption is the yield over 100, in per cent.
"""

import json
import subprocess
import sys

import openpyxl
import pytest

from bodytest.verify.examples import published_examples


@pytest.fixture(scope="module")
def absorption(tmp_path_factory):
    """Return what ``bodytest results`` says of the absorption."""
    groups = next(e for e in published_examples() if e.id == "reml-dyestuff").inputs["groups"]
    book = openpyxl.Workbook()
    book.active.title = "Bars"
    book.active.append(["bar", "body", "batch", "firing", "fired mass (g)", "boiled mass (g)"])
    for batch, yields in zip("ABCDEF", groups, strict=True):
        for number, grams in enumerate(yields, start=1):
            book.active.append([f"{batch}{number}", "Dyestuff", batch, "F1", 100.0, round(100.0 + grams / 100.0, 2)])
    book.create_sheet("Lab").append(["mass reading step (g)", 0.0001])
    sheet = tmp_path_factory.mktemp("dyestuff") / "dyestuff.xlsx"
    book.save(sheet)
    command = [sys.executable, "-m", "bodytest", "results", str(sheet), "--format", "json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (group,) = json.loads(done.stdout)["groups"]
    assert group["batches"] == list("ABCDEF")
    return group["quantities"]["absorption"]


def test_sds_between_and_within_batches_are_as_published(absorption):
    assert absorption["batch_sd"] == pytest.approx(0.4200, abs=0.00005)
    assert absorption["bar_sd"] == pytest.approx(0.4951, abs=0.00006)


def test_mean_and_its_standard_error_are_as_published(absorption):
    assert absorption["n"] == 30
    assert absorption["mean"] == pytest.approx(15.275, abs=1e-9)
    assert absorption["standard_uncertainty"] == pytest.approx(0.19383, abs=0.00005)
    assert absorption["degrees_of_freedom"] == pytest.approx(5.0, abs=0.01)
