"""The readers in docs/ reach the kept figures, and results.csv goes through other programs without losing a digit."""

import csv
import json
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

import bodytest
from bodytest.export.csv_tables import COLUMNS, to_csv
from bodytest.export.data_package import data_package
from tests.export import example_results as example

READERS = Path(__file__).parents[1] / "docs" / "readers"
FIGURES = [line.split(";") for line in (READERS / "figures.csv").read_text(encoding="utf-8").splitlines()[1:]]
PROGRAMS = [
    (sys.executable, "read_results.py", "example.json"),
    ("node", "read_results.mjs", "example.json"),
    ("Rscript", "read_results.R", "example.csv"),
]


@pytest.mark.parametrize(("program", "script", "source"), PROGRAMS, ids=[script for _, script, _ in PROGRAMS])
def test_a_reader_of_about_ten_lines_reaches_the_kept_figures(program, script, source):
    if shutil.which(program) is None:
        pytest.skip(f"{program} is not on this machine")
    lines = (READERS / script).read_text(encoding="utf-8").splitlines()
    assert len([line for line in lines if line and not line.startswith(('"', "#", "//", "import"))]) <= 12
    said = subprocess.run([program, script, source], cwd=READERS, capture_output=True, text=True, check=True).stdout
    found = [line.split(";") for line in said.splitlines()]
    assert [row[:2] for row in found] == [row[:2] for row in FIGURES]
    for row, kept in zip(found, FIGURES, strict=True):
        assert [float(number) for number in row[2:]] == pytest.approx([float(number) for number in kept[2:]], rel=1e-13)


def test_the_kept_figures_are_those_of_the_library_from_the_document_and_from_its_cells():
    read = bodytest.read_results(READERS / "example.json")
    again = bodytest.analyse(bodytest.read_sheets(READERS / "example.json"))
    for results in (read, again):
        for body, _, *numbers in FIGURES:
            (plan,) = bodytest.sizes(results, "200mm", body=body)
            figures = [plan.at("wet").size_mm, plan.next_low_mm, plan.next_high_mm]
            assert figures == pytest.approx([float(number) for number in numbers], abs=1e-9)


def test_the_notebook_runs(monkeypatch):
    monkeypatch.chdir(READERS)
    notebook = json.loads((READERS / "notebook.ipynb").read_text(encoding="utf-8"))
    names: dict[str, object] = {}
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            exec("".join(cell["source"]), names)
    assert names["jar"].at("wet").size_mm == pytest.approx(float(FIGURES[0][2]))
    assert names["axes"].get_title() == "Marl Red, stage by stage"


def odd_results():
    """Return results whose names and figures a careless reader would change."""
    total = example.quantity("total_shrinkage", 100 / 3, 0.1 + 0.2)
    return example.results(replace(example.group(total_shrinkage=total), cone="04", body="007", firing="1E5"))


def test_pandas_reads_a_cone_as_text_and_every_digit(tmp_path):
    for sign, more in ((".", {}), (",", {"sep": ";", "decimal": ","})):
        path = tmp_path / "results.csv"
        path.write_text(to_csv(odd_results(), sign), encoding="utf-8")
        table = pd.read_csv(path, **more)
        assert set(table["cone"]) == {"cone 04"}
        assert (table["mean"].iloc[0], table["sd"].iloc[0]) == (100 / 3, 0.1 + 0.2)
        assert table["n"].dtype.kind == "i"


def test_with_the_descriptor_every_column_has_its_type_and_every_name_its_zeros(tmp_path):
    for sign in (".", ","):
        (resource,) = json.loads(data_package("results.csv", sign))["resources"]
        kinds = {field["name"]: field["type"] for field in resource["schema"]["fields"]}
        assert tuple(kinds) == COLUMNS
        assert (kinds["body"], kinds["cone"], kinds["mean"], kinds["n"]) == ("string", "string", "number", "integer")
        assert all(len(field["description"]) > 8 for field in resource["schema"]["fields"])
        path = tmp_path / "results.csv"
        path.write_text(to_csv(odd_results(), sign), encoding="utf-8")
        texts = {name: str for name, kind in kinds.items() if kind == "string"}
        decimal = next(one["decimalChar"] for one in resource["schema"]["fields"] if one["name"] == "mean")
        table = pd.read_csv(path, sep=resource["dialect"]["delimiter"], decimal=decimal, dtype=texts)
        assert (table["body"].iloc[0], table["firing"].iloc[0], table["cone"].iloc[0]) == ("007", "1E5", "cone 04")


@pytest.mark.skipif(shutil.which("Rscript") is None, reason="R is not on this machine")
@pytest.mark.parametrize(("sign", "reader"), [(".", "read.csv"), (",", "read.csv2")])
def test_r_reads_and_writes_it_without_losing_a_digit(tmp_path, sign, reader):
    (tmp_path / "results.csv").write_text(to_csv(odd_results(), sign), encoding="utf-8")
    script = (
        f'r <- {reader}("results.csv"); stopifnot(is.numeric(r$mean), r$cone == "cone 04");'
        " writeLines(sprintf('%.17g', c(r$mean[1], r$sd[1])))"
    )
    ran = subprocess.run(["Rscript", "-e", script], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert [float(line) for line in ran.stdout.split()] == [100 / 3, 0.1 + 0.2]


@pytest.mark.office
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not on this machine")
@pytest.mark.parametrize(("sign", "locale"), [(".", "1033"), (",", "1031")])
def test_libreoffice_reads_it_in_its_locale_and_gives_it_back(tmp_path, sign, locale):
    (tmp_path / "results.csv").write_text(to_csv(odd_results(), sign), encoding="utf-8")
    delimiter = ord(";" if sign == "," else ",")
    taken = f"--infilter=CSV:{delimiter},34,76,1,,{locale}"
    given = "csv:Text - txt - csv (StarCalc):44,34,76,1,,1033,false,false"
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = ["soffice", profile, "--headless", taken, "--convert-to", given, "--outdir", "back", "results.csv"]
    subprocess.run(command, cwd=tmp_path, capture_output=True, check=True, timeout=300)
    with (tmp_path / "back" / "results.csv").open(encoding="utf-8", newline="") as file:
        row = next(csv.DictReader(file))
    assert row["cone"] == "cone 04"
    assert float(row["mean"]) == pytest.approx(100 / 3, rel=1e-14)
    assert float(row["sd"]) == pytest.approx(0.1 + 0.2, rel=1e-14)
    assert int(row["n"]) == odd_results().groups[0].quantities["total_shrinkage"].n
