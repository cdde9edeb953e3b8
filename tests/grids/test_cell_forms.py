"""Every form in which SpreadsheetML and OpenDocument may write a cell, and what must not be guessed."""

import datetime
import io
import zipfile
from pathlib import Path
from typing import Any

import pytest

from bodytest.grids.grid import CellError, Uncalculated, Unreadable
from bodytest.grids.ods import read_ods
from bodytest.grids.xlsx import read_xlsx
from bodytest.reading import read_sheets
from tests.grids.crafted import (
    RELATIONS,
    bar_row,
    crafted_ods,
    crafted_xlsx,
    heading_row,
    ods_bar,
    ods_bars,
    ods_row,
    ods_text,
)

RELATIONS_OF_ONE = RELATIONS.format(kind="worksheet", target="worksheets/sheet1.xml").encode()
GOOD = heading_row() + "".join(bar_row(row) for row in range(2, 12))


def value_of(cell: str) -> Any:
    """Return what is read of a cell F3 that stands among ordinary ones."""
    (grid,) = read_xlsx(crafted_xlsx(heading_row() + bar_row(2) + bar_row(3, cell) + bar_row(4)))
    assert grid.cell(4, 4) == 88.6
    return grid.cell(3, 5)


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ('<c r="F3"><v><![CDATA[88.4]]></v></c>', 88.4),
        ('<c r="F3"><v>&#56;&#56;.4</v></c>', 88.4),
        ('<c r="F3"><v>&#x38;8.4</v></c>', 88.4),
        ('<c r="F3"><v>88<!-- -->.4</v></c>', 88.4),
        ('<c r="F3"><v>8<?p q?>8.4</v></c>', 88.4),
        ('<c r="F3"><v> 88.4\n</v></c>', 88.4),
        ('<c r = "F3" ><v>8.84E+1</v></c>', 88.4),
        ("<c r='f3'><v>88.4</v></c>", 88.4),
        ('<c r="F3" t="str"><f>1</f><v>a&amp;b</v></c>', "a&b"),
        ('<c r="F3" t="inlineStr"><is><r><t>Marl </t></r><r><t>Red</t></r></is></c>', "Marl Red"),
        ('<c r="F3" t="inlineStr"><is><t>Red</t><rPh sb="0" eb="1"><t>LAUT</t></rPh></is></c>', "Red"),
        ('<c r="F3" t="inlineStr"><is><t>a_x000A_b</t></is></c>', "a\nb"),
        ('<c r="F3" t="b"><v>1</v></c>', True),
        ('<c r="F3" t="d"><v>2026-05-03</v></c>', datetime.date(2026, 5, 3)),
        ('<c r="F3" t="d"><v>2026-05-03T06:30:00Z</v></c>', datetime.datetime(2026, 5, 3, 6, 30)),
        ('<c r="F3" t = "e"><v>#DIV/0!</v></c>', CellError("#DIV/0!")),
        ('<c r="F3" t="e"/>', CellError("#N/A")),
        ('<c r="F3"><f>A1+1</f><!-- never --></c>', Uncalculated("=A1+1")),
        ('<c r="F3"><f>A1+1</f> <v/></c>', Uncalculated("=A1+1")),
        ('<c r="F3"><v>88.4</v><extLst><ext uri="1"><q xmlns="urn:q"><v>7</v></q></ext></extLst></c>', 88.4),
        ('<c r="F3"/>', ""),
        ('<c r="F3" t="s"/>', ""),
        ('<c r="F3"><v></v></c>', ""),
    ],
)
def test_a_cell_is_read_in_every_form(cell: str, value: object) -> None:
    read = value_of(cell)
    assert (type(read), read) == (type(value), value)


