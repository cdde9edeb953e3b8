"""Workbooks of both kinds: odd cells told from blanks, every value where it stands, real programs' files alike."""

import io
import os
import shutil
import subprocess
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest
import python_calamine

from bodytest.grids.grid import CellError, Uncalculated
from bodytest.grids.ods import read_ods
from bodytest.grids.xlsx import read_xlsx
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets
from tests.broken_sheets import make
from tests.grids.crafted import (
    bar_row,
    crafted_ods,
    crafted_xlsx,
    heading_row,
    ods_bar,
    ods_bars,
    ods_number,
    ods_row,
    ods_text,
)

ODD_CELLS: dict[int, tuple[str, object]] = {
    2: ('<c r="F2" t="e"><v>#DIV/0!</v></c>', CellError("#DIV/0!")),
    3: ('<c r="F3" t="e"><f>1/0</f><v>#N/A</v></c>', CellError("#N/A")),
    4: ('<c r="F4"><f>A1+1</f></c>', Uncalculated("=A1+1")),
    5: ('<c r="F5"><f>A1+1</f><v></v></c>', Uncalculated("=A1+1")),
    6: ('<c r="F6"><f t="shared" si="0"/><v/></c>', Uncalculated("a formula")),
    7: ('<c r="F7" t="str"><f>IF(A1="","","x")</f><v></v></c>', ""),
    8: ('<c r="F8" t="n"><f>1+1</f><v>2</v></c>', 2.0),
    9: ('<c r="F9" s="0"/>', ""),
    10: ("", ""),
}
"""Row → cell as written, and what it means."""


def sixth(row: list[Any]) -> Any:
    return row[5] if len(row) > 5 else ""


def test_error_cells_and_formulas_without_a_result_are_told_from_blanks() -> None:
    rows = heading_row() + "".join(bar_row(row, cell) for row, (cell, _) in ODD_CELLS.items())
    (grid,) = read_xlsx(crafted_xlsx(rows))
    assert [sixth(row) for row in grid.rows[1:]] == [meaning for _, meaning in ODD_CELLS.values()]


def test_one_odd_cell_in_a_large_sheet_is_found() -> None:
    rows = [bar_row(row) for row in range(2, 20_001)]
    rows[18_998] = bar_row(19_000, '<c r="F19000"><f>A1+1</f></c>')
    (grid,) = read_xlsx(crafted_xlsx(heading_row() + "".join(rows)))
    assert sixth(grid.rows[18_999]) == Uncalculated("=A1+1")
    assert len(grid.rows) == 20_000


def test_hidden_rows_columns_and_merged_ranges_are_known() -> None:
    rows = heading_row() + bar_row(2).replace('<row r="2">', '<row r="2" hidden="1">') + bar_row(3)
    (grid,) = read_xlsx(crafted_xlsx(rows, after='<mergeCells count="1"><mergeCell ref="B2:B3"/></mergeCells>'))
    assert grid.hidden_rows == {2}
    assert grid.merged == ((2, 1, 3, 1),)


def test_a_hidden_table_of_opendocument_is_read_and_told(tmp_path: Path) -> None:
    hiding = (
        '<office:automatic-styles><style:style style:name="ta2" style:family="table">'
        '<style:table-properties table:display="{shown}"/></style:style></office:automatic-styles><office:body>'
    )
    names = 'xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:table='
    for shown, codes in (("false", ["table-hidden"]), ("true", [])):
        content = changed_content(
            crafted_ods(ods_bars(*(ods_bar(f"A{i}") for i in range(12)))),
            ("xmlns:table=", names),
            ("<office:body>", hiding.format(shown=shown)),
            ('table:name="Bars"', 'table:name="Bars" table:style-name="ta2"'),
        )
        (tmp_path / "bars.ods").write_bytes(content)
        sheets = read_sheets([tmp_path / "bars.ods"])
        assert [f.code for f in sheets.findings if "hidden" in f.code] == codes
        assert len(sheets.bars) == 12


def changed_content(ods: bytes, *changes: tuple[str, str]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(ods)) as packed, zipfile.ZipFile(stream, "w") as again:
        for name in packed.namelist():
            text = packed.read(name).decode()
            for old, new in changes if name == "content.xml" else ():
                assert old in text
                text = text.replace(old, new, 1)
            again.writestr(name, text)
    return stream.getvalue()


