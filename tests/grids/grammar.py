"""Workbooks and text tables in every form that their formats allow, and in some that they do not, grown from a grammar.

Whoever calls says how to choose (``choose(n)`` gives a number below n). Each file comes with what its cells hold, kept
without the program's own reading: a value, or `ODD` for a cell of which a reader must say that it cannot be read.
"""

import csv
import io
import warnings
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any
from xml.sax.saxutils import escape

from tests.grids import crafted

Choose = Callable[[int], int]
ODD = object()
"""A cell that holds something which is no value."""
HEADINGS = (
    "bar",
    "body",
    "firing",
    "wet length (mm)",
    "fired length (mm)",
    "fired mass (g)",
    "boiled mass (g)",
    "notes",
)
TEXTS = (
    "Marl Red",
    "A 1",
    "ätsch",
    "a<b & c>d",
    " x ",
    "line\nbreak",
    "日本",
    "=1+1",
    "_x0041_",
    "0",
    "'",
    "-",
    "#DIV/0!",
)
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_SHARED_TYPE = (
    '<Override PartName="/xl/sharedStrings.xml" ContentType='
    '"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/>'
)
UNUSUAL = frozenset(
    {"no such text", "wrapped", "phonetic", "comment", "extension", "bad", "error", "never calculated"}
    | {"rows mixed", "cells mixed", "row in two"}
)
"""Forms that readers of others take otherwise, or not at all."""
FORMULAS = frozenset({"str", "formula"})
"""Forms that a spreadsheet program computes anew."""
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


@dataclass
class Made:
    """One file with what it holds."""

    name: str
    content: bytes
    cells: dict[tuple[int, int], Any]
    """Row (from 1) and column (from 0) → what the cell holds."""
    forms: list[str] = field(default_factory=list)
    """The forms that were chosen."""
    harmed: bool = False
    """Were bytes changed afterwards, so that nothing can be expected of it?"""


def pick(choose: Choose, of: Any) -> Any:
    return of[choose(len(of))]


def a_table(choose: Choose) -> dict[tuple[int, int], Any]:
    """Return headings and bars: texts, numbers, some blanks."""
    cells: dict[tuple[int, int], Any] = {(1, column): text for column, text in enumerate(HEADINGS)}
    first = 2 + (choose(3) == 0) * choose(40)
    for row in range(first, first + 1 + choose(8)):
        cells[row, 0], cells[row, 1], cells[row, 2] = f"A{row}", "Marl Red", f"F{choose(3)}"
        for column, about in zip(range(3, 7), (100.0, 88.0, 60.0, 61.0), strict=True):
            if choose(8):
                cells[row, column] = round(about + choose(40) / 10, 1 + choose(2))
        if not choose(3):
            cells[row, 7] = pick(choose, TEXTS)
    if not choose(10):
        cells[first + choose(30), pick(choose, (9, 30, 60, 701, 16383))] = float(choose(100))
    return cells


def _letters(column: int) -> str:
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


# SpreadsheetML


@dataclass
class _Book:
    choose: Choose
    prefix: str
    strings: list[str] = field(default_factory=list)
    forms: list[str] = field(default_factory=list)
    without: frozenset[str] = frozenset()

    def tag(self, name: str, attributes: str = "", inner: str | None = None) -> str:
        name = f"{self.prefix}{name}"
        if inner is None:
            return f"<{name}{attributes}/>"
        return f"<{name}{attributes}>{inner}</{name}>"

    def form(self, *options: str) -> str:
        chosen = str(pick(self.choose, [o for o in options if o not in self.without]))
        self.forms.append(chosen)
        return chosen