@pytest.mark.parametrize(
    ("cell", "why"),
    [
        ('<c r="F3"><v>8_8.4</v></c>', "it is marked as a number and holds “8_8.4”"),
        ('<c r="F3"><v>nan</v></c>', "it is marked as a number and holds “nan”"),
        ('<c r="F3" t="b"><v>yes</v></c>', "it is marked as TRUE or FALSE and holds “yes”"),
        ('<c r="F3" t="d"><v>3 May</v></c>', "it is marked as a date and holds “3 May”"),
        ('<c r="F3" t="s"><v>-1</v></c>', "it asks for text number -1 of the 0 that can be read in the file"),
        ('<c r="F3" t="q"><v>88.4</v></c>', "it is of the unknown type q"),
        ('<c r="F3"><v>88.4</v></c><c r="F3"><v>88.9</v></c>', "it is there twice, as 88.4 and as 88.9"),
        ('<c r="F3"><v>88.4</v><v>88.9</v></c>', "it holds several values, 88.4 and 88.9"),
    ],
)
def test_what_a_cell_does_not_say_is_not_guessed(cell: str, why: str) -> None:
    read = value_of(cell)
    assert isinstance(read, Unreadable)
    assert read.why == why


MC = 'xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"'


def alternatives(choice: str, fallback: str) -> str:
    return (
        f'<mc:AlternateContent {MC}><mc:Choice Requires="q" xmlns:q="urn:q">{choice}</mc:Choice>'
        f"<mc:Fallback>{fallback}</mc:Fallback></mc:AlternateContent>"
    )


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        (alternatives('<c r="F3"><v>88.4</v></c>', '<c r="F3"><v>88.4</v></c>'), 88.4),
        (alternatives('<c r="F3"><v>88.4</v></c>', ""), 88.4),
        (alternatives("", '<c r="F3"><v>88.4</v></c>'), 88.4),
        (
            alternatives('<c r="F3"><v>88.4</v></c>', '<c r="F3"><v>70</v></c>'),
            Unreadable("88.4", "it is there twice, as 88.4 and as 70"),
        ),
        (
            f'<c r="F3">{alternatives("<v>88.4</v>", "<v>70</v>")}</c>',
            Unreadable("70", "it holds several values, 70 and 88.4"),
        ),
    ],
)
def test_of_alternatives_in_a_file_none_is_chosen(cell: str, value: object) -> None:
    assert value_of(cell) == value


def test_rows_in_alternatives_are_read() -> None:
    (grid,) = read_xlsx(crafted_xlsx(GOOD + alternatives(bar_row(12), bar_row(12)) + bar_row(13)))
    assert (grid.cell(12, 4), grid.cell(13, 4), len(grid.rows)) == (88.4, 88.5, 13)


def test_a_damaged_list_of_texts_costs_only_the_cells_that_need_what_is_behind_the_damage(tmp_path: Path) -> None:
    texts = (
        '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>A99</t></si><si><t>F1</t></si>'
        "<si><t>Marl & Red</t></si><si><t>lost</t></si></sst>"
    )
    row = (
        '<row r="12"><c r="A12" t="s"><v>0</v></c><c r="B12" t="s"><v>3</v></c><c r="C12" t="s"><v>1</v></c>'
        '<c r="D12"><v>100.2</v></c><c r="E12"><v>88.4</v></c></row>'
    )
    links = RELATIONS.replace(
        "</Relationships>",
        '<Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/'
        'sharedStrings" Target="sharedStrings.xml"/></Relationships>',
    ).format(kind="worksheet", target="worksheets/sheet1.xml")
    content = crafted_xlsx(GOOD + row, extra={"xl/sharedStrings.xml": texts.encode()})
    (tmp_path / "bad.xlsx").write_bytes(_changed(content, "workbook.xml.rels", RELATIONS_OF_ONE, links.encode()))
    sheets = read_sheets([tmp_path / "bad.xlsx"])
    assert [(f.code, f.cell) for f in sheets.findings if f.level == "stop"] == [("cell-unreadable", "Bars!B12")]
    assert [f.sentence for f in sheets.findings if f.level == "stop"] == [
        "Bars!B12 (body) cannot be read: it asks for text number 3 of the 2 that can be read in the file."
    ]
    assert sheets.bars["bar"].iloc[-1] == "A99"
    assert sheets.marks["fired_length_mm"].notna().sum() == 11


def test_the_same_value_twice_is_no_contradiction() -> None:
    assert value_of('<c r="F3"><v>88.4</v></c><c r="F3"><v>88.40</v></c>') == 88.4


