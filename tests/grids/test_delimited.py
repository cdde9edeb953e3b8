"""Text tables read in columns at once and cell by cell come out alike."""

import random
from pathlib import Path

import pandas as pd
import pytest

from bodytest.grids.delimited import NotText, TextGrid, decode, read_delimited
from bodytest.intake.layouts.headings import is_bars_heading
from bodytest.reading import read_sheets
from tests.broken_sheets import make
from tests.grids.damage import damage, sound_sheet


@pytest.mark.parametrize("seed", range(25))
def test_both_ways_of_reading_give_the_same_tables_and_findings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    source = random.Random(seed)
    sheet = sound_sheet(lambda n: source.randrange(n) if n > 0 else 0)
    for _ in range(seed % 4):
        damage(sheet, lambda n: source.randrange(n) if n > 0 else 0)
    (tmp_path / "sheet.csv").write_bytes(make.text_of(sheet.rows))
    at_once = read_sheets([tmp_path / "sheet.csv"])

    def refuse(*_: object) -> None:
        raise ValueError("rows of unequal length")

    monkeypatch.setattr(TextGrid, "_columns", refuse)
    one_by_one = read_sheets([tmp_path / "sheet.csv"])
    assert one_by_one.findings == at_once.findings
    pd.testing.assert_frame_equal(one_by_one.bars, at_once.bars)
    pd.testing.assert_frame_equal(one_by_one.marks, at_once.marks)


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("bar;body;wet length (mm)\nA1;Marl Red;100,5\n", ";"),
        ("bar,body,wet length (mm)\nA1,Marl Red,100.5\n", ","),
        ("bar\tbody\twet length (mm)\nA1\tMarl, red; dry\t100,5\n", "\t"),
        ("bar|body|wet length (mm)\nA1|Marl Red|100.5\n", "|"),
        ("Trial; of, spring\nbar,body,wet length (mm)\nA1,Marl Red,100.5\n", ","),
    ],
)
def test_the_delimiter_is_told_by_the_headings(text: str, delimiter: str) -> None:
    grid, encoding = read_delimited(text.encode(), is_bars_heading)
    assert isinstance(grid, TextGrid)
    assert (grid.delimiter, encoding) == (delimiter, "UTF-8")


def test_bytes_that_are_no_text_are_refused() -> None:
    for content in (bytes(range(256)) * 20, b"\x89PNG\r\n\x1a\n" + b"\0\1\2\3" * 100):
        with pytest.raises(NotText):
            decode(content)


@pytest.mark.parametrize("row", [0, 1, 2])
def test_a_cell_longer_than_readers_usually_take_is_read(tmp_path: Path, row: int) -> None:
    lines = ["bar,body,firing,wet length (mm),fired length (mm),remarks", "A1,Grey,F1,100,88,", "A2,Grey,F1,101,89,"]
    lines[row] += "n" * 140_000
    (tmp_path / "m.csv").write_text("\n".join(lines), encoding="utf-8")
    sheets = read_sheets([tmp_path / "m.csv"])
    assert sheets.bars["bar"].tolist() == ["A1", "A2"]
    assert sheets.marks["wet_length_mm"].tolist() == [100.0, 101.0]
    assert "file-damaged" not in {f.code for f in sheets.findings}
