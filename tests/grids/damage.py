"""Sheets of invented bars, ways to damage them, and the accounts that must balance after reading.

Whoever calls says how to choose (``choose(n)`` gives a number below n), so that the same damage serves hypothesis and
the benchmark. The accounts are kept without the program's own reading: what was written into the file is compared with
the tables and findings that came out.
"""

import csv
import io
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import openpyxl

from bodytest.findings import Finding
from bodytest.reading import read_sheets
from bodytest.tables import CheckedSheets

Choose = Callable[[int], int]
Rows = list[list[str]]
TEXTS = ("bar", "body", "batch", "firing", "direction", "mark", "leave out", "notes")
READINGS = {
    "wet length": 100.0,
    "leather-hard length": 96.0,
    "dry length": 94.0,
    "bisque length": 93.0,
    "fired length": 88.0,
    "wet mass": 80.0,
    "dry mass": 64.0,
    "fired mass": 60.0,
    "cold-soaked mass": 61.3,
    "boiled mass": 61.9,
    "suspended mass": 35.0,
}
COLUMNS = {r: r.replace(" ", "_").replace("-", "_") + ("_mm" if "length" in r else "_g") for r in READINGS}
UNITS = {"length": {"mm": 1.0, "cm": 10.0, "in": 25.4}, "mass": {"g": 1.0, "kg": 1000.0, "oz": 28.349523125}}
JUNK = (
    *("about 90", "n/a", "-", "?", "88.1?", "#DIV/0!", "0", "-5", "1e3", "12,5", "12,5 mm", "61 g", "3 lb", "TRUE"),
    *("=A1", "nan", "inf", "1.234,5", "2026-05-03", " 88.2 ", "88.2.1", "x" * 70, "<b>88</b>", "1" * 30, "½", "９９"),
    *("wet length (mm)", "mean", "\t", '"', "88;2", "٨٨", "1_000", "0x10", "1e400", "1e-300", "Marl Red"),
)
OTHER_HEADINGS = ("", "x", "wet lenght (mm)", "7", "bar", "dry length (mm)", "fired mass (st)", "absorption (%)")
ADDED_UNITS = (" mm", "mm", " cm", " in", " g", "g", " kg", " oz", " lbs", " °C", " gr", "%")
OF_THE_WHOLE = frozenset({"no-headings", "no-reading-columns", "no-bars-sheet", "file-damaged", "not-a-spreadsheet"})
WHOLE_ROW, REPEATED = -1, -2
"""In the place of a column: a finding speaks of the whole row, or calls it another row of one bar."""
_ADDRESS = re.compile(r"\b([A-Z]{1,2})(\d+)\b")


@dataclass
class Sheet:
    """A sheet as it will be written: headings in the first row unless damage moved them."""

    rows: Rows
    """Cells as typed."""
    units: dict[str, str]
    """Unit of each reading column as its heading says."""


def sound_sheet(choose: Choose) -> Sheet:
    """Return a sheet of invented bars without damage."""
    texts = ["bar", "body", "firing", *(t for t in TEXTS if t not in ("bar", "body", "firing") and choose(2))]
    readings = [r for r in READINGS if choose(3)] or ["wet length"]
    units = {r: _pick(choose, list(UNITS[r.split()[-1]])) if not choose(4) else _usual(r) for r in readings}
    headings = texts + readings
    for i in range(len(headings) - 1, 0, -1):
        j = choose(i + 1)
        headings[i], headings[j] = headings[j], headings[i]
    marks = 1 + choose(3) if "mark" in headings else 1
    rows = [[f"{h} ({units[h]})" if h in units else h for h in headings]]
    places = [(bar, mark) for bar in range(1 + choose(12)) for mark in range(marks)]
    rows += [[_sound_cell(h, bar, mark, units, choose) for h in headings] for bar, mark in places]
    return Sheet(rows, units)