def made_xlsx(choose: Choose, *, without: frozenset[str] = frozenset()) -> Made:
    """Return an .xlsx workbook; one ``without`` forms is ordinary besides, as readers of others take it."""
    ordinary = bool(without)
    book = _Book(choose, "" if ordinary or choose(3) else "x:", without=without)
    cells = a_table(choose)
    held = dict(cells)
    rows: dict[int, list[tuple[int, str]]] = {}
    for (row, column), value in sorted(cells.items()):
        xml, held[row, column] = _xlsx_cell(book, row, column, value)
        rows.setdefault(row, []).append((column, xml))
    if not ordinary:
        _odd_xlsx_cells(book, rows, held)
    sheet = _xlsx_sheet(book, rows)
    space = STRICT if not ordinary and not choose(4) else MAIN
    content = _xlsx_package(book, sheet.replace("SPACE", space), space)
    return Made("made.xlsx", content, held, book.forms)


def _attribute(book: _Book, name: str, value: str) -> str:
    quote = "'" if not book.choose(5) else '"'
    equals = pick(book.choose, ("=", "=", "=", " = ", "\n="))
    return f" {name}{equals}{quote}{value}{quote}"


def _xlsx_cell(book: _Book, row: int, column: int, value: Any) -> tuple[str, Any]:
    """Return a cell and what it holds."""
    place = f"{_letters(column)}{row}"
    reference = _attribute(book, "r", place.lower() if not book.choose(12) else place)
    if isinstance(value, str):
        return _xlsx_text(book, reference, value)
    return _xlsx_number(book, reference, value)


def _xlsx_text(book: _Book, reference: str, text: str) -> tuple[str, Any]:
    kept = ' xml:space="preserve"'
    written = escape(text).replace("_x0041_", "_x005F_x0041_")
    form = book.form("inline", "shared", "rich", "phonetic", "str", "wrapped", "no such text")
    if form == "no such text" and text not in HEADINGS[:5] and not book.choose(6):
        index = pick(book.choose, ("-1", "999999", "1.5", "x", "18446744073709551616"))
        return book.tag("c", reference + _attribute(book, "t", "s"), book.tag("v", "", index)), ODD
    if form in ("shared", "no such text"):
        book.strings.append(book.tag("si", "", book.tag("t", kept, written)))
        return book.tag(
            "c", reference + _attribute(book, "t", "s"), book.tag("v", "", str(len(book.strings) - 1))
        ), text
    if form == "rich":
        runs = [written[:1], written[1:]] if "&" not in written and "_" not in written else [written]
        inner = "".join(
            book.tag("r", "", book.tag("rPr", "", book.tag("b")) + book.tag("t", kept, run)) for run in runs
        )
        book.strings.append(book.tag("si", "", inner))
        return book.tag(
            "c", reference + _attribute(book, "t", "s"), book.tag("v", "", str(len(book.strings) - 1))
        ), text
    if form == "str":
        return book.tag(
            "c", reference + _attribute(book, "t", "str"), book.tag("f", "", "A1") + book.tag("v", "", written)
        ), text
    if form == "wrapped" and "]]>" not in text and "_x0041_" not in text:
        written = f"<![CDATA[{text}]]>"
    sound = book.tag("rPh", ' sb="0" eb="1"', book.tag("t", "", "LAUT")) if form == "phonetic" else ""
    inner = book.tag("is", "", book.tag("t", kept, written) + sound)
    return book.tag("c", reference + _attribute(book, "t", "inlineStr"), inner), text