def test_a_bad_cell_is_a_finding_on_that_cell_and_costs_no_other(tmp_path: Path) -> None:
    rows = GOOD.replace('<c r="D4"><v>100.4</v></c>', '<c r="D4" t="s"><v>-1</v></c>')
    (tmp_path / "bad.xlsx").write_bytes(crafted_xlsx(rows))
    sheets = read_sheets([tmp_path / "bad.xlsx"])
    assert [(f.code, f.cell) for f in sheets.findings if f.level == "stop"] == [("cell-unreadable", "Bars!D4")]
    assert sheets.findings[0].sentence == (
        "Bars!D4 (wet length) cannot be read: it asks for text number -1 of the 0 that can be read in the file."
    )
    assert sheets.marks["wet_length_mm"].notna().sum() == 9


def test_a_row_given_twice_keeps_the_cells_of_both_and_neither_of_two_values() -> None:
    again = '<row r="3"><c r="E3"><v>70</v></c><c r="F3"><v>60.5</v></c></row>'
    (grid,) = read_xlsx(crafted_xlsx(GOOD + again))
    assert grid.cell(3, 3) == 100.3
    assert grid.cell(3, 5) == 60.5
    assert grid.cell(3, 4) == Unreadable("88.5", "it is there twice, as 88.5 and as 70")


def test_a_part_given_twice_keeps_neither_of_two_values() -> None:
    content, other = crafted_xlsx(GOOD), crafted_xlsx(GOOD.replace("<v>88.5</v>", "<v>70</v>"))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for number, source in enumerate((content, other)):
            with zipfile.ZipFile(io.BytesIO(source)) as packed:
                for name in packed.namelist():
                    if not number:
                        archive.writestr(name, packed.read(name))
                    elif "sheet1" in name:
                        archive.writestr(name.upper(), packed.read(name))
    (grid,) = read_xlsx(stream.getvalue())
    assert grid.cell(3, 4) == Unreadable("88.5", "it is there twice, as 88.5 and as 70")
    assert grid.cell(4, 4) == 88.6


TARGETS = (
    "../xl/worksheets/sheet1.xml",
    "./worksheets/sheet1.xml",
    "/xl/worksheets/sheet1.xml",
    "Worksheets/SHEET1.XML",
)


@pytest.mark.parametrize("target", TARGETS)
def test_a_table_is_found_by_a_target_of_any_form(target: str) -> None:
    error = bar_row(12, '<c r="F12" t="e"><v>#N/A</v></c>')
    (grid,) = read_xlsx(
        _changed(crafted_xlsx(GOOD + error), "workbook.xml.rels", b"worksheets/sheet1.xml", target.encode())
    )
    assert grid.cell(3, 4) == 88.5
    assert grid.cell(12, 5) == CellError("#N/A")


def _changed(content: bytes, part: str, old: bytes, new: bytes) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as packed, zipfile.ZipFile(stream, "w") as again:
        for name in packed.namelist():
            text = packed.read(name)
            again.writestr(name, text.replace(old, new) if name.endswith(part) else text)
    return stream.getvalue()


@pytest.mark.parametrize("dimension", ["A1", "XFD1048576", "nonsense", "A1:ZZZ99999999", ""])
def test_an_odd_dimension_is_passed_over(dimension: str) -> None:
    odd = f'<dimension ref="{dimension}"/><sheetData>'.encode()
    (grid,) = read_xlsx(_changed(crafted_xlsx(GOOD), "sheet1.xml", b"<sheetData>", odd))
    assert grid.cell(3, 4) == 88.5


def test_parts_in_utf_16_strict_names_and_prefixes_are_read() -> None:
    content = crafted_xlsx(GOOD)
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        sheet = packed.read("xl/worksheets/sheet1.xml").decode()
    for written in (
        sheet.replace("UTF-8", "UTF-16").encode("utf-16"),
        sheet.replace(
            "schemas.openxmlformats.org/spreadsheetml/2006/main", "purl.oclc.org/ooxml/spreadsheetml/main"
        ).encode(),
        sheet.replace("</", "</s:")
        .replace("<", "<s:")
        .replace("<s:/s:", "</s:")
        .replace("<s:?", "<?")
        .replace("xmlns=", "xmlns:s=")
        .encode(),
    ):
        (grid,) = read_xlsx(_changed(content, "sheet1.xml", sheet.encode(), written))
        assert grid.rows == read_xlsx(content)[0].rows


