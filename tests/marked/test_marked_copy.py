"""Marked copies keep everything of the workbook that is not marked."""

import hashlib
import io
import os
import shutil
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from PIL import Image

from bodytest.errors import UnreadableSheet, UnusableRequest, UnwritableFile
from bodytest.findings import Finding
from bodytest.marked.copy import write_marked_copy
from bodytest.reading import read_sheets

# what openpyxl cannot keep is in the workbook on purpose
pytestmark = pytest.mark.filterwarnings("ignore:.*xtension is not supported and will be removed:UserWarning")
SHEETS = Path(__file__).parents[2] / "sheets"
TOUCHED = {"[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml"}
OFFICE_MISSING = shutil.which("soffice") is None and not os.environ.get("CI")


def about(cell: str | None, level: str = "stop", sentence: str = "It is wrong.", value: str | None = "7") -> Finding:
    return Finding("not-a-number", level, "own.xlsx", cell, value, sentence, "Mend it.")  # type: ignore[arg-type]


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A workbook as people make their own: chart, picture, comments, rules, names for print areas, formats."""
    path = tmp_path / "own.xlsx"
    picture = io.BytesIO()
    Image.new("RGB", (8, 8), "red").save(picture, "PNG")
    with xlsxwriter.Workbook(str(path)) as book:
        bars, other = book.add_worksheet("Bars"), book.add_worksheet("It's other")
        money = book.add_format({"num_format": "0.000", "italic": True, "bg_color": "#DDFFDD"})
        bars.write_row(0, 0, ["bar", "body", "firing", "wet length (mm)", "dry length (mm)"])
        for row in range(1, 6):
            bars.write_row(row, 0, [f"A{row}", "Marl Red", "F1"])
            bars.write_number(row, 3, 100.0 + row, money)
        bars.write_formula("F2", "=D2*2", money, 202)
        bars.write_rich_string("G2", "plain ", money, "italic")
        bars.write_comment("D3", "measured twice", {"author": "somebody"})
        bars.data_validation("C2:C6", {"validate": "list", "source": ["F1", "F2"]})
        bars.data_validation("B2:B6", {"validate": "list", "source": "='It''s other'!$A$1:$A$3"})
        bars.conditional_format("D2:D6", {"type": "data_bar", "data_bar_2010": True})
        bars.print_area("A1:E6")
        bars.repeat_rows(0)
        bars.set_column("J:J", 12, money)
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=Bars!$D$2:$D$6"})
        bars.insert_chart("H8", chart)
        bars.insert_image("H20", "dot.png", {"image_data": picture})
        bars.protect()
        other.write("A1", "keep me")
        other.autofilter("A1:A3")
        other.activate()
    return path


def test_every_part_but_the_marked_ones_keeps_its_bytes(own: Path, tmp_path: Path) -> None:
    before = hashlib.sha256(own.read_bytes()).hexdigest()
    target = tmp_path / "marked.xlsx"
    assert write_marked_copy(own, [about("Bars!D3"), about("Bars!E4", "ask")], target) == ()
    assert hashlib.sha256(own.read_bytes()).hexdigest() == before
    old, new = parts(own), parts(target)
    assert old.keys() <= new.keys()
    changed = {name for name in old if old[name] != new[name]}
    assert changed == TOUCHED | {
        "xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml", "xl/comments1.xml", "xl/drawings/vmlDrawing1.vml",
    }  # fmt: skip
    assert set(new) - set(old) == {"xl/worksheets/findings1.xml"}
    assert {"xl/charts/chart1.xml", "xl/media/image1.png"} <= set(old)


def test_cells_are_coloured_by_level_and_keep_their_number_format_and_font(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    write_marked_copy(own, [about("Bars!D3"), about("Bars!D4", "ask"), about("Bars!D5", "note")], target)
    bars = openpyxl.load_workbook(target)["Bars"]
    assert [bars[cell].fill.fgColor.rgb for cell in ("D3", "D4", "D5")] == ["FFF8B4A6", "FFFCE08A", "FFC9DDF2"]
    assert bars["D2"].fill.fgColor.rgb == "FFDDFFDD"
    assert all(bars[cell].number_format == "0.000" and bars[cell].font.italic for cell in ("D2", "D3", "D4", "D5"))


def test_values_formulas_and_stored_results_are_still_there(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    write_marked_copy(own, [about("Bars!F2"), about("Bars!G2"), about("Bars!A9")], target)
    for data_only in (False, True):
        old = openpyxl.load_workbook(own, data_only=data_only, rich_text=True)
        new = openpyxl.load_workbook(target, data_only=data_only, rich_text=True)
        for name in old.sheetnames:
            for row in old[name].iter_rows():
                for cell in row:
                    assert new[name][cell.coordinate].value == cell.value, cell.coordinate
    assert openpyxl.load_workbook(target, data_only=True)["Bars"]["F2"].value == 202


def test_a_comment_that_is_there_stays_and_ours_comes_below_it(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    write_marked_copy(own, [about("Bars!D3"), about("Bars!D3", "note", "Also this."), about("Bars!D4")], target)
    bars = openpyxl.load_workbook(target)["Bars"]
    assert bars["D3"].comment.text == (
        "measured twice\n\nMEND: It is wrong.\n→ Mend it.\n\nNOTE: Also this.\n→ Mend it."
    )
    assert bars["D3"].comment.author == "somebody"
    assert bars["D4"].comment.text == "MEND: It is wrong.\n→ Mend it."
    assert bars["D4"].comment.author == "bodytest"


def test_rules_names_and_protection_stay(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    write_marked_copy(own, [about("Bars!C3")], target)
    book = openpyxl.load_workbook(target)
    bars = book["Bars"]
    assert len(bars.data_validations.dataValidation) == 2
    assert bars.protection.sheet
    assert bars.print_area == "'Bars'!$A$1:$E$6"
    assert bars.print_title_rows == "$1:$1"
    assert book["It's other"].auto_filter.ref == "A1:A3"
    assert b"x14:dataBar" in parts(target)["xl/worksheets/sheet1.xml"]


def test_the_list_stands_in_front_and_is_the_one_selected_tab(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    found = [about("Bars!D3"), about("Bars!4:4", "ask"), about("Bars", "note"), about(None), about("It's other!A1")]
    write_marked_copy(own, found, target)
    book = openpyxl.load_workbook(target)
    assert book.sheetnames == ["Findings", "Bars", "It's other"]
    assert book.active.title == "Findings"
    assert [bool(sheet.sheet_view.tabSelected) for sheet in book] == [True, False, False]
    shown = book["Findings"]
    assert shown["A1"].value == "Findings in own.xlsx: 3 to mend, 1 to look at, 1 to know"
    rows = [[cell.value for cell in row] for row in shown.iter_rows(min_row=5)]
    assert rows[0] == ["MEND", "Bars!D3", "7", "It is wrong.", "Mend it.", "not-a-number"]
    assert [row[:2] for row in rows[1:]] == [
        ["LOOK AT", "Bars!4:4"], ["NOTE", "Bars"], ["MEND", "own.xlsx"], ["MEND", "It's other!A1"],
    ]  # fmt: skip
    assert [shown[f"B{row}"].hyperlink and shown[f"B{row}"].hyperlink.location for row in (5, 6, 7, 8, 9)] == [
        "'Bars'!D3", "'Bars'!4:4", None, None, "'It''s other'!A1",
    ]  # fmt: skip
    assert book["Bars"]["A4"].comment.text.startswith("LOOK AT: It is wrong.")


def test_texts_of_findings_stay_text(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    nasty = ['=HYPERLINK("http://x","y")', "+1", "-1", "@SUM(A1)", "<b>&amp;\x00\x1f]]>", "😀"]
    write_marked_copy(own, [about("Bars!D3", sentence=text, value=text) for text in nasty], target)
    shown = openpyxl.load_workbook(target)["Findings"]
    for row, text in enumerate(nasty, start=5):
        for column in "CD":
            assert shown[f"{column}{row}"].data_type == "s" or shown[f"{column}{row}"].data_type == "inlineStr"
            assert shown[f"{column}{row}"].value == text.replace("\x00", "�").replace("\x1f", "�")
    assert b"<f>" not in parts(target)["xl/worksheets/findings1.xml"]


def test_cells_that_the_file_leaves_out_are_put_in_at_their_place(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    cells = ["E3", "A3", "B9", "J9", "ZZ3", "C1000", "J2", "A8"]
    write_marked_copy(own, [about(f"Bars!{cell}") for cell in cells], target)
    bars = openpyxl.load_workbook(target)["Bars"]
    assert {cell: bars[cell].fill.fgColor.rgb for cell in cells} == dict.fromkeys(cells, "FFF8B4A6")
    assert bars["J9"].number_format == bars["J2"].number_format == "0.000"
    sheet = parts(target)["xl/worksheets/sheet1.xml"].decode()
    rows = [int(piece.split('"')[0]) for piece in sheet.split('<row r="')[1:]]
    assert rows == sorted(rows)


def test_a_copy_of_a_copy_gets_a_second_list(own: Path, tmp_path: Path) -> None:
    first, second = tmp_path / "first.xlsx", tmp_path / "second.xlsx"
    write_marked_copy(own, [about("Bars!D3")], first)
    write_marked_copy(first, [about("Bars!D3")], second)
    book = openpyxl.load_workbook(second)
    assert book.sheetnames == ["Findings (2)", "Findings", "Bars", "It's other"]
    assert book["Bars"]["D3"].comment.text.count("MEND: It is wrong.") == 2


def test_many_findings_are_all_coloured_but_not_all_commented(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    write_marked_copy(own, [about(f"Bars!D{row}") for row in range(2, 2202)], target)
    book = openpyxl.load_workbook(target)
    assert book["Findings"]["A3"].value == (
        "Only the first 2000 cells of a table carry a comment; all are coloured and listed here."
    )
    assert book["Bars"]["D2201"].fill.fgColor.rgb == "FFF8B4A6"
    assert book["Bars"]["D2201"].comment is None
    assert book["Findings"].max_row == 2200 + 5


def test_the_demonstration_of_mistakes_can_be_marked(tmp_path: Path) -> None:
    source, target = SHEETS / "demo-mistakes.xlsx", tmp_path / "marked.xlsx"
    findings = read_sheets([source]).findings
    assert write_marked_copy(source, findings, target) == ()
    old, new = openpyxl.load_workbook(source), openpyxl.load_workbook(target)
    assert new.sheetnames == ["Findings", *old.sheetnames]
    for name in old.sheetnames:
        assert len(new[name].data_validations.dataValidation) == len(old[name].data_validations.dataValidation)
        assert len(new[name].conditional_formatting) == len(old[name].conditional_formatting)
        assert new[name].protection.sheet
    again = read_sheets([target]).findings
    assert [(f.code, f.cell) for f in again] == [(f.code, f.cell) for f in findings]


@pytest.mark.parametrize(("ending", "kind"), [(".csv", "a text table"), (".ods", "an OpenDocument sheet")])
def test_other_files_give_a_workbook_of_their_values_and_say_so(ending: str, kind: str, tmp_path: Path) -> None:
    source, target = tmp_path / f"trial{ending}", tmp_path / "marked.xlsx"
    if ending == ".csv":
        source.write_text("bar;body;wet length (mm)\nA1;=1+1;100,5\nA2;Marl Red;-3\nA3;06;95.5\n", encoding="utf-8")
    else:
        write_ods(source, [["bar", "body", "wet length (mm)"], ["A1", "=1+1", "100,5"], ["A2", "Marl Red", -3.0]])
    told = write_marked_copy(source, read_sheets([source]).findings, target)
    assert told == (
        f"This copy was made from {kind}, so it holds its values alone:"
        " formats, formulas and comments stayed in the original.",
    )
    book = openpyxl.load_workbook(target)
    assert book["Findings"]["A3"].value == told[0]
    bars = book["Bars"]
    assert (bars["B2"].value, bars["B2"].data_type) == ("=1+1", "s")
    assert (bars["C2"].value, bars["C3"].value) == ("100,5", -3)
    assert bars["C3"].fill.fgColor.rgb == "FFF8B4A6"
    assert bars["C3"].comment.text.startswith("MEND: ")


def write_ods(path: Path, rows: list[list[object]]) -> None:
    cells = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="float" office:value="{value}"/>'
            if isinstance(value, float)
            else f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
            for value in row
        )
        + "</table:table-row>"
        for row in rows
    )
    spaces = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
    )
    content = (
        f'<office:document-content {spaces}><office:body><office:spreadsheet><table:table table:name="Bars">{cells}'
        "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)


def test_a_target_that_exists_is_left_alone(own: Path) -> None:
    before = own.read_bytes()
    with pytest.raises(UnwritableFile) as told:
        write_marked_copy(own, [about("Bars!D3")], own)
    assert told.value.finding.code == "file-exists"
    assert own.read_bytes() == before


def test_a_target_with_another_ending_is_refused(own: Path, tmp_path: Path) -> None:
    with pytest.raises(UnusableRequest) as told:
        write_marked_copy(own, [], tmp_path / "marked.ods")
    assert told.value.finding.sentence == f"The marked copy {tmp_path / 'marked.ods'} has to end in .xlsx."


def test_a_file_that_cannot_be_read_gives_a_sentence(tmp_path: Path) -> None:
    source = tmp_path / "broken.xlsx"
    source.write_bytes(b"PK\x03\x04 not really")
    with pytest.raises(UnreadableSheet) as told:
        write_marked_copy(source, [], tmp_path / "marked.xlsx")
    assert told.value.finding.code == "cannot-mark"
    assert not (tmp_path / "marked.xlsx").exists()


@pytest.mark.office
@pytest.mark.skipif(OFFICE_MISSING, reason="no LibreOffice on this machine")
def test_office_opens_the_copy_with_chart_picture_and_comments(own: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    write_marked_copy(own, [about("Bars!D3"), about("Bars!E4", "ask")], target)
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless", "--convert-to", "ods",
         "--outdir", str(tmp_path), str(target)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    with zipfile.ZipFile(tmp_path / "marked.ods") as saved:
        content = saved.read("content.xml").decode()
        names = saved.namelist()
    assert content.count("<office:annotation ") == 2
    assert "measured twice" in content
    assert content.index('table:name="Findings"') < content.index('table:name="Bars"')
    assert any(name.startswith("Pictures/") for name in names)
    assert "draw:object" in content


MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
SPARSE = {
    "[Content_Types].xml": (
        '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument'
        '.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/one.xml" ContentType="application/vnd.'
        'openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>'
    ),
    "_rels/.rels": (
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<Relationship Id="a" Type="{LINKS}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
    ),
    "xl/workbook.xml": (
        f'<x:workbook xmlns:x="{MAIN}" xmlns:rel="{LINKS}"><x:bookViews><x:workbookView firstSheet="0"'
        ' activeTab="0"/></x:bookViews><x:sheets><x:sheet name="Bars" sheetId="4" rel:id="b"/></x:sheets>'
        "<x:definedNames><x:definedName name='here' localSheetId='0'>Bars!$A$1</x:definedName></x:definedNames>"
        "</x:workbook>"
    ),
    "xl/_rels/workbook.xml.rels": (
        '<r:Relationships xmlns:r="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<r:Relationship Id="b" Type="{LINKS}/worksheet" Target="worksheets/one.xml"/></r:Relationships>'
    ),
    "xl/worksheets/one.xml": (
        f"<?xml version='1.0' encoding='utf-16'?>\n<x:worksheet xmlns:x='{MAIN}'><x:sheetData>"
        "<x:row><x:c t='inlineStr'><x:is><x:t>bar ></x:t></x:is></x:c><x:c><x:v>5</x:v></x:c></x:row><x:row/>"
        "<x:row r='9'/></x:sheetData></x:worksheet>"
    ),
}


def test_a_workbook_with_prefixes_and_without_styles_or_addresses_is_marked_too(tmp_path: Path) -> None:
    source, target = tmp_path / "sparse.xlsx", tmp_path / "marked.xlsx"
    with zipfile.ZipFile(source, "w") as archive:
        for name, text in SPARSE.items():
            archive.writestr(name, text.encode("utf-16" if name.endswith("one.xml") else "utf-8"))
    cells = ["B1", "C1", "A2", "D5", "B9", "A12"]
    assert write_marked_copy(source, [about(f"Bars!{cell}") for cell in cells], target) == ()
    book = openpyxl.load_workbook(target)
    assert book.sheetnames == ["Findings", "Bars"]
    bars = book["Bars"]
    assert (bars["A1"].value, bars["B1"].value) == ("bar >", 5)
    assert {cell: bars[cell].fill.fgColor.rgb for cell in cells} == dict.fromkeys(cells, "FFF8B4A6")
    assert all(bars[cell].comment.text.startswith("MEND: ") for cell in cells)
    assert bars["A1"].fill.fgColor.rgb != "FFF8B4A6"
    assert list(bars.defined_names) == ["here"]
    assert write_marked_copy(target, [about("Bars!B1")], tmp_path / "again.xlsx") == ()


def test_the_strict_variant_gives_a_workbook_of_its_values_and_says_so(tmp_path: Path) -> None:
    source, target = tmp_path / "strict.xlsx", tmp_path / "marked.xlsx"
    strict = "http://purl.oclc.org/ooxml/spreadsheetml/main"
    with zipfile.ZipFile(source, "w") as archive:
        for name, text in SPARSE.items():
            changed = text.replace(MAIN, strict) if name == "xl/workbook.xml" else text
            archive.writestr(name, changed.replace("utf-16", "utf-8").encode())
    told = write_marked_copy(source, [about("Bars!B1")], target)
    assert told == (
        "The workbook is built in an unusual way, so this copy holds its values alone:"
        " formats, formulas and comments stayed in the original.",
    )
    assert openpyxl.load_workbook(target)["Bars"]["B1"].value == 5


def test_a_conversation_about_a_cell_is_left_alone_and_told_of(own: Path, tmp_path: Path) -> None:
    source, target = tmp_path / "talked.xlsx", tmp_path / "marked.xlsx"
    said = (
        '<ThreadedComments xmlns="http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments">'
        '<threadedComment ref="D3" id="{1}"><text>measured twice</text></threadedComment></ThreadedComments>'
    )
    link = (
        '<Relationship Id="rId99" Type="http://schemas.microsoft.com/office/2017/10/relationships/threadedComment"'
        ' Target="../threadedComments/threadedComment1.xml"/></Relationships>'
    )
    with zipfile.ZipFile(source, "w") as archive:
        for name, content in parts(own).items():
            linked = name == "xl/worksheets/_rels/sheet1.xml.rels"
            archive.writestr(name, content.replace(b"</Relationships>", link.encode()) if linked else content)
        archive.writestr("xl/threadedComments/threadedComment1.xml", said)
    write_marked_copy(source, [about("Bars!D3"), about("Bars!D4")], target)
    book = openpyxl.load_workbook(target)
    assert book["Findings"]["A3"].value == (
        "Cells with a conversation of people in them are coloured but carry no comment of ours: Bars!D3."
    )
    assert book["Bars"]["D3"].comment.text == "measured twice"
    assert book["Bars"]["D3"].fill.fgColor.rgb == "FFF8B4A6"
    assert book["Bars"]["D4"].comment.text.startswith("MEND: ")


def test_a_workbook_with_macros_keeps_them_and_its_ending(own: Path, tmp_path: Path) -> None:
    source, target = tmp_path / "own.xlsm", tmp_path / "marked.xlsm"
    with zipfile.ZipFile(source, "w") as archive:
        for name, content in parts(own).items():
            archive.writestr(name, content)
        archive.writestr("xl/vbaProject.bin", b"any bytes")
    with pytest.raises(UnusableRequest):
        write_marked_copy(source, [], tmp_path / "marked.xlsx")
    assert write_marked_copy(source, [about("Bars!D3")], target) == ()
    assert parts(target)["xl/vbaProject.bin"] == b"any bytes"