def _xlsx_number(book: _Book, reference: str, number: float) -> tuple[str, Any]:
    text = repr(number)
    options = ("plain", "plain", "plain", "cdata", "references", "comment", "exponent", "spaces", "typed", "formula")
    form = book.form(*options, "extension", "bad", "error", "never calculated")
    kind, before, after, holds = "", "", "", number
    if form == "cdata":
        text = f"<![CDATA[{text}]]>"
    elif form == "references":
        text = "".join(f"&#{ord(sign)};" if book.choose(2) else f"&#x{ord(sign):x};" for sign in text)
    elif form == "comment":
        text = f"{text[:2]}<!-- {'row ' * book.choose(4)}-->{text[2:]}"
    elif form == "exponent":
        text = f"{number / 10!r}E+1"
        holds = float(text)
    elif form == "spaces":
        text = f"\n {text}\t"
    elif form == "typed":
        kind = _attribute(book, "t", "n")
    elif form == "formula":
        before = book.tag("f", "", "1+1") + pick(book.choose, ("", "<!-- c -->", " " * 50))
    elif form == "extension":
        after = book.tag("extLst", "", book.tag("ext", ' uri="{1}"', "<q xmlns='urn:q'><v>7</v></q>"))
    elif form in ("bad", "error", "never calculated") and not book.choose(5):
        return _xlsx_odd(book, reference, form)
    return book.tag("c", reference + kind, before + book.tag("v", "", text) + after), holds


def _xlsx_odd(book: _Book, reference: str, form: str) -> tuple[str, Any]:
    if form == "bad":
        text = pick(book.choose, ("8_8.4", "nan", "inf", "88,4", "88.4.1", "٨٨", "0x10", "1e", "--1"))
        return book.tag("c", reference, book.tag("v", "", text)), ODD
    if form == "error":
        return book.tag("c", reference + _attribute(book, "t", "e"), book.tag("v", "", "#N/A")), ODD
    blank = pick(book.choose, ("", book.tag("v"), "<!-- c -->", " " * 20))
    return book.tag("c", reference, book.tag("f", "", "A1+1") + blank), ODD


def _odd_xlsx_cells(book: _Book, rows: dict[int, list[tuple[int, str]]], held: dict[tuple[int, int], Any]) -> None:
    """Put cells in that no sheet has, and some a second time."""
    if not book.choose(8):
        place = pick(book.choose, ("ZZZZZZZZ4", "A4294967295", "A0", "4", "A" * 40 + "4", "XFE1", "B-2", "A1048577"))
        rows[max(rows)].append((99_999, book.tag("c", f' r="{place}"', book.tag("v", "", "7"))))
        book.forms.append("outside")
    if not book.choose(8):
        row, column = pick(
            book.choose, [place for place, value in held.items() if isinstance(value, float)] or [(1, 0)]
        )
        if row > 1:
            again = held[row, column] + (1.0 if book.choose(2) else 0.0)
            rows[row].append((column, book.tag("c", f' r="{_letters(column)}{row}"', book.tag("v", "", repr(again)))))
            held[row, column] = held[row, column] if again == held[row, column] else ODD
            book.forms.append("twice")


def _xlsx_sheet(book: _Book, rows: dict[int, list[tuple[int, str]]]) -> str:
    choose = book.choose
    order = book.form("in order", "in order", "in order", "rows mixed", "cells mixed", "row in two")
    gap = pick(choose, ("", "", "\n  ", "<!-- row row r='7' -->", "<?pi row?>"))
    numbers = sorted(rows)
    if order == "rows mixed":
        numbers.reverse()
    xml = []
    for row in numbers:
        cells = [text for _, text in (rows[row][::-1] if order == "cells mixed" else rows[row])]
        opening = _attribute(book, "r", str(row)) + pick(choose, ("", "", ' spans="1:8"', ' ht="15"', ' hidden="1"'))
        if order == "row in two" and len(cells) > 1:
            xml.append(book.tag("row", opening, gap.join(cells[:1])))
            cells = cells[1:]
        xml.append(book.tag("row", opening, gap.join(cells)))
    dimension = pick(choose, ("", "A1", "XFD1048576:A1", "nonsense", "A1:ZZZ99999999"))
    before = book.tag("dimension", f' ref="{dimension}"') if dimension else ""
    space = f' xmlns{":x" if book.prefix else ""}="SPACE"'
    inner = before + book.tag("sheetData", "", gap + gap.join(xml) + gap)
    return book.tag("worksheet", space, inner + book.tag("extLst", "", "<q xmlns='urn:q'><row r='1'/></q>"))


