"""What a command loads before it works: slow packages only where they are needed."""

import subprocess
import sys

import pytest
from openpyxl import Workbook

RUN = """
import sys
from bodytest.cli.app import main
sys.argv = ["bodytest", *sys.argv[1:]]
try:
    main()
except SystemExit as ended:
    assert not ended.code, ended.code
finally:
    print("\\nLOADED", *sorted(sys.modules))
"""


def modules_loaded_by(*arguments):
    """Return the names of all modules in a fresh interpreter after one command."""
    done = subprocess.run([sys.executable, "-c", RUN, *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return set(done.stdout.rpartition("LOADED ")[2].split())


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    """Return a small workbook with nothing wrong in it."""
    path = tmp_path_factory.mktemp("startup") / "bars.xlsx"
    book = Workbook()
    bars = book.active
    bars.title = "Bars"
    bars.append(["bar", "body", "firing", "wet length (mm)", "dry length (mm)", "fired length (mm)", "fired mass (g)",
                 "boiled mass (g)"])  # fmt: skip
    for number in range(12):
        wobble = 0.03 * (number % 5)
        bars.append([f"B{number}", "Invented", "F1", 100.02 + wobble, 94.31 + wobble, 88.07 + wobble, 45.11 + wobble,
                     46.23 + wobble])  # fmt: skip
    book.save(path)
    return str(path)


@pytest.mark.parametrize("option", ["--help", "-h", "--version", "-V"])
def test_help_and_version_load_nothing_slow(option):
    loaded = modules_loaded_by(option)
    slow = {"numpy", "pandas", "scipy", "matplotlib", "seaborn", "statsmodels", "openpyxl", "pydantic", "jinja2"}
    assert loaded & slow == set()


@pytest.mark.parametrize("command", ["check", "size"])
def test_check_and_size_load_no_charts_and_no_big_statistics(command, sheet):
    arguments = {"check": ["check", sheet], "size": ["size", "190mm", "--from", sheet]}[command]
    slow = {"scipy.stats", "statsmodels", "seaborn", "matplotlib", "openpyxl", "jinja2"}
    assert modules_loaded_by(*arguments) & slow == set()


def test_a_plan_loads_nothing_that_draws():
    loaded = modules_loaded_by("plan", "--body", "Invented", "--to-know", "size", "--cone", "6")
    assert loaded & {"scipy.stats", "statsmodels", "seaborn", "matplotlib", "pandas", "openpyxl", "jinja2"} == set()


def test_a_report_loads_no_big_statistics(sheet, tmp_path):
    loaded = modules_loaded_by("report", sheet, "--out", str(tmp_path / "report"))
    assert loaded & {"scipy.stats", "scipy.cluster", "statsmodels.api", "seaborn"} == set()