def test_dates_are_told_by_format_and_epoch() -> None:
    styles = (
        b'<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><numFmts><numFmt numFmtId="170"'
        b' formatCode="yyyy\\-mm\\-dd"/><numFmt numFmtId="171" formatCode="0.00&quot; mm&quot;"/></numFmts><cellXfs>'
        b'<xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="170"/><xf numFmtId="171"/><xf numFmtId="46"/>'
        b"</cellXfs></styleSheet>"
    )
    cells = "".join(f'<c r="{"ABCDE"[style]}1" s="{style}"><v>46145</v></c>' for style in range(4))
    rows = f'<row r="1">{cells}<c r="E1" s="4"><v>1.5</v></c></row>'
    content = crafted_xlsx(rows, extra={"xl/styles.xml": styles})
    link = b'<Relationship Id="rId2" Type="http://x/styles" Target="styles.xml"/></Relationships>'
    content = _changed(content, "workbook.xml.rels", b"</Relationships>", link)
    day = datetime.date(2026, 5, 3)
    assert read_xlsx(content)[0].rows == [[46145.0, day, day, 46145.0, datetime.timedelta(days=1.5)]]
    since_1904 = _changed(content, "workbook.xml", b"<sheets>", b'<workbookPr date1904="1"/><sheets>')
    assert read_xlsx(since_1904)[0].cell(1, 1) == datetime.date(2030, 5, 4)


@pytest.mark.parametrize("place", ["ZZZZZZZZ4", "A4294967295", "A" * 40 + "4", "XFE1", "A0", "4"])
def test_a_cell_that_no_sheet_has_is_named_and_costs_no_other(tmp_path: Path, place: str) -> None:
    (tmp_path / "odd.xlsx").write_bytes(crafted_xlsx(GOOD + f'<row r="12"><c r="{place}"><v>7</v></c></row>'))
    (tmp_path / "good.xlsx").write_bytes(crafted_xlsx(GOOD))
    sheets = read_sheets([tmp_path / "good.xlsx", tmp_path / "odd.xlsx"])
    assert [f.sentence for f in sheets.findings if f.code == "cell-outside"] == [
        f"Bars holds “7” at {place[:40]}, where no spreadsheet program has a cell; it was not read."
    ]
    assert sheets.bars["sheet"].tolist().count(0) == 10


@pytest.mark.parametrize(
    ("row", "place"),
    [
        ('<row r="12"><c r="xfd1048576"><v>1</v></c></row>', "Bars!XFD1048576"),
        ('<row><c r="XFD1048576"><v>1</v></c></row>', "Bars!XFD1048576"),
        ('<row r="12"><c r = "XFD12"><v>1</v></c></row>', "Bars!XFD12"),
    ],
)
def test_a_far_cell_costs_nothing_but_itself(tmp_path: Path, row: str, place: str) -> None:
    bars = "".join(bar_row(number) for number in range(2, 5002))
    (tmp_path / "far.xlsx").write_bytes(crafted_xlsx(heading_row() + bars + row.replace("12", "6000")))
    sheets = read_sheets([tmp_path / "far.xlsx"])
    assert len(sheets.bars) == 5000
    assert [f.cell for f in sheets.findings if f.code == "column-without-heading"] == [place.replace("12", "6000")]


def test_far_cells_in_thousands_of_rows_are_named(tmp_path: Path) -> None:
    bars = "".join(bar_row(number, f'<c r="XFD{number}"><v>1</v></c>') for number in range(2, 3002))
    (tmp_path / "far.xlsx").write_bytes(crafted_xlsx(heading_row() + bars))
    sheets = read_sheets([tmp_path / "far.xlsx"])
    (far,) = [f for f in sheets.findings if f.code == "cell-far-out"]
    assert far.sentence == (
        "Bars!XFD246, like 2755 more below it, stands far to the right of all other cells and was not read."
    )
    assert "cells-unaccounted" not in {f.code for f in sheets.findings}
    assert len(sheets.bars) == 3000


def test_long_comments_blanks_and_attributes_are_passed_over_in_linear_time(tmp_path: Path) -> None:
    cell = '<c r="F3"{}><f>1+1</f>{}<v>2</v></c>'
    for odd in (
        cell.format("", f"<!--{'row ' * 75_000}-->"),
        cell.format("", " " * 300_000),
        cell.format(f' x="{"y" * 2_000_000}"', ""),
    ):
        assert value_of(odd) == 2.0