def _usual(reading: str) -> str:
    return "mm" if reading.endswith("length") else "g"


def _pick(choose: Choose, of: list[str]) -> str:
    return of[choose(len(of))]


def _sound_cell(heading: str, bar: int, mark: int, units: dict[str, str], choose: Choose) -> str:
    if heading in READINGS:
        if not choose(8) or (mark and heading.endswith("mass")):
            return ""
        factor = UNITS[heading.rsplit(maxsplit=1)[-1]][units[heading]]
        return f"{READINGS[heading] * (1 + choose(41) / 2000 - 0.01) / factor:.{4 if factor > 1 else 1 + choose(2)}f}"
    return {
        "bar": f"A{bar}",
        "body": ("Marl Red", "Drift Buff")[bar % 2],
        "firing": f"F{bar % 3}",
        "mark": str(mark + 1),
    }.get(heading, "")


def damage(sheet: Sheet, choose: Choose) -> str:
    """Damage the sheet in one way and return that way's name."""
    name = _pick(choose, list(DAMAGES))
    DAMAGES[name](sheet, choose)
    return name


def _place(sheet: Sheet, choose: Choose, first: int = 1) -> tuple[int, int]:
    row = first + choose(max(len(sheet.rows) - first, 1))
    row = min(row, len(sheet.rows) - 1)
    return row, choose(max(len(sheet.rows[row]), 1))


def _retype(sheet: Sheet, choose: Choose) -> None:
    row, column = _place(sheet, choose)
    if column < len(sheet.rows[row]):
        sheet.rows[row][column] = _pick(choose, list(JUNK))


def _slip(sheet: Sheet, choose: Choose) -> None:
    row, column = _place(sheet, choose)
    text = sheet.rows[row][column] if column < len(sheet.rows[row]) else ""
    if text:
        at = choose(len(text))
        sheet.rows[row][column] = text[:at] + _pick(choose, list("0123456789.,-x ")) + text[at + choose(2) :]


def _swap_cells(sheet: Sheet, choose: Choose) -> None:
    (row, column), (other_row, other) = _place(sheet, choose), _place(sheet, choose)
    if column < len(sheet.rows[row]) and other < len(sheet.rows[other_row]):
        here, there = sheet.rows[row][column], sheet.rows[other_row][other]
        sheet.rows[row][column], sheet.rows[other_row][other] = there, here


def _shift_row(sheet: Sheet, choose: Choose) -> None:
    row, column = _place(sheet, choose)
    if choose(2):
        sheet.rows[row].insert(column, "")
    elif column < len(sheet.rows[row]):
        del sheet.rows[row][column]


def _shift_column(sheet: Sheet, choose: Choose) -> None:
    row, column = _place(sheet, choose)
    carried = ""
    for line in sheet.rows[row:]:
        if column < len(line):
            line[column], carried = carried, line[column]


def _drop_heading(sheet: Sheet, choose: Choose) -> None:
    column = choose(len(sheet.rows[0]) or 1)
    if column < len(sheet.rows[0]):
        sheet.rows[0][column] = _pick(
            choose, ["", "x", "wet lenght (mm)", "7", "bar", "dry length (mm)", "fired mass (st)"]
        )


def _garble_heading(sheet: Sheet, choose: Choose) -> None:
    if sheet.rows[0]:
        column = choose(len(sheet.rows[0]))
        text = sheet.rows[0][column]
        at = choose(len(text) + 1)
        sheet.rows[0][column] = text[:at] + _pick(choose, list("aeqz()[] ")) + text[at + choose(2) :]


def _mix_unit(sheet: Sheet, choose: Choose) -> None:
    row, column = _place(sheet, choose)
    if column < len(sheet.rows[row]) and sheet.rows[row][column]:
        sheet.rows[row][column] += _pick(
            choose, [" mm", "mm", " cm", " in", " g", "g", " kg", " oz", " lbs", " °C", " gr", "%"]
        )


