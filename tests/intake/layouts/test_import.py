"""A clean workbook says the same as the sheet that it was made of, and where everything came from."""

import json
import subprocess
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from bodytest.analysis.analysing import analyse
from bodytest.cleaning import answers_of, clean, clean_workbook
from bodytest.export.document import json_chunks
from bodytest.intake.layouts.said import said_by
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.intake.layouts.kept_sheets import KINDS, kept_sheet
from tests.intake.layouts.test_kept_sheets import read_bars


def document(sheets: CheckedSheets) -> dict[str, Any]:
    """Return the results without what names or dates the file."""
    told: dict[str, Any] = json.loads(b"".join(json_chunks(analyse(sheets))))
    for key in ("sheets", "seal", "findings", "cells", "workbooks"):
        told.pop(key, None)
    for place in (*told["bars"], *told["firings"]):
        del place["sheet"], place["row"]
    for bar in told["bars"]:
        del bar["id"]
    return told


@pytest.mark.parametrize("seed", range(len(KINDS)), ids=[kind.__name__ for kind in KINDS])
def test_the_report_of_the_clean_workbook_is_that_of_the_original(seed: int, tmp_path: Path) -> None:
    original = kept_sheet(seed).save(tmp_path / "kept.xlsx")
    cleaned, told = clean(original, said_by([], [])), read_sheets([original])
    unread = told.bars.empty or any(f.code == "no-reading-columns" for f in told.findings)
    assert bool(cleaned.tables) is not unread
    if cleaned.tables:
        (tmp_path / "clean.xlsx").write_bytes(clean_workbook(cleaned))
        assert document(read_sheets([tmp_path / "clean.xlsx"])) == document(told)


@pytest.mark.office
def test_office_opens_the_clean_workbooks_and_keeps_their_readings(tmp_path: Path) -> None:
    told = {}
    for seed, kind in enumerate(KINDS):
        cleaned = clean(kept_sheet(seed).save(tmp_path / "kept.xlsx"), said_by([], []))
        if cleaned.tables:
            (tmp_path / f"{kind.__name__}.xlsx").write_bytes(clean_workbook(cleaned))
            told[kind.__name__] = document(read_sheets([tmp_path / f"{kind.__name__}.xlsx"]))
    profile, saved = (tmp_path / "profile").as_uri(), tmp_path / "saved"
    subprocess.run(
        ["soffice", f"-env:UserInstallation={profile}", "--headless", "--convert-to", "ods", "--outdir", str(saved),
         *(str(tmp_path / f"{name}.xlsx") for name in told)],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    assert len(told) > 15
    for name, before in told.items():
        sheets = read_sheets([saved / f"{name}.ods"])
        assert document(sheets) == before, name
        assert [f.sentence for f in sheets.findings if f.level == "stop"] == []


@pytest.mark.parametrize("seed", range(2 * len(KINDS)))
def test_the_clean_workbook_checks_clean_and_says_the_same(seed: int, tmp_path: Path) -> None:
    kept = kept_sheet(seed)
    if kept.asks:
        pytest.skip("nothing is told until it is answered")
    original = kept.save(tmp_path / "kept.xlsx")
    before = original.read_bytes()
    (tmp_path / "clean.xlsx").write_bytes(clean_workbook(clean(original, said_by([], []))))
    told, again = read_sheets([original]), read_sheets([tmp_path / "clean.xlsx"])
    assert original.read_bytes() == before
    assert read_bars(again) == read_bars(told)
    assert again.bars["bar"].tolist() == told.bars["bar"].tolist()
    assert [f.sentence for f in again.findings if f.level != "note"] == []
    assert all(b.filled == b.used + b.named + sum(b.set_aside.values()) for b in again.cells)
    assert openpyxl.load_workbook(tmp_path / "clean.xlsx").sheetnames[-1] == "Sources"


def test_an_earlier_import_gives_its_answers(tmp_path: Path) -> None:
    kept = kept_sheet([kind.__name__ for kind in KINDS].index("in_doubt"))
    sheet = kept.save(tmp_path / "kept.xlsx")
    said = said_by([f"{kept.asks}=wet length"], ["g"])
    (tmp_path / "clean.xlsx").write_bytes(clean_workbook(clean(sheet, said)))
    assert answers_of(tmp_path / "clean.xlsx") == ([f"{kept.asks}=wet length"], ["g"])
    assert read_sheets([tmp_path / "clean.xlsx"]).marks["wet_length_mm"].notna().all()


def test_a_unit_that_nothing_tells_stays_a_question(tmp_path: Path) -> None:
    rows = "bar,clay,cone,wet length,fired length\n1,Torvan,6,10.05,8.85\n2,Torvan,6,10.0,8.8\n"
    (tmp_path / "own.csv").write_text(rows, encoding="utf-8")
    assert clean(tmp_path / "own.csv", said_by([], [])).tables["Bars"][0] == [
        "bar", "body", "firing", "wet length", "fired length",
    ]  # fmt: skip
    assert clean(tmp_path / "own.csv", said_by([], ["cm"])).tables["Bars"][0][3:] == [
        "wet length (cm)", "fired length (cm)",
    ]  # fmt: skip
