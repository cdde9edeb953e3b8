"""Makes one small sheet for each fault that can be in a sheet: ``python tests/broken_sheets/make.py``.

Every sheet is the same good one with one thing changed, so that whoever opens it sees the fault at once. All numbers
are invented. The sheets are committed; a test holds that this script still makes the same ones.
"""

import csv
import datetime
import io
import re
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl

from tests.grids.crafted import crafted_ods, ods_bar, ods_bars

HERE = Path(__file__).parent
HEADINGS = [
    "bar",
    "body",
    "batch",
    "firing",
    "direction",
    "mark",
    "wet length (mm)",
    "leather-hard length (mm)",
    "dry length (mm)",
    "fired length (mm)",
    "wet mass (g)",
    "dry mass (g)",
    "fired mass (g)",
    "cold-soaked mass (g)",
    "boiled mass (g)",
    "suspended mass (g)",
    "leave out",
    "notes",
]
Rows = list[list[Any]]


def _stated(heading: str, *figures: float) -> Rows:
    """Return bars of which a sheet states a percentage and holds no reading."""
    rows: Rows = [["bar", "clay", "cone", heading]]
    return [*rows, *([f"A{i}", "Marl Red", "04", figure] for i, figure in enumerate(figures, 1))]


def _stated_beside(*wrong: tuple[int, float]) -> Rows:
    """Return the good bars with a column of percentages of the sheet's own, some of them wrong."""
    rows = good_bars()
    places = [HEADINGS.index(f"{stage} length (mm)") for stage in ("wet", "fired")]
    stated = [f"{100 * (1 - row[places[1]] / row[places[0]]):.1f}" for row in rows[1:]]
    for row, figure in wrong:
        stated[row - 2] = str(figure)
    return [[*row, figure] for row, figure in zip(rows, ["total %", *stated], strict=True)]


