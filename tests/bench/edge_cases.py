"""What once went wrong, as files to make and commands to call; `tests.bench.edges` tries them."""

import io
import json
import os
import re
import stat
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook

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
    text_cell,
)

MOST_SECONDS = 60.0
"""A command that takes longer is stopped."""
ROWS = [
    ["bar", "body", "firing", "peak temperature (°C)", "wet length (mm)", "dry length (mm)", "fired length (mm)"],
    *([f"B{n}", "Grey", "F1", 1200, 100 + n / 10, 94 + n / 10, 88 + n / 10] for n in range(1, 7)),
]
CSV = "".join(",".join(map(str, row)) + "\n" for row in ROWS)
EXTRA = ["C1", "Grey", "F1", 1200, 100.5, 94.5, 88.5]
MINE = "kept by hand for years\n"
GOOD = heading_row() + "".join(bar_row(row) for row in range(2, 12))
FIRED = '<c r="E12"><v>88.4</v></c>'
"""The fired length of a bar X of 100 mm: it shrinks by 11.6 %."""
CHECK = ("check", "m.xlsx")
PART = "xl/worksheets/sheet1.xml"

Maker = Callable[[Path], object]


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    code: int | None
    """None when it was stopped."""
    out: str
    err: str
    seconds: float

    @property
    def broke(self) -> bool:
        """Whether it crashed, hung, told of a fault of the program, or took a third of what it may."""
        return self.code not in {0, 1, 2} or "Traceback" in self.err or self.seconds > MOST_SECONDS / 3

    @property
    def shrinkages(self) -> dict[str, float]:
        """Bar → total shrinkage in the results that it printed."""
        if self.broke or not self.out.startswith("{"):
            return {}
        values = {bar["bar"]: bar["values"].get("total_shrinkage") for bar in json.loads(self.out)["bars"]}
        return {bar: value for bar, value in values.items() if value is not None}


Wrong = Callable[[Path, Ended], bool]


@dataclass(frozen=True)
class Edge:
    """Something that once went wrong: what is made, what is called, and how it shows."""

    what: str
    make: Maker
    words: tuple[str | bytes, ...]
    wrong: Wrong
    first: tuple[str, ...] = ()
    """Called before, where the edge needs an earlier output."""
    between: Maker = str
    """What happens after the first call."""


def csv(folder: Path, text: str = CSV, name: str = "m.csv") -> None:
    (folder / name).write_text(text, encoding="utf-8")


def book(tables: dict[str, list[list[object]]]) -> Maker:
    def make(folder: Path) -> None:
        made = Workbook()
        made.remove(made.active)
        for title, rows in tables.items():
            table = made.create_sheet(title)
            for row in rows:
                table.append(row)
        made.save(folder / "m.xlsx")

    return make


def mine(name: str) -> Maker:
    def make(folder: Path) -> None:
        csv(folder)
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(MINE)

    return make


def changed(name: str, text: str = MINE) -> Wrong:
    return lambda folder, _: (folder / name).read_bytes() != text.encode()


def with_cell(cell: str, row: str = '<row r="12">', extra: dict[str, bytes] | None = None) -> Maker:
    """Return a maker of ten good bars and a bar X whose row ends with the cell."""
    names = "".join(text_cell(f"{column}12", text) for column, text in zip("ABC", ("X", "Grey", "F1"), strict=True))
    if row != '<row r="12">':
        names = ""
    content = crafted_xlsx(f'{GOOD}{row}{names}<c r="D12"><v>100</v></c>{cell}</row>', extra=extra)
    return lambda folder: (folder / "m.xlsx").write_bytes(content)


def rewritten(change: Callable[[str, bytes], tuple[str, bytes]]) -> Maker:
    """Return a maker of the bar X in a workbook whose parts were changed."""

    def make(folder: Path) -> None:
        with_cell(FIRED)(folder)
        stream = io.BytesIO()
        with zipfile.ZipFile(folder / "m.xlsx") as old, zipfile.ZipFile(stream, "w") as new:
            for name in old.namelist():
                new.writestr(*change(name, old.read(name)))
        (folder / "m.xlsx").write_bytes(stream.getvalue())

    return make


def replaced(part_name: str, old: str, new: str) -> Maker:
    return rewritten(lambda name, part: (name, part.replace(old.encode(), new.encode()) if name == part_name else part))