def test_a_table_of_texts_that_claims_a_thousand_million_is_read() -> None:
    space = b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    texts = b"<sst " + space + b' count="1000000000" uniqueCount="1000000000"><si><t>Marl</t></si></sst>'
    content = crafted_xlsx('<row r="1"><c r="A1" t="s"><v>0</v></c></row>', extra={"xl/sharedStrings.xml": texts})
    link = b'<Relationship Id="rId2" Type="http://x/sharedStrings" Target="sharedStrings.xml"/></Relationships>'
    assert read_xlsx(_changed(content, "workbook.xml.rels", b"</Relationships>", link))[0].rows == [["Marl"]]


def test_a_drawings_text_is_not_joined_to_a_code() -> None:
    drawing = '<draw:frame xmlns:draw="urn:d"><draw:text-box><text:p>see</text:p></draw:text-box></draw:frame>'
    coded = ods_text("A1").replace("</table:table-cell>", f"{drawing}</table:table-cell>")
    (grid,) = read_ods(crafted_ods(ods_row(coded)))
    assert grid.rows == [["A1"]]


def test_a_number_of_opendocument_that_is_none_is_refused_by_cell() -> None:
    (grid,) = read_ods(crafted_ods(ods_bars(ods_bar("A1")).replace('office:value="88.4"', 'office:value="8_8.4"')))
    assert grid.cell(2, 4) == Unreadable("8_8.4", "it is marked as a number and holds “8_8.4”")


def test_a_span_of_a_thousand_million_rows_ends_where_the_table_does() -> None:
    tall = ods_text("Marl Red", ' table:number-rows-spanned="1000000000"')
    (grid,) = read_ods(crafted_ods(ods_row(ods_text("A1"), tall) + ods_row(ods_text("A2"))))
    assert grid.merged == ((1, 1, 2, 1),)


def test_text_tables_without_end_to_the_right_are_read_or_named(tmp_path: Path) -> None:
    heads = "bar,body,firing,wet length (mm),fired length (mm)"
    wide = f"{heads}\nA1,Marl Red,F1,100,88{',' * 2_000_000}x\nA2,Marl Red,F1,100.1,88.1\n"
    (tmp_path / "wide.csv").write_text(wide, encoding="utf-8")
    (tmp_path / "commas.csv").write_text("," * 2_000_000, encoding="utf-8")
    columns = f"{heads},{','.join(f'c{i}' for i in range(100_000))}\nC1,Marl Red,F1,100,88{',1' * 100_000}\n"
    (tmp_path / "columns.csv").write_text(columns, encoding="utf-8")
    sheets = read_sheets([tmp_path / name for name in ("wide.csv", "commas.csv", "columns.csv")])
    assert [f.sentence for f in sheets.findings if f.code == "cell-outside"] == [
        "Bars holds “x” at row 2, column 2000005, where no spreadsheet program has a cell; it was not read.",
        "Bars holds “c16379” at row 1, column 16385, where no spreadsheet program has a cell; it was not read."
        " So do 83620 more cells of this row.",
        "Bars holds “1” at row 2, column 16385, where no spreadsheet program has a cell; it was not read."
        " So do 83620 more cells of this row.",
    ]
    assert sheets.bars["sheet"].tolist() == [0, 0, 2]


@pytest.mark.parametrize("encoding", ["UTF1", "UTF111-8", "no-such"])
def test_a_part_in_an_encoding_that_nobody_knows_is_a_damaged_file(encoding: str, tmp_path: Path) -> None:
    sheet = b'<?xml version="1.0" encoding="%s"?>' % encoding.encode()
    content = crafted_xlsx(GOOD)
    changed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as packed, zipfile.ZipFile(changed, "w") as again:
        for name in packed.namelist():
            part = packed.read(name)
            if "worksheets/" in name and name.endswith(".xml"):
                part = sheet + part.partition(b"?>")[2] if part.startswith(b"<?xml") else sheet + part
            again.writestr(name, part)
    (tmp_path / "odd.xlsx").write_bytes(changed.getvalue())

    assert [found.code for found in read_sheets([tmp_path / "odd.xlsx"]).findings] == ["file-damaged"]