def _repeat_row(sheet: Sheet, choose: Choose) -> None:
    row, _ = _place(sheet, choose, first=0)
    sheet.rows.insert(1 + choose(len(sheet.rows)), list(sheet.rows[row]))


def _drop_row(sheet: Sheet, choose: Choose) -> None:
    row, _ = _place(sheet, choose, first=0)
    del sheet.rows[row]
    if not sheet.rows:
        sheet.rows.append([])


def _add_rows(sheet: Sheet, choose: Choose) -> None:
    added = _pick(choose, ["", "Trial of spring", "mean", "total", "bar", "A0", "checked by Jo"])
    sheet.rows.insert(choose(len(sheet.rows) + 1), [added] if added else [])


def _drop_column(sheet: Sheet, choose: Choose) -> None:
    column = choose(len(sheet.rows[0]) or 1)
    for line in sheet.rows:
        del line[column : column + 1]


def _clear_column(sheet: Sheet, choose: Choose) -> None:
    column = choose(len(sheet.rows[0]) or 1)
    for line in sheet.rows[1:]:
        if column < len(line):
            line[column] = ""


DAMAGES: dict[str, Callable[[Sheet, Choose], None]] = {
    "a cell retyped": _retype,
    "a sign slipped": _slip,
    "two cells swapped": _swap_cells,
    "a row shifted": _shift_row,
    "a column shifted": _shift_column,
    "a heading dropped": _drop_heading,
    "a heading garbled": _garble_heading,
    "a unit mixed in": _mix_unit,
    "a row repeated": _repeat_row,
    "a row dropped": _drop_row,
    "rows added": _add_rows,
    "a column dropped": _drop_column,
    "a column cleared": _clear_column,
}


def write(sheet: Sheet, folder: Path, choose: Choose) -> Path:
    """Write the sheet as text or as a workbook and return its path."""
    if choose(5):
        path = folder / "damaged.csv"
        delimiter = ",;\t"[choose(3)]
        stream = io.StringIO()
        csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(sheet.rows)
        path.write_bytes(stream.getvalue().encode(("utf-8", "utf-8-sig", "utf-16")[choose(3)]))
        return path
    path = folder / "damaged.xlsx"
    book = openpyxl.Workbook()
    table = book.active
    table.title = "Bars"
    for row in sheet.rows:
        table.append([_typed(cell) for cell in row])
    book.save(path)
    return path


def _typed(cell: str) -> str | float | None:
    if cell == "" or not cell.isprintable():
        return None
    try:
        number = float(cell)
    except ValueError:
        return cell
    return number if math.isfinite(number) and "_" not in cell else cell


def check_accounts(sheet: Sheet, sheets: CheckedSheets) -> list[str]:
    """Return every cell that is neither in the tables nor spoken of by a finding."""
    spoken, whole = _spoken_of(sheets.findings)
    if whole:
        return []
    heading_row = _heading_row(sheet, sheets)
    if heading_row is None:
        return [] if not sheets.bars.empty or sheets.findings else ["nothing was read and nothing was said"]
    lost = []
    for column, heading in enumerate(sheet.rows[heading_row]):
        reading = _reading_of(heading)
        if reading is None or (heading_row + 1, column) in spoken:
            continue
        there = _values(sheets, COLUMNS[reading[0]])
        for row in range(heading_row + 1, len(sheet.rows)):
            text = sheet.rows[row][column].strip() if column < len(sheet.rows[row]) else ""
            if text in ("", heading) or not text.isprintable() or _said_of_twin(sheet.rows, row, column, spoken):
                continue  # blank, the headings again, a sign that is not written, or the same bar again
            if not _accounted(text, reading, there, (row + 1, column), spoken):
                lost.append(f"row {row + 1}, column {column + 1} ({heading}): {text!r}")
    return lost


