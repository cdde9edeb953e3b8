"""Workbooks written part by part, for tests of files that no spreadsheet program writes."""

import io
import zipfile

TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType='
    '"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" ContentType='
    '"application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>'
)
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type='
    '"http://schemas.openxmlformats.org/officeDocument/2006/relationships/{kind}" Target="{target}"/></Relationships>'
)
BOOK = (
    '<?xml version="1.0" encoding="UTF-8"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    ' xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">'
    '<sheets><sheet name="Bars" sheetId="1" r:id="rId1"/></sheets></workbook>'
)
SHEET = (
    '<?xml version="1.0" encoding="UTF-8"?>{before}'
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData>'
    "{after}</worksheet>"
)
HEADINGS = ("bar", "body", "firing", "wet length (mm)", "fired length (mm)")


def text_cell(place: str, text: str) -> str:
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


def heading_row() -> str:
    return '<row r="1">' + "".join(text_cell(f"{'ABCDE'[i]}1", h) for i, h in enumerate(HEADINGS)) + "</row>"


def bar_row(row: int, *more: str) -> str:
    texts = "".join(text_cell(f"{c}{row}", t) for c, t in zip("ABC", (f"A{row}", "Marl Red", "F1"), strict=True))
    return (
        f'<row r="{row}">{texts}<c r="D{row}"><v>100.{row % 10}</v></c><c r="E{row}"><v>88.{row % 5 + 2}</v></c>'
        f"{''.join(more)}</row>"
    )


def crafted_xlsx(
    rows: str, *, before: str = "", after: str = "", extra: dict[str, bytes] | None = None, kept: bool = False
) -> bytes:
    """Return an .xlsx with one table Bars of the given row elements; ``kept`` leaves it unpacked."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED if kept else zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", TYPES)
        archive.writestr("_rels/.rels", RELATIONS.format(kind="officeDocument", target="xl/workbook.xml"))
        archive.writestr(
            "xl/_rels/workbook.xml.rels", RELATIONS.format(kind="worksheet", target="worksheets/sheet1.xml")
        )
        archive.writestr("xl/workbook.xml", BOOK)
        archive.writestr("xl/worksheets/sheet1.xml", SHEET.format(rows=rows, before=before, after=after))
        for name, content in (extra or {}).items():
            archive.writestr(name, content)
    return stream.getvalue()


ODS_CONTENT = (
    '<?xml version="1.0" encoding="UTF-8"?>{before}<office:document-content'
    ' xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"'
    ' xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"'
    ' xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'
    ' xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>'
    '<table:table table:name="Bars">{rows}</table:table></office:spreadsheet></office:body></office:document-content>'
)


def ods_text(text: str, more: str = "") -> str:
    return f'<table:table-cell office:value-type="string"{more}><text:p>{text}</text:p></table:table-cell>'


def ods_number(number: float, more: str = "") -> str:
    typed = f'office:value-type="float" office:value="{number}"{more}'
    return f"<table:table-cell {typed}><text:p>{number}</text:p></table:table-cell>"


def ods_row(*cells: str, more: str = "") -> str:
    return f"<table:table-row{more}>{''.join(cells)}</table:table-row>"


def ods_bars(*bars: str) -> str:
    return ods_row(*(ods_text(h) for h in HEADINGS)) + "".join(bars)


def ods_bar(code: str, *more: str) -> str:
    return ods_row(ods_text(code), ods_text("Marl Red"), ods_text("F1"), ods_number(100.1), ods_number(88.4), *more)


def crafted_ods(rows: str, *, before: str = "", manifest: str = "") -> bytes:
    """Return an .ods with one table Bars of the given row elements."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet", zipfile.ZIP_STORED)
        archive.writestr("content.xml", ODS_CONTENT.format(rows=rows, before=before))
        archive.writestr("META-INF/manifest.xml", manifest)
    return stream.getvalue()