def ods(rows: str) -> Maker:
    return lambda folder: (folder / "m.ods").write_bytes(crafted_ods(rows))


def broke(_: Path, ended: Ended) -> bool:
    return ended.broke


def misread(_: Path, ended: Ended) -> bool:
    """Say whether X is not read as it stands, or another bar is lost."""
    return len(ended.shrinkages) != 11 or abs(ended.shrinkages.get("X", 0) - 11.6) > 1e-6


def unnamed(_: Path, ended: Ended) -> bool:
    """Say whether a cell that cannot be read is used, or is named in no finding, or costs another bar."""
    if ended.broke or len(ended.shrinkages) != 10:
        return True
    return not any(re.fullmatch(r"Bars!E12(:.*)?", found["cell"] or "") for found in json.loads(ended.out)["findings"])


def unsaid(*words: str) -> Wrong:
    return lambda _, ended: ended.broke or not all(word in ended.out + ended.err for word in words)


def steered(_: Path, ended: Ended) -> bool:
    return ended.broke or any(sign in ended.out + ended.err for sign in ("\x1b[31m", "\b", "\u202e"))


def results_of(name: str) -> tuple[str, ...]:
    return "results", name, "--format", "json"


FIRINGS = [["firing", "peak temperature (°C)"], ["F1", 1200]]
PIECES = [
    ["piece", "body", "firing", "dimension", "wet size (mm)", "fired size (mm)"],
    ["jar", "Grey", "F1", "height", 228.0, 200.0],
]
LAB = [["name", "value"], ["absorption limit (%)", 2]]
NASTY = "In\x1b[31mk\bed\u202eGrey"
LONG = "x" * 10_000
FAR = "".join(f'<row r="{n}"><c r="A{n}" t="inlineStr"><is><t>A{n}</t></is></c></row>' for n in range(13, 5013))


def edges() -> Iterator[Edge]:
    """Yield all of them, by what they put at risk."""
    yield from outputs()
    yield from sizes_of_files()
    yield from second_tables()
    yield from cell_forms()
    yield from names_and_reports()


def outputs() -> Iterator[Edge]:
    results, report = ("results", "m.csv", "--out"), ("report", "m.csv", "--out", "o")
    yield Edge("results over the measurements", csv, (*results, "m.csv", "--format", "csv"), changed("m.csv", CSV))
    yield Edge(
        "results over a workbook of the user's", mine("mine.xlsx"), (*results, "mine.xlsx"), changed("mine.xlsx")
    )
    yield Edge("results over a text of the user's", mine("thesis.txt"), (*results, "thesis.txt"), changed("thesis.txt"))
    yield Edge(
        "report over its own input", lambda f: ((f / "o").mkdir(), csv(f, name="o/results.csv")),
        ("report", "o/results.csv", "--out", "o"), changed("o/results.csv", CSV),
    )  # fmt: skip
    yield Edge("report over an index.html", mine("o/index.html"), report, changed("o/index.html"))
    yield Edge(
        "watch over a user's results.csv", mine("results.csv"), ("watch", ".", "--out", "."), changed("results.csv")
    )
    yield Edge("ruler over a picture", mine("p.svg"), ("ruler", "--from", "m.csv", "--out", "p.svg"), changed("p.svg"))
    yield Edge(
        "a named pipe is replaced", lambda f: (csv(f), os.mkfifo(f / "p")), (*results, "p"),
        lambda f, _: not stat.S_ISFIFO((f / "p").stat().st_mode),
    )  # fmt: skip
    yield Edge(
        "permissions of results.json are lost", csv, (*results, "r.json"),
        lambda f, _: stat.S_IMODE((f / "r.json").stat().st_mode) != 0o600,
        first=(*results, "r.json"), between=lambda f: (f / "r.json").chmod(0o600),
    )  # fmt: skip
    yield Edge(
        "the page of a body that is gone stays", csv, report, lambda f, _: (f / "o/grey.html").exists(),
        first=report, between=lambda f: csv(f, CSV.replace("Grey", "Brown")),
    )  # fmt: skip