def good_bars(count: int = 10) -> Rows:
    """Return headings and bars without any fault; the small differences are written out, not random."""
    rows: Rows = [list(HEADINGS)]
    for i in range(count):
        step = (0, 3, -2, 1, -3, 2, -1, 4, -4, 5)[i % 10]
        wet, dry = 100.0 + 0.1 * step, 94.2 + 0.1 * (step // 2)
        fired = 60.1 + 0.13 * step
        lengths = [wet, dry + 1.9 - 0.1 * (i % 2), dry, 88.3 + 0.1 * (step % 4)]
        masses = [fired * 1.32 + 0.05 * (i % 3), fired * 1.071 + 0.02 * (i % 2), fired]
        soaked = [
            fired * (1.021 + 0.0003 * (i % 3)),
            fired * (1.031 + 0.0004 * (i % 4)),
            fired * 0.585 + 0.01 * (i % 3),
        ]
        numbers = [round(v, 1) for v in lengths] + [round(v, 2) for v in masses + soaked]
        rows.append([f"A{i + 1}", "Marl Red", "M1", "F1", "along", "", *numbers, "", ""])
    return rows


def changed(*changes: tuple[int, str, Any], rows: Rows | None = None) -> Rows:
    """Return the good rows with some cells changed: bar number (0 = headings), heading, new content."""
    rows = rows or good_bars()
    for bar, heading, content in changes:
        rows[bar][HEADINGS.index(heading)] = content
    return rows


def without(*headings: str, rows: Rows | None = None) -> Rows:
    """Return the good rows without some columns."""
    rows = rows or good_bars()
    places = [i for i, h in enumerate(rows[0]) if h not in headings]
    return [[row[i] for i in places] for row in rows]


def text_of(rows: Rows, delimiter: str = ",") -> bytes:
    """Return rows as a text table."""
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return stream.getvalue().encode()


def workbook_of(tables: dict[str, Rows], shape: Callable[[Any], None] | None = None) -> bytes:
    """Return tables as a workbook; ``shape`` may still change it."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in tables.items():
        table = book.create_sheet(name)
        for row in rows:
            table.append([None if cell == "" else cell for cell in row])
    if shape is not None:
        shape(book)
    book.properties.created = book.properties.modified = datetime.datetime(2026, 1, 1)
    stream = io.BytesIO()
    book.save(stream)
    return _undated(stream.getvalue())


def _undated(content: bytes) -> bytes:
    """Return a workbook packed so that it is the same whenever it is made."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as packed, zipfile.ZipFile(stream, "w") as again:
        for name in packed.namelist():
            part = packed.read(name)
            if name == "docProps/core.xml":
                part = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2026-01-01T00:00:00Z", part)
            info = zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0))
            again.writestr(info, part, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def rewritten(content: bytes, *changes: tuple[bytes, bytes]) -> bytes:
    """Return a workbook with texts of its XML replaced, as a program at fault may write them."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as packed, zipfile.ZipFile(stream, "w") as again:
        for name in packed.namelist():
            part = packed.read(name)
            for old, new in changes:
                part = part.replace(old, new)
            again.writestr(name, part)
    return _undated(stream.getvalue())


def _far_cells() -> bytes:
    """Return a workbook in which 300 blank rows below the bars hold a cell in the last column of all."""
    far = "".join(f'<row r="{row}"><c r="XFD{row}"><v>1</v></c></row>' for row in range(20, 320))
    bars = workbook_of({"Bars": good_bars()})
    return rewritten(bars, (b"</row></sheetData>", f"</row>{far}</sheetData>".encode()))


def _repeated_row() -> bytes:
    """Return an OpenDocument sheet whose last bar is repeated to the end of the sheet."""
    again = ' table:number-rows-repeated="1048574"'
    return _undated(crafted_ods(ods_bars(ods_bar("A1"), ods_bar("A2").replace("-row>", f"-row{again}>", 1))))


def _dated(*changes: tuple[int, str, str]) -> Rows:
    """Return the good bars with the days on which they were measured, some of them changed."""
    days = {"wet date": "2026-01-12", "dry date": "19.1.2026", "fired date": "4 Feb 2026", "boiled date": "2026-02-06"}
    rows = [[*row, *(days if row[0] == "bar" else days.values())] for row in good_bars()]
    for row, heading, day in changes:
        rows[row - 1][rows[0].index(heading)] = day
    return rows


FIRINGS: Rows = [
    ["firing", "date", "kiln", "purpose", "cone", "set temperature (°C)", "peak temperature (°C)", "hold (min)"],
    ["F1", "2026-02-03", "small electric", "final", "6", 1222, 1221, 15],
]
LAB: Rows = [
    ["name", "value"],
    ["workshop", "Invented workshop"],
    ["absorption method", "boil 5 h and soak 24 h"],
    ["water temperature (°C)", 20],
    ["length reading step (mm)", 0.1],
    ["mass reading step (g)", 0.01],
    ["absorption limit (%)", 3],
    ["shrinkage tolerance (%)", 0.4],
    ["confidence (%)", 95],
]
PIECES: Rows = [
    ["piece", "body", "firing", "dimension", "wet size (mm)", "fired size (mm)"],
    ["P1", "Marl Red", "F1", "height", 120.0, 106.0],
]


def book_with(**tables: Rows) -> bytes:
    """Return a good workbook with some tables put in the place of its own."""
    return workbook_of({"Bars": good_bars(), "Firings": FIRINGS, "Lab": LAB, "Pieces": PIECES} | tables)


def edited(table: Rows, row: int, column: int, content: Any) -> Rows:
    """Return a table with one cell changed."""
    rows = [list(r) for r in table]
    rows[row][column] = content
    return rows


def _shaped(shape: Callable[[Any], None]) -> bytes:
    return workbook_of({"Bars": good_bars(), "Firings": FIRINGS, "Lab": LAB}, shape)


def _hide_rows(book: Any) -> None:
    for row in (4, 5, 9):
        book["Bars"].row_dimensions[row].hidden = True


def _hide_column(book: Any) -> None:
    book["Bars"].column_dimensions["J"].hidden = True


def _hide_table(book: Any) -> None:
    book["Firings"].sheet_state = "hidden"


def _merge_reading(book: Any) -> None:
    book["Bars"]["K4"] = book["Bars"]["K5"] = None
    book["Bars"].merge_cells("K3:K5")


def _swapped(bar: int, first: str, second: str) -> Rows:
    rows = good_bars()
    here, there = HEADINGS.index(first), HEADINGS.index(second)
    rows[bar][here], rows[bar][there] = rows[bar][there], rows[bar][here]
    return rows


def _renamed(heading: str, name: str) -> Rows:
    return changed((0, heading, name))


def _scaled(heading: str, factor: float) -> Rows:
    rows, place = good_bars(), HEADINGS.index(heading)
    for row in rows[1:]:
        row[place] = round(row[place] * factor, 6)
    return rows


def _lengths_in_cm() -> Rows:
    first, *bars = good_bars()
    return [first, *([*bar[:6], *(round(length / 10, 2) for length in bar[6:10]), *bar[10:]] for bar in bars)]


def _too_dense() -> Rows:
    """Return bars that are as heavy as no clay is, and agree with each other."""
    rows = good_bars()
    for row in rows[1:]:
        fired = row[HEADINGS.index("fired mass (g)")]
        suspended = fired * (1 - 1 / 10.2)
        row[HEADINGS.index("suspended mass (g)")] = round(suspended, 2)
        row[HEADINGS.index("cold-soaked mass (g)")] = ""
        row[HEADINGS.index("boiled mass (g)")] = round(suspended + 0.9982 * fired / 6.7, 2)
    return rows


def _broken_bars(*changes: tuple[int, str, Any]) -> Rows:
    """Return bars that were broken in the middle of a span, all in the same state."""
    rows = [row[:6] + row[6:10] + row[-2:] for row in good_bars(6)]
    rows[0] += ["breaking load (N)", "span (mm)", "bar width (mm)", "bar thickness (mm)", "bar diameter (mm)", "broken"]
    for number, row in enumerate(rows[1:]):
        row += [412 + 7 * (number % 3), 70, 24.8, 11.9, "", "fired"]
    for row, heading, value in changes:
        rows[row][rows[0].index(heading)] = value
    return rows


def _all_alike(heading: str, content: float) -> Rows:
    return changed(*((bar, heading, content) for bar in range(1, 11)))


def _with_firing_columns() -> Rows:
    rows = [[*row, 1221, "6", "oxidation"] for row in good_bars()]
    rows[0][-3:] = ["peak temperature (°C)", "cone", "atmosphere"]
    rows[4][-3] = 1180
    return rows


def _mark_without_code() -> Rows:
    rows = good_bars()
    rows[1][HEADINGS.index("mark")] = "1"
    second = [""] * len(HEADINGS)
    second[HEADINGS.index("mark")] = "2"
    for heading, content in (("wet length (mm)", 99.8), ("dry length (mm)", 94.0), ("fired length (mm)", 88.2)):
        second[HEADINGS.index(heading)] = content
    return [*rows[:2], second, *rows[2:]]


def _mark_in_another_direction() -> Rows:
    rows = _mark_without_code()
    rows[2][0], rows[2][HEADINGS.index("direction")] = "A1", "across"
    return rows


def _dense() -> Rows:
    """Return bars that soak up almost nothing; the third one lost a hundredth of a gram in boiling."""
    rows = good_bars()
    for bar, row in enumerate(rows[1:], start=1):
        fired = row[HEADINGS.index("fired mass (g)")]
        row[HEADINGS.index("cold-soaked mass (g)")] = fired
        row[HEADINGS.index("boiled mass (g)")] = round(fired + (-0.01 if bar == 3 else 0.01 * (bar % 3)), 2)
    return rows


def _blocks() -> Rows:
    first, second = without("notes")[:6], without("leave out")
    return [*first, second[0], *second[6:]]


def _summary() -> Rows:
    return [*good_bars(), ["mean", "", "", "", "", "", 100.0, 95.8, 94.2, 88.4]]


def _mass_as_length() -> Rows:
    return changed((3, "dry length (mm)", "64.4 g"))


def _with_column(heading: str, content: Any) -> Rows:
    """Return the firings with one more column."""
    return [[*FIRINGS[0], heading], *([*row, content] for row in FIRINGS[1:])]


def _broken_specs() -> Iterator[tuple[str, Rows]]:
    """Yield a name and a table of limits for each fault that can be in one."""
    good = ["Marl Red", "final", "absorption", None, 15, "mean", None]
    for name, place, cell in (
        ("incomplete", 4, None),
        ("window-empty", 3, 16),
        ("quantity-unknown", 2, "absorbtion"),
        ("share-idle", 6, 90),
        ("body-absent", 0, "Marl Rad"),
    ):
        yield name, [SPEC_HEADINGS, [*good[:place], cell, *good[place + 1 :]]]
    yield "share-impossible", [SPEC_HEADINGS, [*good[:5], "share of bars", 0]]
    yield "twice", [SPEC_HEADINGS, good, [*good[:4], 12, *good[5:]]]


SPEC_HEADINGS = ["body", "purpose", "quantity", "lowest", "highest", "applies to", "share (%)"]


def _two_loads(first: str = "", second: str = "") -> Rows:
    """Return two loads alike but for their codes and days, with their programmes."""
    loads = [FIRINGS[0], FIRINGS[1], ["F2", "2026-02-10", *FIRINGS[1][2:]]]
    return [[*row, name] for row, name in zip(loads, ("programme", first, second), strict=True)]


def _thousands() -> Rows:
    """Return bars whose masses are all above a kilogram and typed with commas."""
    first, *bars = good_bars()
    return [first, *([*bar[:10], *(f"{mass * 40:,.0f}" for mass in bar[10:16]), *bar[16:]] for bar in bars)]


SHEETS: dict[str, bytes] = {
    "file-empty.csv": b"",
    "file-damaged.xlsx": book_with()[:3000],
    "file-protected.xlsx": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"EncryptedPackage".ljust(504, b"\0"),
    "old-excel-file.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"Workbook".ljust(504, b"\0"),
    "not-a-spreadsheet.pdf": b"%PDF-1.4\n% an invented report, no sheet\n",
    "encoding-guessed.csv": text_of(changed((1, "notes", "schön"))).decode().encode("latin-1"),
    "results-misnamed.txt": b'{\n "format": "bodytest results",\n "version": 1,\n "sheets": []\n}\n',
    "results-not-readings.csv": b"body,firing,batch,bars,quantity,unit,n,mean,standard_uncertainty,degrees_of_freedom\n"
    b"Invented Grey,F1,,5,total_shrinkage,%,5,12.1,0.045,4\n",
    "no-bars-sheet.xlsx": workbook_of({"Firings": FIRINGS, "Lab": LAB}),
    "no-bars-sheet-measured.xlsx": workbook_of(
        {"Spring": [["clay", "cone", "Dx (mm)", "Ex (mm)"], ["Invented Red", 6, 100.2, 99.8]]}
    ),
    "wet-length-above.csv": text_of(
        [
            ["Lines 100 mm apart"],
            ["bar", "clay", "cone", "dry length (mm)", "fired length (mm)"],
            *([f"R{n}", "Invented Red", 6, 94.1, 88.2] for n in range(1, 11)),
        ]
    ),
    "cone-too-hot-for-bars.csv": text_of(
        [
            ["bar", "clay", "cone", "dry length (mm)", "fired length (mm)"],
            *([f"R{n}", "Invented Red", 6, 94 + n / 10, 92.6 + n / 10] for n in range(1, 11)),
        ]
    ),
    "codes-split-bars.csv": text_of(
        [
            ["bar", "wet length (mm)", "fired length (mm)"],
            *([f"{body}-6-{n}", 100 + n / 10, 88.1] for body in ("RED", "GREY") for n in range(1, 6)),
        ]
    ),
    "wet-length-told.csv": text_of(
        [
            ["Lines 100 mm apart on the wet bars"],
            ["bar", "clay", "cone", "dry length (mm)", "fired length (mm)"],
            *([f"R{n}", "Invented Red", 6, 94.1, 88.2] for n in range(1, 11)),
        ]
    ),
    "averages-of-bars.csv": text_of(
        [
            ["bar", "clay", "cone", "wet length (mm)", "fired length (mm)"],
            *([f"R{n}", "Invented Red", 6, 100 + n / 10, 88 + n / 10] for n in range(1, 11)),
            ["all", "Invented Red", 6, 100.55, 88.55],
        ]
    ),
    "bars-sheet-by-headings.xlsx": workbook_of({"Trial in spring": good_bars()}),
    "no-headings.csv": text_of(good_bars()[1:]),
    "no-reading-columns.csv": text_of([row[:5] for row in good_bars()]),
    "no-usable-rows.csv": text_of(good_bars()[:1]),
    "heading-missing.csv": text_of(without("body")),
    "heading-unknown.csv": text_of(_renamed("notes", "colour after firing")),
    "heading-in-doubt.csv": text_of(_renamed("fired length (mm)", "green length (mm)")),
    "heading-misspelt.csv": text_of(_renamed("fired length (mm)", "fried lenght (mm)")),
    "heading-twice.csv": text_of(_renamed("leather-hard length (mm)", "dried length (mm)")),
    "headings-change.csv": text_of(_blocks()),
    "column-without-heading.csv": text_of(changed((0, "fired length (mm)", ""))),
    "second-bars-table.xlsx": workbook_of({"Bars": good_bars(), "More bars": good_bars()}),
    "table-not-read.xlsx": workbook_of({"Bars": good_bars(), "Labb": LAB}),
    "second-table-read.xlsx": workbook_of({"Bars": good_bars(6), "B ars": [HEADINGS, *good_bars()[7:]]}),
    "cell-not-read.xlsx": book_with(Lab=[*(row[:2] for row in LAB[:6]), ["absorption limit (%)", "", 3]]),
    "rows-above-headings.csv": text_of([*good_bars()[8:], *good_bars()]),
    "unit-missing.csv": text_of(_renamed("fired length (mm)", "fired length")),
    "unit-unknown.csv": text_of(_renamed("fired length (mm)", "fired length (lines)")),
    "not-a-number.csv": text_of(changed((3, "dry length (mm)", "about 94"))),
    "date-for-number.xlsx": book_with(Bars=changed((3, "dry length (mm)", datetime.date(2026, 5, 12)))),
    "zero-or-negative.csv": text_of(changed((3, "fired mass (g)", 0), (4, "dry mass (g)", -64.1))),
    "error-cell.xlsx": book_with(Bars=changed((3, "fired mass (g)", "#DIV/0!"))),
    "cell-unreadable.xlsx": rewritten(
        book_with(), (b'<c r="M4" t="n"><v>', b'<c r="M4" t="n"><v>6_')
    ),
    "cell-outside.xlsx": rewritten(book_with(), (b'<c r="M4" ', b'<c r="ZZZZZZZZ4" ')),
    "cell-far-out.xlsx": _far_cells(),
    "cell-repeated.ods": _repeated_row(),
    "formula-not-calculated.xlsx": book_with(Bars=changed((3, "fired mass (g)", "=60.1+0.2"))),
    "unit-of-another-kind.csv": text_of(_mass_as_length()),
    "no-reading.csv": text_of(changed((3, "fired mass (g)", "n/a"), (4, "fired mass (g)", "-"))),
    "reading-in-doubt.csv": text_of(changed((3, "fired mass (g)", "?"))),
    "number-in-doubt.csv": text_of(changed((3, "fired mass (g)", "59.84?"))),
    "comma-in-doubt.csv": text_of(_thousands()),
    "quote-stray.csv": text_of(good_bars()).replace(b"A3,Marl", b'"A3,"Marl'),
    "quote-never-closed.csv": text_of(good_bars()).replace(b"A9,Marl", b'A9,"Marl'),
    "row-short.csv": text_of([row if row[0] != "A3" else [*row[:5], *row[6:]] for row in good_bars()]),
    "reading-merged.xlsx": _shaped(_merge_reading),
    "date-unclear.xlsx": book_with(Firings=edited(FIRINGS, 1, 1, "3/4/2026")),
    "date-unclear-of-bars.csv": text_of(_dated(*((row, "fired date", "4/2/2026") for row in range(2, 12)))),
    "date-after-today-of-a-bar.csv": text_of(_dated((6, "boiled date", "2926-02-06"))),
    "dates-out-of-order.xlsx": book_with(
        Bars=_dated((3, "dry date", "2026-01-09"), (5, "wet date", "2026-02-12"), (6, "wet date", "2026-02-12"))
    ),
    "dates-out-of-order-with-the-firing.xlsx": book_with(
        Bars=_dated((4, "fired date", "2026-02-02"), *((row, "dry date", "2026-02-04") for row in (7, 8, 9)))
    ),
    "date-after-today.xlsx": book_with(Firings=edited(FIRINGS, 1, 1, "2962-02-03")),
    "choice-unknown.xlsx": book_with(Lab=edited(LAB, 2, 1, "boiled for a while")),
    "cone-unknown.xlsx": book_with(Firings=edited(FIRINGS, 1, 4, "six or so")),
    "cone-of-another-series.xlsx": book_with(Firings=edited(FIRINGS, 1, 4, "SK 6a")),
    "cone-clue.xlsx": book_with(Firings=edited(FIRINGS, 1, 4, "6 bent, 7 standing")),
    "firing-by-cone.xlsx": book_with(Bars=changed(*((bar, "firing", "c6") for bar in range(1, 11)))),
    "heating-rate-odd.xlsx": book_with(
        Firings=[[*row, extra] for row, extra in zip(FIRINGS, ("heating rate (°C/h)", 1200), strict=True)]
    ),
    "lab-date-unclear.xlsx": book_with(
        Lab=[*LAB, ["balance certificate date", "in spring"], ["boiled on", "3.2.2026; soon"]]
    ),
    "lab-date-after-today.xlsx": book_with(Lab=[*LAB, ["length instrument certificate date", "2226-01-31"]]),
    "lab-value-odd-for-oven.xlsx": book_with(Lab=[*LAB, ["oven temperature (°C)", 60]]),
    "cone-without-zero.xlsx": book_with(Firings=edited(edited(edited(FIRINGS, 1, 4, 6), 1, 5, ""), 1, 6, "")),
    "cone-far-from-temperature.xlsx": book_with(
        Firings=edited(edited(edited(FIRINGS, 1, 4, 6), 1, 5, 998), 1, 6, 1000)
    ),
    "temperature-odd.xlsx": book_with(Firings=edited(edited(FIRINGS, 1, 6, 2232), 1, 4, "")),
    "firing-without-code.xlsx": book_with(Firings=[*FIRINGS, ["", "2026-02-10", "small electric"]]),
    "firing-twice.xlsx": book_with(Firings=[*FIRINGS, ["F1", "2026-02-10", "small electric", "final", "7"]]),
    "firing-unknown.xlsx": book_with(Bars=changed((3, "firing", "F7"))),
    "firing-contradicts-1.xlsx": book_with(),
    "firing-contradicts-2.xlsx": book_with(
        Bars=[HEADINGS, *(["B" + r[0][1:], *r[1:]] for r in good_bars()[1:])],
        Firings=edited(edited(edited(FIRINGS, 1, 4, "7"), 1, 5, 1240), 1, 6, 1239),
    ),
    "copies-contradict-1.xlsx": book_with(Bars=without("boiled mass (g)")),
    "copies-contradict-2.xlsx": book_with(
        Bars=changed((3, "dry length (mm)", 93.1), (5, "direction", "across"), rows=good_bars(11)),
        Pieces=edited(PIECES, 1, PIECES[0].index("fired size (mm)"), 87),
    ),
    "joined-by-name-1.csv": text_of(without("fired length (mm)", "fired mass (g)", "boiled mass (g)")),
    "joined-by-name-2.csv": text_of([[row[i] for i in (0, 1, 9, 12, 14)] for row in good_bars()]),
    "typed-for-another.csv": text_of([["Readings typed for trial.xlsx"], *([row[0], row[9]] for row in good_bars())]),
    "firing-told-differently.csv": text_of(_with_firing_columns()),
    "temperature-exact.xlsx": book_with(Firings=_with_column("temperature ± (°C)", 0)),
    "programme-spelled-twice.xlsx": book_with(Firings=_two_loads(first="Stoneware 6", second="stoneware6")),
    "programme-loads-differ.xlsx": book_with(
        Firings=edited(_two_loads(first="Stoneware 6", second="Stoneware 6"), 2, 4, "7")
    ),
    "programme-unknown.xlsx": book_with(
        Firings=[[*row[:4], "", "", *row[6:]] if place else row for place, row in enumerate(_two_loads())]
    ),
    "control-body-absent.xlsx": book_with(Lab=[*LAB, ["control body", "Chalk White"]]),
    **{f"spec-{name}.xlsx": book_with(Specs=specs) for name, specs in _broken_specs()},
    "scatter-from-how-many.xlsx": book_with(Lab=[*LAB, ["scatter between loads (points)", 0.2]]),
    "firing-told-differently-beside-list.xlsx": book_with(
        Bars=[[*row, "cone" if row[0] == "bar" else "7"] for row in good_bars()]
    ),
    "lab-name-unknown.xlsx": book_with(Lab=edited(LAB, 6, 0, "absorbtion limitt (%)")),
    "lab-name-twice.xlsx": book_with(Lab=[*LAB, ["confidence (%)", 90]]),
    "lab-value-odd.xlsx": book_with(Lab=edited(LAB, 6, 1, 0.03)),
    "lab-value-impossible.xlsx": book_with(Lab=edited(LAB, 3, 1, 98)),
    "summary-row.csv": text_of(_summary()),
    "remark-on-bars.csv": text_of(
        [
            ["bar", "clay", "cone", "wet mm", "fired mm"],
            *([f"T{k}", "Marl Red", "04", 100, round(91.2 + k / 10, 1)] for k in range(1, 5)),
            [],
            ["T3 and T4: measured with the old ruler"],
        ]
    ),
    "row-without-readings.csv": text_of([*good_bars(), ["All bars by the same hand"]]),
    "bar-without-code.csv": text_of(changed((3, "bar", ""))),
    "bar-taken-from-above.csv": text_of(_mark_without_code()),
    "bar-twice.csv": text_of([*good_bars(), good_bars()[3]]),
    "bar-contradicts.csv": text_of([*good_bars(), [*good_bars()[3][:6], 99.1, *[""] * 11]]),
    "bar-told-differently.csv": text_of(_mark_in_another_direction()),
    "code-for-several-bars.csv": text_of(
        changed(*(change for b in range(6, 11) for change in ((b, "bar", f"A{b - 5}"), (b, "body", "Drift Buff"))))
    ),
    "name-missing.csv": text_of(changed((3, "body", ""), (4, "firing", ""))),
    "name-in-two-spellings.csv": text_of(changed((3, "body", "marl red"))),
    "name-near-another.csv": text_of(changed((3, "body", "Mar Red"))),
    "rows-hidden.xlsx": _shaped(_hide_rows),
    "column-hidden.xlsx": _shaped(_hide_column),
    "table-hidden.xlsx": _shaped(_hide_table),
    "piece-grew.xlsx": book_with(Pieces=edited(PIECES, 1, 5, 126.0)),
    "dry-longer-than-wet.csv": text_of(changed((3, "dry length (mm)", 941))),
    "dry-longer-than-wet-swapped.csv": text_of(_swapped(3, "wet length (mm)", "dry length (mm)")),
    "dry-longer-than-wet-alone.csv": text_of(
        without("leather-hard length (mm)", rows=changed((1, "dry length (mm)", 106.0)))[:2]
    ),
    "leather-hard-longer-than-wet.csv": text_of(changed((3, "leather-hard length (mm)", 108.9))),
    "dry-longer-than-leather-hard.csv": text_of(_swapped(3, "leather-hard length (mm)", "dry length (mm)")),
    "dry-heavier-than-wet.csv": text_of(_swapped(3, "wet mass (g)", "dry mass (g)")),
    "fired-heavier-than-dry.csv": text_of(changed((3, "fired mass (g)", 95.84))),
    "cold-soaked-below-fired.csv": text_of(changed((3, "cold-soaked mass (g)", 16.11))),
    "boiled-below-fired.csv": text_of(_swapped(3, "fired mass (g)", "boiled mass (g)")),
    "suspended-not-below-fired.csv": text_of(changed((3, "suspended mass (g)", 95.02))),
    "suspended-not-below-fired-alone.csv": text_of(changed((1, "suspended mass (g)", 65.02))[:2]),
    "within-reading-uncertainty.xlsx": book_with(Bars=_dense()),
    "beyond-clay.csv": text_of(changed((3, "fired length (mm)", 68.3))),
    "slip-confirmed.csv": text_of(changed((4, "dry length (mm)", 9.42), (7, "wet mass (g)", 97.23))),
    "slip-confirmed-in-the-wrong-cell.csv": text_of(
        changed((3, "cold-soaked mass (g)", good_bars()[3][14]), (3, "boiled mass (g)", good_bars()[3][13]))
    ),
    "mass-and-length-apart.csv": text_of(
        [row if n != 6 else [*row[:10], *(round(v * 1.6, 2) for v in row[10:16]), *row[16:]]
         for n, row in enumerate(good_bars())]
    ),
    "far-from-neighbours.csv": text_of(changed((3, "fired length (mm)", 84.9))),
    "beyond-clay-in-density.csv": text_of(_too_dense()),
    "impossible-value.csv": text_of(changed((3, "fired mass (g)", 6.05), (3, "suspended mass (g)", 3.5))),
    "impossible-value-of-span.csv": text_of(_broken_bars((3, "span (mm)", 90))),
    "test-not-as-usual.csv": text_of(_broken_bars((3, "bar thickness (mm)", 19.9))),
    "choice-missing.csv": text_of(_broken_bars((3, "broken", ""))),
    "choice-unknown-for-broken.csv": text_of(_broken_bars((3, "broken", "wet"))),
    "tested-before-it-was-read.csv": text_of(_broken_bars((3, "broken", "Dry"))),
    "two-formulas.csv": text_of(_broken_bars((3, "bar diameter (mm)", 12.7))),
    "column-of-another-magnitude.csv": text_of(_scaled("wet mass (g)", 1000)),
    "size-and-mass-do-not-match.csv": text_of(_lengths_in_cm()),
    "not-the-size-of-a-bar.csv": text_of([HEADINGS[:7], ["A1", "Marl Red", "M1", "F1", "along", "", 100000]]),
    "taken-as-stated.csv": text_of(_stated("total shrinkage %", 11.4, 11.3, 10.9)),
    "stated-beyond-clay.csv": text_of(_stated("total shrinkage %", 11.4, 11.3, 26)),
    "stated-impossible.csv": text_of(_stated("total shrinkage %", 11.4, 11.3, 113)),
    "stated-differs.csv": text_of(_stated_beside((4, 21.7))),
    "stated-differs-often.csv": text_of(_stated_beside((3, 9.1), (4, 9.2), (5, 9.3), (6, 9.4))),
    "readings-all-alike.csv": text_of(_all_alike("fired length (mm)", 88.5)),
    "left-out-from-stage.csv": text_of(changed((3, "leave out", "fired: cracked"), rows=good_bars(11))),
    "left-out-stage-unknown.csv": text_of(changed((3, "leave out", "glazed: ran"), rows=good_bars(11))),
    "left-out-without-reason.csv": text_of(changed((3, "leave out", "x"), rows=good_bars(11))),
    "still-to-come.csv": text_of(changed((3, "boiled mass (g)", ""), (3, "suspended mass (g)", ""))),
    "few-bars-for-shrinkage.csv": text_of(good_bars()[:4]),
    "forming-differs.csv": text_of(
        [[*row, way] for row, way in zip(good_bars(), ["forming", *["plastic", "pressed"] * 5], strict=True)]
    ),
}  # fmt: skip
"""File name → bytes; the name begins with the code that the sheet triggers."""


def parts(content: bytes) -> dict[str, bytes]:
    """Return the unpacked parts of a workbook: packing may differ from machine to machine."""
    if not zipfile.is_zipfile(io.BytesIO(content)):
        return {"": content[:40] if content.startswith(b"PK") else content}
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: _canonical(archive.read(name)) for name in archive.namelist()}


def _canonical(part: bytes) -> bytes:
    """Return XML in canonical form: openpyxl spells it differently where lxml is installed."""
    try:
        return ElementTree.canonicalize(part.decode("utf-8")).encode("utf-8")
    except (ElementTree.ParseError, UnicodeDecodeError):
        return part


def main() -> None:
    """Write every sheet whose content changed."""
    for name, content in SHEETS.items():
        path = HERE / name
        if not path.exists() or parts(path.read_bytes()) != parts(content):
            path.write_bytes(content)


if __name__ == "__main__":
    main()
