"""Whatever happens to a sheet: no traceback, every unusable cell is spoken of, every usable number is in the tables."""

import tempfile
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bodytest.findings import catalogue
from bodytest.quantities import DATES, STATED
from bodytest.reading import read_sheets
from bodytest.tables import BAR_COLUMNS, FIRING_COLUMNS, MARK_COLUMNS, PIECE_COLUMNS, CheckedSheets
from tests.grids.damage import COLUMNS, UNITS, Choose, damage, read_damaged, sound_sheet, write

FEW = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def choosing(data: st.DataObject) -> Choose:
    return lambda n: data.draw(st.integers(0, max(n - 1, 0)))


def check_tables(sheets: CheckedSheets) -> None:
    """Hold what everything that starts from the tables relies on."""
    assert tuple(sheets.bars.columns[: len(BAR_COLUMNS)]) == BAR_COLUMNS
    further = {one.column for one in (*STATED.values(), *DATES)}
    assert set(sheets.bars.columns[len(BAR_COLUMNS) :]) <= further, "of stated percentages and dates"
    assert tuple(sheets.marks.columns) == MARK_COLUMNS
    assert tuple(sheets.firings.columns) == FIRING_COLUMNS
    assert tuple(sheets.pieces.columns) == PIECE_COLUMNS
    for table in (sheets.bars, sheets.marks):
        assert table.index.tolist() == list(range(len(table)))
        numbers = table.select_dtypes("float").to_numpy()
        assert not (numbers <= 0).any()
        assert not np.isinf(numbers).any()
    assert sorted(set(sheets.marks["bar_row"])) == list(range(len(sheets.bars)))
    assert not sheets.bars.iloc[:, 2:10].isna().any(axis=None)
    assert {f.code for f in sheets.findings} <= set(catalogue())
    names = "".join(sheets.bars[["bar", "body", "batch", "firing"]].to_numpy().ravel())
    assert all("{" not in f.sentence + f.remedy or "{" in (f.value or "") + names for f in sheets.findings)


@FEW
@given(st.data())
def test_a_sound_sheet_comes_out_whole(data: st.DataObject) -> None:
    choose = choosing(data)
    sheet = sound_sheet(choose)
    headings = sheet.rows[0]
    with tempfile.TemporaryDirectory() as folder:
        sheets = read_sheets([write(sheet, Path(folder), choose)])
    check_tables(sheets)
    assert [f for f in sheets.findings if f.level == "stop"] == []
    for column, heading in enumerate(headings):
        reading = heading.rpartition(" (")[0]
        if reading in COLUMNS:
            factor = UNITS[reading.split()[-1]][sheet.units[reading]]
            typed = [float(row[column]) * factor for row in sheet.rows[1:] if row[column]]
            table = sheets.marks if reading.endswith("length") else sheets.bars
            read = table[COLUMNS[reading]].dropna().tolist()
            assert np.allclose(sorted(read), sorted(typed), rtol=1e-9)


@FEW
@given(st.data())
def test_a_damaged_sheet_loses_nothing_without_a_word(data: st.DataObject) -> None:
    choose = choosing(data)
    sheet = sound_sheet(choose)
    for _ in range(1 + choose(4)):
        damage(sheet, choose)
    with tempfile.TemporaryDirectory() as folder:
        sheets, lost = read_damaged(sheet, Path(folder), choose)
    check_tables(sheets)
    assert lost == []


@FEW
@given(st.data(), st.integers(0, 10_000), st.binary(min_size=1, max_size=8))
def test_a_file_with_damaged_bytes_gives_no_traceback(data: st.DataObject, at: int, rubbish: bytes) -> None:
    choose = choosing(data)
    with tempfile.TemporaryDirectory() as folder:
        path = write(sound_sheet(choose), Path(folder), choose)
        content = path.read_bytes()
        at %= len(content)
        path.write_bytes(content[:at] + rubbish + content[at + choose(2) * len(rubbish) :])
        sheets = read_sheets([path])
    check_tables(sheets)
    assert not sheets.bars.empty or sheets.findings


@FEW
@given(st.binary(max_size=400), st.sampled_from([".csv", ".xlsx", ".ods", ".tsv", ".txt", ""]))
def test_rubbish_gives_no_traceback(content: bytes, ending: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"rubbish{ending}"
        path.write_bytes(content)
        sheets = read_sheets([path])
    check_tables(sheets)
    assert sheets.findings


@FEW
@given(st.text(max_size=300), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_any_text_gives_no_traceback(text: str, encoding: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "text.csv"
        path.write_bytes(("bar,wet length (mm)\n" + text).encode(encoding, errors="replace"))
        check_tables(read_sheets([path]))