def sizes_of_files() -> Iterator[Edge]:
    for what, place in (("ZZZZZZZZ4", "ZZZZZZZZ4"), ("xfd1048576", "xfd1048576"), ("of 40 letters", "A" * 40 + "1")):
        yield Edge(f"a reference {what}", with_cell(f'<c r="{place}"><v>1</v></c>'), CHECK, broke)
    yield Edge("XFD1048576 in a row without r", with_cell('<c r="XFD1048576"><v>1</v></c>', row="<row>"), CHECK, broke)
    yield Edge("spaces around =", with_cell('<c r = "XFD1048576"><v>1</v></c>'), CHECK, broke)
    yield Edge(
        "a stray cell in XFD beside 5 000 rows", with_cell('<c r="XFD12"><v>1</v></c></row>' + FAR[:-6]), CHECK, broke
    )
    yield Edge("row 4294967295", with_cell("", row='<row r="4294967295">'), CHECK, broke)
    yield Edge(
        "a good sheet beside a far cell", lambda f: (csv(f), with_cell('<c r="ZZZZZZZZ4"><v>1</v></c>')(f)),
        ("check", "m.csv", "m.xlsx"), unsaid("m.csv", "m.xlsx"),
    )  # fmt: skip
    texts = (
        b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="9" uniqueCount="1000000000">'
    )
    yield Edge(
        "a thousand million shared strings claimed",
        with_cell('<c r="E12" t="s"><v>0</v></c>', extra={"xl/sharedStrings.xml": texts + b"<si><t>88</t></si></sst>"}),
        CHECK, broke,
    )  # fmt: skip
    yield Edge("300 KB of row in a comment", with_cell("<!--" + "row " * 75_000 + "-->"), CHECK, broke)
    yield Edge(
        "300 KB of blanks after a formula", with_cell(f'<c r="E12"><f>1</f>{" " * 300_000}<v>1</v></c>'), CHECK, broke
    )
    yield Edge("an attribute of 2 MB", with_cell(f'<c r="E12" x="{"y" * 2_000_000}"><v>88</v></c>'), CHECK, broke)
    repeated = ods_row(ods_text("X"), more=' table:number-rows-repeated="1048576"')
    yield Edge(
        "an .ods row repeated 1 048 576 times", ods(ods_bars(ods_bar("A1"), repeated)), ("check", "m.ods"), broke
    )
    span = ods_number(88.4, ' table:number-rows-spanned="1000000000"')
    yield Edge("an .ods span of a thousand million rows", ods(ods_bars(ods_bar("A1", span))), ("check", "m.ods"), broke)
    yield Edge(
        "a CSV of 100 000 columns", lambda f: csv(f, CSV + ",".join("1" * 100_000) + "\n"), ("check", "m.csv"), broke
    )
    yield Edge("2 MB of commas", lambda f: csv(f, CSV + "," * 2_000_000 + "\n"), ("check", "m.csv"), broke)


def second_tables() -> Iterator[Edge]:
    for kind, rows in (("Bars", [*ROWS[:1], EXTRA]), ("Firings", FIRINGS), ("Lab", LAB), ("Pieces", PIECES)):
        for other in (f"{kind} ", f"{kind}_", f"{kind[0]} {kind[1:]}"):
            tables = {"Bars": ROWS, kind: ROWS if kind == "Bars" else rows, other: rows}
            yield Edge(f"a second table “{other}” unsaid", book(tables), CHECK, unsaid(other.strip()))
    for own in ("Guide", "Lists", "Findings"):
        tables = {"Bars": ROWS, own: [*ROWS[:1], EXTRA]}
        yield Edge(f"bars on {own} unsaid", book(tables), CHECK, unsaid(f"{own}"))