def _said_of_twin(rows: Rows, row: int, column: int, spoken: set[tuple[int, int]]) -> bool:
    """Tell whether the row was called another row of one bar, and of the same reading there was spoken."""
    if (row + 1, REPEATED) not in spoken:
        return False
    text = rows[row][column]
    return any(line[column : column + 1] == [text] and (n, column) in spoken for n, line in enumerate(rows, start=1))


def _accounted(
    text: str, reading: tuple[str, str], there: set[float], cell: tuple[int, int], spoken: set[tuple[int, int]]
) -> bool:
    if cell in spoken or (cell[0], WHOLE_ROW) in spoken:
        return True
    factor = UNITS[reading[0].split()[-1]][reading[1]]
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        written = re.match(r"^'?[+]?([\d.,]+)\s*(mm|cm|in|g|kg|oz|lbs?)$", text)
        if written is None:
            return False
        factor = {**UNITS["length"], **UNITS["mass"], "lb": 453.59237, "lbs": 453.59237}[written.group(2)]
        number = float(written.group(1).replace(",", "."))
    return _rounded(number * factor) in there


def _rounded(number: float) -> float:
    return float(f"{number:.9g}")


def _values(sheets: CheckedSheets, column: str) -> set[float]:
    table = sheets.marks if column.endswith("_mm") else sheets.bars
    return {_rounded(v) for v in table[column].dropna().tolist()}


def _reading_of(heading: str) -> tuple[str, str] | None:
    """Return the reading and unit of a heading that is as it was made."""
    found = re.fullmatch(r"([a-z -]+) \((\w+)\)", heading)
    if found is None or found.group(1) not in READINGS or found.group(2) not in UNITS[found.group(1).split()[-1]]:
        return None
    return found.group(1), found.group(2)


def _heading_row(sheet: Sheet, sheets: CheckedSheets) -> int | None:
    """Return the first row with about as many headings as any, as they were made."""
    scores = [sum(_reading_of(cell) is not None or cell in TEXTS for cell in row) for row in sheet.rows]
    if not scores or max(scores) < 2 or sheets.bars.empty:
        return None
    return next(i for i, score in enumerate(scores) if score >= 0.7 * max(scores))


def _spoken_of(findings: tuple[Finding, ...]) -> tuple[set[tuple[int, int]], bool]:
    """Return the cells and rows that findings speak of, and whether one speaks of the whole table."""
    spoken: set[tuple[int, int]] = set()
    whole = False
    for found in findings:
        for letters, row in _ADDRESS.findall(f"{found.cell or ''} {found.sentence.replace('Bars!', ' ')}"):
            column = 0
            for letter in letters:
                column = column * 26 + ord(letter) - 64
            spoken.add((int(row), column - 1))
            if found.code in ("summary-row", "row-without-readings"):
                spoken.add((int(row), WHOLE_ROW))
            if found.code == "bar-twice":
                spoken.add((int(row), REPEATED))
            if found.code == "column-splits-bars":
                for start, end in re.findall(r"(\d+)(?: to (\d+))?", found.sentence.rpartition(": row")[2]):
                    spoken |= {(r, WHOLE_ROW) for r in range(int(start), int(end or start) + 1)}
            if found.code == "heading-twice" and (
                end := re.search(r"no bar from .* to Bars![A-Z]+(\d+)", found.sentence)
            ):
                spoken |= {(r, WHOLE_ROW) for r in range(int(row), int(end[1]) + 1)}
            if found.code == "headings-change":
                spoken |= {(r, WHOLE_ROW) for r in range(int(row), int(row) + 500)}
        whole |= found.code in OF_THE_WHOLE
    return spoken, whole


def read_damaged(sheet: Sheet, folder: Path, choose: Choose) -> tuple[CheckedSheets, list[str]]:
    """Write and read a sheet; return what was read and what was lost."""
    sheets = read_sheets([write(sheet, folder, choose)])
    return sheets, check_accounts(sheet, sheets)