def _xlsx_package(book: _Book, sheet: str, space: str) -> bytes:
    choose = book.choose
    target = pick(choose, ("worksheets/sheet1.xml", "../xl/worksheets/sheet1.xml", "./worksheets/sheet1.xml"))
    target = pick(choose, (target, "/xl/worksheets/sheet1.xml", "Worksheets/SHEET1.xml"))
    shared = (
        f'<{book.prefix}sst xmlns{":x" if book.prefix else ""}="{space}" count="1000000000">{"".join(book.strings)}'
    )
    links = "".join(
        f'<Relationship Id="{name}" Type="{LINKS}/{kind}" Target="{where}"/>'
        for name, kind, where in (("rId1", "worksheet", target), ("rId2", "sharedStrings", "sharedStrings.xml"))
    )
    encoding = pick(choose, ("utf-8", "utf-8", "utf-8-sig", "utf-16"))
    book.forms.append(encoding)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", crafted.TYPES.replace("</Types>", f"{_SHARED_TYPE}</Types>"))
        archive.writestr("_rels/.rels", crafted.RELATIONS.format(kind="officeDocument", target="xl/workbook.xml"))
        archive.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{links}</Relationships>',
        )
        archive.writestr("xl/workbook.xml", crafted.BOOK)
        archive.writestr("xl/sharedStrings.xml", f"{shared}</{book.prefix}sst>")
        head = f'<?xml version="1.0" encoding="{"UTF-16" if encoding == "utf-16" else "UTF-8"}"?>'
        archive.writestr("xl/worksheets/sheet1.xml", (head + sheet).encode(encoding))
    return stream.getvalue()


# OpenDocument


def made_ods(choose: Choose, *, manifest: str = "") -> Made:
    """Return an .ods workbook; without a manifest no program but ours opens it."""
    cells = a_table(choose)
    held, forms, rows, last = dict(cells), [], [], 0
    for row in sorted({row for row, _ in cells}):
        if row > last + 1:
            rows.append(
                f'<table:table-row table:number-rows-repeated="{row - last - 1}"><table:table-cell/></table:table-row>'
            )
        line, before = [], -1
        for column in sorted(column for number, column in cells if number == row):
            if column > before + 1:
                blank = pick(choose, ("table-cell", "covered-table-cell"))
                line.append(f'<table:{blank} table:number-columns-repeated="{column - before - 1}"/>')
            xml, held[row, column], form = _ods_cell(choose, cells[row, column], row)
            forms.append(form)
            line.append(xml)
            before = column
        rows.append(f"<table:table-row>{''.join(line)}</table:table-row>")
        last = row
    ends = ("", "9" * 30, "1048576", "1000000000")
    end = pick(choose, ends)
    tail = f'<table:table-row table:number-rows-repeated="{end}"><table:table-cell/></table:table-row>' if end else ""
    content = crafted.crafted_ods("".join(rows) + tail, manifest=manifest)
    return Made("made.ods", content, held, forms)


def _ods_cell(choose: Choose, value: Any, row: int) -> tuple[str, Any, str]:
    span = pick(choose, ("", "", "", ' table:number-rows-spanned="1000000000" table:number-columns-spanned="2"'))
    drawing = pick(
        choose,
        ("", "", "<draw:frame xmlns:draw='urn:d'><draw:text-box><text:p>DRAWN</text:p></draw:text-box></draw:frame>"),
    )
    note = pick(choose, ("", "", "<office:annotation><text:p>ask Jo</text:p></office:annotation>"))
    if isinstance(value, str):
        spaced = "".join(f"<text:p>{_ods_line(line, choose)}</text:p>" for line in value.split("\n"))
        return (
            f'<table:table-cell office:value-type="string"{span}>{note}{spaced}{drawing}</table:table-cell>',
            value,
            "text",
        )
    form = pick(choose, ("plain",) * 8 + ("formula", "currency", "bad", "error", "never"))
    if form == "bad" and row > 1:
        text = pick(choose, ("8_8.4", "nan", "88,4", "1e", "inf", "٨٨"))
        return f'<table:table-cell office:value-type="float" office:value="{text}"/>', ODD, form
    if form == "error":
        typed = 'table:formula="of:=1/0" office:value-type="string" calcext:value-type="error"'
        return f"<table:table-cell {typed}><text:p>#DIV/0!</text:p></table:table-cell>", ODD, form
    if form == "never":
        return '<table:table-cell table:formula="of:=[.A1]+1"/>', ODD, form
    more = ' table:formula="of:=1+1"' if form == "formula" else ""
    kind = "currency" if form == "currency" else "float"
    typed = f'office:value-type="{kind}" office:value="{value!r}"{more}{span}'
    return f"<table:table-cell {typed}>{note}<text:p>shown</text:p>{drawing}</table:table-cell>", value, form