def cell_forms() -> Iterator[Edge]:
    read, results = misread, results_of("m.xlsx")
    for what, cell in {
        "CDATA": "<v><![CDATA[88.4]]></v>", "character references": "<v>&#56;&#56;.4</v>",
        "a comment in a number": "<v>88<!-- -->.4</v>",
        "a formula followed by a comment": "<f>1</f><!-- --><v>88.4</v>",
        "an extLst in a cell": "<v>88.4</v><extLst><ext uri='x'/></extLst>",
    }.items():  # fmt: skip
        yield Edge(what, with_cell(f'<c r="E12">{cell}</c>'), results, read)
    named = unnamed
    yield Edge('t = "e"', with_cell('<c r="E12" t = "e"><v>#DIV/0!</v></c>'), results, named)
    yield Edge("a cell given twice", with_cell('<c r="E12"><v>88.4</v></c><c r="E12"><v>70</v></c>'), results, named)
    yield Edge(
        "a row given twice",
        with_cell('<c r="E12"><v>88.4</v></c></row><row r="12"><c r="E12"><v>70</v></c>'), results, named,
    )  # fmt: skip
    texts = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>88.4</t></si></sst>'
    for number in (-1, 7):
        shared = with_cell(f'<c r="E12" t="s"><v>{number}</v></c>', extra={"xl/sharedStrings.xml": texts})
        yield Edge(f"shared string {number}", shared, results, named)
    relations, unusual = "xl/_rels/workbook.xml.rels", ("../xl/worksheets/sheet1.xml", "./worksheets/sheet1.xml")
    for target in (*unusual, "WORKSHEETS/sheet1.XML"):
        yield Edge(f"a target {target}", replaced(relations, "worksheets/sheet1.xml", target), results, read)
    for there in ("A1:ZZZZZZZ9", "nonsense"):
        odd = replaced(PART, "<sheetData>", f'<dimension ref="{there}"/><sheetData>')
        yield Edge(f"a dimension {there}", odd, results, read)
    wide = rewritten(
        lambda name, part: (name, part.decode().replace("UTF-8", "UTF-16").encode("utf-16") if name == PART else part)
    )
    yield Edge("a part in UTF-16", wide, results, read)
    bad = ods_row(
        ods_text("X"), ods_text("Grey"), ods_text("F1"), ods_number(100), ods_number(88.4).replace('"88.4"', '"8_8.4"')
    )
    yield Edge(
        "office:value 8_8.4",
        ods(ods_bars(ods_bar("A1"), bad)),
        results_of("m.ods"),
        lambda _, e: e.broke or "X" in e.shrinkages or "8_8.4" not in e.out,
    )
    drawing = (
        '<table:table-cell office:value-type="string"><draw:g xmlns:draw="d"><text:p>drawn</text:p></draw:g>'
        "<text:p>X</text:p></table:table-cell>"
    )
    drawn = ods_row(drawing, ods_text("Grey"), ods_text("F1"), ods_number(100), ods_number(88.4))
    yield Edge("a drawing's text joined to a code", ods(ods_bars(drawn)), results_of("m.ods"),
               lambda _, e: e.broke or [bar["bar"] for bar in json.loads(e.out)["bars"]] != ["X"])  # fmt: skip


def names_and_reports() -> Iterator[Edge]:
    nasty = CSV.replace("Grey", NASTY)
    for words in (
        ("check", "m.csv"),
        ("timeline", "m.csv"),
        ("size", "200mm", "--from", "m.csv"),
        ("compare", "m.csv"),
    ):
        yield Edge(f"escape sequences in {words[0]}", lambda f: csv(f, nasty), words, steered)
    yield Edge(
        "a file name that is no UTF-8",
        lambda f: (f / os.fsdecode(b"m\xff.csv")).write_text(CSV),
        ("check", b"m\xff.csv"),
        broke,
    )
    yield Edge("size 1e308mm", csv, ("size", "1e308mm", "--from", "m.csv"), broke)
    yield Edge(
        "a cell of 1 MB in a list of parts", lambda f: (csv(f), csv(f, f"part,size\njar,{'2' * 1_000_000}\n", "p.csv")),
        ("size", "--parts", "p.csv", "--from", "m.csv"), broke,
    )  # fmt: skip
    yield Edge(
        "check --marked with a note of 140 KB",
        lambda f: csv(f, CSV.replace("88.1,", "x,").replace("fired length (mm)", f"fired length (mm),{'n' * 140_000}")),
        ("check", "m.csv", "--marked", "marked.xlsx"), broke,
    )  # fmt: skip
    yield Edge(
        "names of 10 000 signs",
        lambda f: csv(f, CSV.replace("Grey", LONG)),
        ("check", "m.csv"),
        lambda _, e: e.broke or LONG in e.out,
    )
    dated = {"Bars": ROWS, "Firings": [["firing", "date"], ["F1", "2099-01-01"]]}
    yield Edge("a date after today unsaid", book(dated), CHECK, unsaid("2099-01-01"))
    past = {"Bars": ROWS, "Firings": [["firing", "date"], ["F1", "2026-01-01"]]}
    yield Edge(
        "a report dated before its firings",
        book(past),
        ("report", "m.xlsx", "--out", "o", "--date", "2020-01-01"),
        unsaid("2020-01-01", "2026-01-01"),
    )