def test_cells_without_addresses_stand_where_they_are_written() -> None:
    cells = "<c><v>0.5</v></c><c><v>1.5</v></c><c t='e'><v>#NUM!</v></c>"
    (grid,) = read_xlsx(crafted_xlsx(f"<row>{cells}</row>" * 3))
    assert grid.rows == [[0.5, 1.5, CellError("#NUM!")]] * 3


def test_odd_cells_of_an_opendocument_table_are_told_from_blanks() -> None:
    odd = (
        '<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value=""'
        ' calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell>',
        '<table:table-cell table:formula="of:=[.A1]+1"/>',
        '<table:table-cell table:formula="of:=&quot;&quot;" office:value-type="string" office:string-value=""><text:p/>'
        "</table:table-cell>",
        "<table:table-cell/>",
    )
    (grid,) = read_ods(crafted_ods(ods_bars(*(ods_bar(f"A{i}", cell) for i, cell in enumerate(odd)))))
    assert [sixth(row) for row in grid.rows[1:]] == [CellError("#DIV/0!"), Uncalculated("=[.A1]+1"), "", ""]


def test_spaces_line_breaks_comments_and_repeats_of_an_opendocument_table_are_read() -> None:
    spaced = ods_text('two<text:s text:c="2"/>words</text:p><text:p>more')
    noted = ods_number(7).replace("<text:p>", "<office:annotation><text:p>ask Jo</text:p></office:annotation><text:p>")
    twice = ods_text("same", ' table:number-columns-repeated="2"')
    rows = ods_row(spaced, noted, twice) + ods_row(ods_text("below"), more=' table:number-rows-repeated="2"')
    (grid,) = read_ods(crafted_ods(rows))
    assert grid.rows == [["two  words\nmore", 7.0, "same", "same"], ["below"], ["below"]]


@pytest.mark.office
def test_a_workbook_saved_by_libreoffice_gives_the_same_tables(tmp_path: Path) -> None:
    source = tmp_path / "made.xlsx"
    source.write_bytes(make.book_with())
    book = openpyxl.load_workbook(source)
    book["Bars"].row_dimensions[4].hidden = True
    book["Bars"]["M6"] = "=60+0.02"
    book["Bars"]["M7"] = "=1/0"
    book["Firings"]["E2"] = "06"
    book["Pieces"].sheet_state = "hidden"
    book.save(source)
    for kind in ("ods", "xlsx"):
        folder = tmp_path / kind
        _convert(source, kind, folder)
        saved = read_sheets([folder / f"made.{kind}"])
        assert _frames(saved, make.book_with(), tmp_path) == ""
        assert saved.bars["fired_mass_g"].iloc[4] == pytest.approx(60.02, abs=1e-12)
        assert saved.firings["cone"].tolist() == ["06"]
        assert [(f.code, f.cell) for f in saved.findings] == [
            ("rows-hidden", "Bars!A4"),
            ("error-cell", "Bars!M7"),
            ("cone-far-from-temperature", "Firings!G2"),
            ("table-hidden", "Pieces"),
        ]


def _convert(source: Path, kind: str, folder: Path) -> None:
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None and not os.environ.get("CI"):
        pytest.skip("LibreOffice is not installed")
    assert program is not None
    profile = f"-env:UserInstallation=file://{folder}/profile"
    subprocess.run(
        [program, profile, "--headless", "--convert-to", kind, "--outdir", folder, source],
        check=True,
        capture_output=True,
        timeout=180,
    )


def _frames(saved: CheckedSheets, original: bytes, folder: Path) -> str:
    """Return where the lengths and texts differ from those of the original, blank where nowhere."""
    (folder / "original.xlsx").write_bytes(original)
    first = read_sheets([folder / "original.xlsx"])
    for one, other in (
        (saved.marks, first.marks),
        (saved.bars.iloc[:, :10], first.bars.iloc[:, :10]),
        (saved.pieces, first.pieces),
    ):
        try:
            pd.testing.assert_frame_equal(one, other, rtol=1e-12)
        except AssertionError as error:
            return str(error)
    return ""