def _ods_line(line: str, choose: Choose) -> str:
    spaces = choose(2) or "  " in line or line != line.strip()
    return escape(line).replace(" ", "<text:s/>") if spaces else escape(line)


# text tables


def made_csv(choose: Choose) -> Made:
    """Return a text table; its cells hold texts."""
    cells = {place: value if isinstance(value, str) else repr(value) for place, value in a_table(choose).items()}
    if choose(4):
        cells = {place: value for place, value in cells.items() if place[1] < len(HEADINGS)}
    delimiter = pick(choose, (",", ";", "\t", "|"))
    rows: list[list[str]] = [[] for _ in range(max(row for row, _ in cells))]
    for (row, column), value in sorted(cells.items()):
        line = rows[row - 1]
        line.extend([""] * (column - len(line)))
        line.append(value)
    stream = io.StringIO()
    quoting = pick(choose, (csv.QUOTE_MINIMAL, csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC))
    end = pick(choose, ("\n", "\r\n"))
    csv.writer(stream, delimiter=delimiter, lineterminator=end, quoting=quoting).writerows(rows)
    encoding = pick(choose, ("utf-8", "utf-8-sig", "utf-16"))
    return Made("made.csv", stream.getvalue().encode(encoding), cells, [encoding, repr(delimiter)])


def harmed(made: Made, choose: Choose) -> Made:
    """Return the file with some bytes changed: inside its parts for a workbook."""
    if made.name == "made.csv":
        return Made(made.name, _harmed_bytes(made.content, choose), made.cells, [*made.forms, "harmed"], harmed=True)
    stream = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(made.content)) as old,
        zipfile.ZipFile(stream, "w") as new,
        warnings.catch_warnings(),
    ):
        warnings.simplefilter("ignore")  # a name that is put in twice on purpose
        chosen = pick(choose, [name for name in old.namelist() if name.endswith((".xml", ".rels"))])
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, _harmed_bytes(content, choose) if name == chosen and content else content)
            if name == chosen and not choose(6):
                new.writestr(name.upper() if choose(2) else name, content)
    return Made(made.name, stream.getvalue(), made.cells, [*made.forms, "harmed"], harmed=True)


def _harmed_bytes(content: bytes, choose: Choose) -> bytes:
    harmed_content = bytearray(content)
    for _ in range(1 + choose(4)):
        at, length = choose(len(harmed_content) or 1), choose(12)
        new = pick(
            choose, (b"", b"<", b">", b"&", b"\0", b"\xff", b'"', b"1", b"9" * 20, b"<c/>", b"</row>", b"<!--", b"]]>")
        )
        harmed_content[at : at + length] = new * (1 + choose(3))
    return bytes(harmed_content)


MAKERS: tuple[Callable[[Choose], Made], ...] = (made_xlsx, made_ods, made_csv)


def made(choose: Choose) -> Made:
    """Return a file of any kind; every fourth is harmed afterwards."""
    whole = pick(choose, MAKERS)(choose)
    return whole if choose(4) else harmed(whole, choose)
