"""Plan, sheet, kit, readings, report, without a detour: the planned workbook is filled and saved by LibreOffice."""

import csv
import os
import shutil
import subprocess
from pathlib import Path

import numpy as np
import openpyxl
import pytest

from bodytest.export.reader import read_results
from bodytest.trial.planned import plan
from tests.bench.planned import question, readings

pytestmark = [
    pytest.mark.office,
    pytest.mark.skipif(
        shutil.which("soffice") is None and not os.environ.get("CI"), reason="no LibreOffice on this machine"
    ),
]
ASKED = question(("size", "tight"), expected=1.0, limit=2.0, seed=5)
COMMAND = ("plan", "--body", "Drift Buff", "--to-know", "size,tight", "--cone", "6", "--limit", "2", "--expect", "1",
           "--shelves", "2", "--seed", "5", "--out", "trial.xlsx")  # fmt: skip
HEADINGS = 3


def type_readings(path: Path) -> None:
    """Type the readings of a simulated test into the cells that the planned workbook has for them."""
    bars = readings(plan(ASKED), np.random.default_rng(3)).set_index("bar")
    book = openpyxl.load_workbook(path)
    sheet = book["Bars"]
    place = {str(cell.value): cell.column for cell in sheet[HEADINGS] if cell.value}
    for row in range(HEADINGS + 1, HEADINGS + 1 + len(bars)):
        bar = bars.loc[sheet.cell(row, place["bar"]).value]
        assert [bar[name] for name in ("batch", "firing", "position")] == [
            sheet.cell(row, place[name]).value for name in ("batch", "firing", "position")
        ]
        for heading in (name for name in bars.columns if name.endswith((" (mm)", " (g)"))):
            cell = sheet.cell(row, place[heading])
            assert cell.protection.locked is False
            cell.value = bar[heading]
    book.save(path)


def saved_by_office(source: Path, folder: Path) -> Path:
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--convert-to", "xlsx",
         "--outdir", str(folder / "saved"), str(source)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return folder / "saved" / source.name


def test_a_plan_becomes_a_sheet_a_kit_readings_and_a_report(run, tmp_path: Path) -> None:
    code, out, err = run(*COMMAND)
    assert (code, err) == (0, "")
    assert out.startswith("Drift Buff: 20 bars of 4 batches in 4 loads, cone 6.")
    assert run("kit", "trial.xlsx", "--out", "kit.pdf")[0] == 0
    assert (tmp_path / "kit.pdf").read_bytes().startswith(b"%PDF")
    type_readings(tmp_path / "trial.xlsx")
    filled = saved_by_office(tmp_path / "trial.xlsx", tmp_path)
    code, out, _ = run("check", filled)
    assert (code, out.splitlines()[0]) == (0, "trial.xlsx: 20 bars, 1 body, 4 firings")
    code, _, err = run("report", filled, "--out", "report")
    assert code == 0, err
    (programme,) = read_results(tmp_path / "report" / "results.json").programmes
    assert (programme.called, len(programme.loads), len(programme.batches), programme.bars) == ("cone 6", 4, 4, 20)
    size = programme.quantities["total_shrinkage"]
    assert size.low < ASKED.scatter.shrinkage < size.high
    assert programme.quantities["absorption"].decision == "meets"
    with (tmp_path / "report" / "results.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["quantity"] == "total_shrinkage" and not row["batch"]]
    loads = [(row["firing"], row["n"]) for row in rows if row["firing"].startswith("F")]
    assert loads == [(f"F{number}", "5") for number in (1, 2, 3, 4)]
    code, out, _ = run("compare", filled, "--by", "position", "--quantity", "total_shrinkage")
    assert code == 0
    assert out.splitlines()[1] == "Cannot tell yet: shelf 1 back and shelf 2 back."