@pytest.mark.office
def test_our_reading_of_opendocument_agrees_with_calamines(tmp_path: Path) -> None:
    source = tmp_path / "made.xlsx"
    source.write_bytes(make.book_with())
    _convert(source, "ods", tmp_path / "ods")
    content = (tmp_path / "ods" / "made.ods").read_bytes()
    book = python_calamine.load_workbook(str(tmp_path / "ods" / "made.ods"))
    for grid in read_ods(content):
        assert _padded(grid.rows) == book.get_sheet_by_name(grid.name).to_python(skip_empty_area=False)


def _padded(rows: list[list[Any]]) -> list[list[Any]]:
    width = max(len(row) for row in rows)
    return [row + [""] * (width - len(row)) for row in rows]


def test_values_agree_with_openpyxls(tmp_path: Path) -> None:
    (tmp_path / "made.xlsx").write_bytes(make.book_with())
    book = openpyxl.load_workbook(tmp_path / "made.xlsx", data_only=True)
    for grid in read_xlsx(make.book_with()):
        values = [[("" if c is None else c) for c in row] for row in book[grid.name].iter_rows(values_only=True)]
        assert _padded(grid.rows) == values


@pytest.mark.parametrize(
    "cell",
    [
        "<c r='F2'>\n  <f>A1 + 1</f>\n</c>",
        '<c r="F2"><f>A1 + 1</f>\n <v/> </c>',
        '<c r="F2"><f t="shared" si="0"/></c>',
        '<x:c xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main" r="F2"><x:f>A1 + 1</x:f></x:c>',
        '<c r="F2"><f>A1 + 1</f><v xml:space="preserve"></v></c>',
    ],
)
def test_a_formula_without_a_result_is_found_however_it_is_written(cell: str) -> None:
    (grid,) = read_xlsx(crafted_xlsx(heading_row() + bar_row(2, cell) + bar_row(3, '<c r="F3"><f>1+1</f><v>2</v></c>')))
    assert isinstance(sixth(grid.rows[1]), Uncalculated)
    assert sixth(grid.rows[2]) == 2.0


def test_texts_of_every_kind_are_read_whole(tmp_path: Path) -> None:
    shared = (
        '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="2" uniqueCount="2">'
        '<si><r><t xml:space="preserve">Marl </t></r><r><rPr><b/></rPr><t>Red</t></r></si>'
        '<si><t xml:space="preserve"> A 1 </t></si></sst>'
    )
    cells = (
        '<row r="2"><c r="A2" t="s"><v>1</v></c><c r="B2" t="s"><v>0</v></c>'
        '<c r="C2" t="inlineStr"><is><t>F1</t></is></c>'
        '<c r="D2" t="str"><f>"100"&amp;".5"</f><v>100.5</v></c><c r="E2"><v>8.84E1</v></c></row>'
    )
    content = crafted_xlsx(heading_row() + cells, extra={"xl/sharedStrings.xml": shared.encode()})
    types = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>'
    override = f'<Override PartName="/xl/sharedStrings.xml" ContentType="{types}'
    linked = {
        "xl/_rels/workbook.xml.rels": (
            b"</Relationships>",
            b'<Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/'
            b'sharedStrings" Target="sharedStrings.xml"/></Relationships>',
        ),
        "[Content_Types].xml": (b"</Types>", override.encode()),
    }
    (tmp_path / "texts.xlsx").write_bytes(_with_parts(content, linked))
    sheets = read_sheets([tmp_path / "texts.xlsx"])
    assert sheets.bars[["bar", "body", "firing"]].to_numpy().tolist() == [["A 1", "Marl Red", "F1"]]
    assert sheets.marks[["wet_length_mm", "fired_length_mm"]].to_numpy().tolist() == [[100.5, 88.4]]


def _with_parts(content: bytes, changes: dict[str, tuple[bytes, bytes]]) -> bytes:
    """Return a workbook with some texts of its parts replaced."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(stream, "w") as new:
        for name in old.namelist():
            before, after = changes.get(name, (b"", b""))
            new.writestr(name, old.read(name).replace(before, after) if before else old.read(name))
    return stream.getvalue()
