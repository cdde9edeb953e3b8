"""The Firings, Lab and Pieces sheets of a workbook of ours."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from bodytest.sheet import style
from bodytest.sheet.bars_sheet import put_entry
from bodytest.sheet.chosen_columns import Units
from bodytest.sheet.content import Row, SheetContent
from bodytest.sheet.lists_sheet import LIST_RANGES, choice_list
from bodytest.sheet.live_formulas import FIRINGS_RANGE

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

_FIRST_ROW = 4
_FIRINGS_LAST_ROW = 33
_ENTRY_FONT = Font(name=style.FONT_NAME, size=11, color=style.INK)


@dataclass(frozen=True)
class _Heading:
    name: str
    heading: str
    width: float
    number_format: str = "@"


def add_firings_sheet(workbook: "Workbook", content: SheetContent) -> None:
    """Add the sheet that says how hot each firing went."""
    sheet = workbook.create_sheet("Firings")
    hint = "one row for each kiln load; a temperature, a cone, or better both; loads meant to be alike: one programme"
    style.put_title(sheet, content.notice or "Firings", hint)
    last = _FIRINGS_LAST_ROW
    degrees = content.units.temperature
    _write_table(sheet, _firing_headings(degrees), content.firings, last)
    span = {
        heading.name: f"{letter}{_FIRST_ROW}:{letter}{last}"
        for place, heading in enumerate(_firing_headings(degrees), start=1)
        for letter in [get_column_letter(place)]
    }
    for key, word in (("purposes", "purpose"), ("atmospheres", "atmosphere")):
        question = f"The usual words for the {word} are in the list. Keep yours?"
        _offer(sheet, LIST_RANGES[key], span[word], f"Another {word}?", question)
    question = "Cones run 022 … 01, then 1 … 14; the leading zero counts: 06 is far cooler than 6. Keep it?"
    _offer(sheet, LIST_RANGES["cones"], span["cone"], "No such cone?", question)
    _ask_for_date(sheet, span["date"])
    hottest = 1500 if degrees == "°C" else 2700
    for name in ("set temperature", "peak temperature"):
        _ask_for_number(sheet, span[name], (100, hottest), f"a temperature in {degrees}")
    _ask_for_number(sheet, span["temperature ±"], (0.5, 100), f"how far the temperature may be off, in {degrees}")
    _ask_for_number(sheet, span["hold"], (0, 2880), "the minutes held at the peak")
    _finish(sheet, content)


def _firing_headings(degrees: str) -> tuple[_Heading, ...]:
    return (
        _Heading("firing", "firing", 10),
        _Heading("date", "date", 12, "yyyy-mm-dd"),
        _Heading("kiln", "kiln", 16),
        _Heading("programme", "programme", 18),
        _Heading("purpose", "purpose", 10),
        _Heading("cone", "cone", 8),
        _Heading("set temperature", f"set temperature ({degrees})", 13, "General"),
        _Heading("peak temperature", f"peak temperature ({degrees})", 13, "General"),
        _Heading("temperature ±", f"temperature ± ({degrees})", 13, "General"),
        _Heading("hold", "hold (min)", 8, "General"),
        _Heading("atmosphere", "atmosphere", 13),
        _Heading("notes", "notes", 44),
    )


def add_pieces_sheet(workbook: "Workbook", content: SheetContent) -> None:
    """Add the sheet for real ware, measured wet and fired, to hold the bars against."""
    sheet = workbook.create_sheet("Pieces")
    hint = "one row for each dimension of a piece that you measured wet and fired; optional"
    style.put_title(sheet, content.notice or "Pieces", hint)
    last = max(_FIRST_ROW, _FIRST_ROW - 1 + len(content.pieces) + content.spare_pieces)
    unit = content.units.length
    _write_table(sheet, _piece_headings(unit), content.pieces, last)
    for letter, key, word in (("B", "bodies", "body"), ("C", "batches", "batch"), ("E", "dimensions", "dimension")):
        question = f"This {word} is not on the Lists sheet. Keep it?"
        _offer(sheet, LIST_RANGES[key], f"{letter}{_FIRST_ROW}:{letter}{last}", f"New {word}?", question)
    question = "This firing is not on the Firings sheet yet. Keep it, and add a line for it there."
    _offer(sheet, FIRINGS_RANGE, f"D{_FIRST_ROW}:D{last}", "New firing?", question)
    _ask_for_number(sheet, f"F{_FIRST_ROW}:H{last}", (0.1, 5000), f"a size in {unit}")
    _finish(sheet, content)


def _piece_headings(unit: str) -> tuple[_Heading, ...]:
    return (
        _Heading("piece", "piece", 14),
        _Heading("body", "body", 16),
        _Heading("batch", "batch", 10),
        _Heading("firing", "firing", 10),
        _Heading("dimension", "dimension", 12),
        _Heading("wet size", f"wet size ({unit})", 11, "0.0##"),
        _Heading("leather-hard size", f"leather-hard size ({unit})", 12, "0.0##"),
        _Heading("fired size", f"fired size ({unit})", 11, "0.0##"),
        _Heading("notes", "notes", 44),
    )


_LAB_LINES = (
    ("workshop", "", "Your name for it; it stands on the report."),
    ("measured by", "", "Who held the rule and read the balance."),
    (
        "absorption method",
        "boil 5 h and soak 24 h",
        "How the bars were filled with water. Methods give different absorptions and are never pooled.",
    ),
    ("water temperature (°C)", "", "Of the water in which bars hang; 20 °C is taken when blank. Only for density."),
    ("length reading step (mm)", "", "The smallest step you read, e.g. {length_steps}."),
    (
        "length calibration ± (mm)",
        "",
        "How wrong the rule itself may be, from its certificate (k = 2). Blank if unknown.",
    ),
    ("mass reading step (g)", "", "The last digit of the balance, e.g. {mass_step}."),
    (
        "mass calibration ± (g)",
        "",
        "How wrong the balance itself may be, from its certificate (k = 2). Blank if unknown.",
    ),
    ("absorption limit (%)", "", "The highest absorption that is good enough for your ware. Blank: no verdict."),
    (
        "shrinkage tolerance (%)",
        "",
        "What difference in shrinkage matters to you, in percentage points; 0.5 is 1 mm on 200 mm.",
    ),
    ("confidence (%)", "", "95 is taken when blank."),
    ("control body", "", "A clay of which bars stand in every load, to tell kiln from clay. Blank: none."),
    (
        "length errors",
        "",
        "“alike at every stage” if wet and fired lengths are read with one instrument whose error is the same.",
    ),
    (
        "temperature ± (°C)",
        "",
        "How far kiln temperatures may be off (k = 2), where the firing does not say. Blank: unknown.",
    ),
    ("scatter between batches (points)", "", "Of shrinkage, in percentage points, known from earlier tests (one SD)."),
    ("scatter between batches, from how many", "", "Batches that it is known from."),
    ("scatter between loads (points)", "", "Of shrinkage between loads of one programme, from earlier tests (one SD)."),
    ("scatter between loads, from how many", "", "Loads that it is known from."),
)
"""Name, value in a blank workbook, what to put there."""
_LENGTH_STEPS = {
    "mm": "0.5 for a rule, 0.1 or 0.02 for a caliper",
    "cm": "0.05 for a rule, 0.01 or 0.002 for a caliper",
    "in": "0.02 for a rule, 0.001 for a caliper",
}


def add_lab_sheet(workbook: "Workbook", content: SheetContent) -> None:
    """Add the sheet that says how and with what the bars are measured."""
    sheet = workbook.create_sheet("Lab")
    style.put_title(sheet, content.notice or "Lab", "fill in once")
    for letter, heading, width in (("A", "name", 38), ("B", "value", 28), ("C", "what to put there", 96)):
        style.put_heading(sheet[f"{letter}3"], heading, style.DAYS["which"].heading)
        sheet.column_dimensions[letter].width = width
    for row, line in enumerate(_lab_lines(content.units), start=_FIRST_ROW):
        _write_lab_line(sheet, row, line, content.lab)
    question = "Choose one from the list, or 'other' and describe it in a note: methods are never pooled."
    _offer(sheet, LIST_RANGES["absorption methods"], "B6", "Another method?", question, error_style="stop")
    _ask_for_number(sheet, "B7", (0, 40), "a water temperature in °C, from 0 to 40")
    _ask_for_number(sheet, "B8:B12", (0, 100), "a number, in the unit beside its name")
    _ask_for_number(sheet, "B13", (0.01, 20), "a difference in percentage points")
    _ask_for_number(sheet, "B14", (50, 99.9), "a confidence in per cent, e.g. 95")
    _offer(sheet, LIST_RANGES["length errors"], "B16", "Other words?", "Choose one of the two.", error_style="stop")
    _ask_for_number(sheet, "B17", (0.5, 100), "how far a kiln temperature may be off, in °C")
    for scatter, rests_on in (("B18", "B19"), ("B20", "B21")):
        _ask_for_number(sheet, scatter, (0.01, 5), "a standard deviation in percentage points")
        _ask_for_number(sheet, rests_on, (2, 1000), "a whole number from 2 on")
    _finish(sheet, content)


def _write_lab_line(sheet: "Worksheet", row: int, line: tuple[str, str, str], values: Row) -> None:
    name, value, meaning = line
    label, entry, hint = (style.cell_at(sheet, row, place) for place in (1, 2, 3))
    style.put_text(label, name, font=Font(name=style.FONT_NAME, size=11, bold=True, color=style.INK))
    entry.protection, entry.font = style.UNLOCKED, _ENTRY_FONT
    put_entry(entry, values.get(name, value or None))
    style.put_text(hint, meaning, font=Font(name=style.FONT_NAME, size=10, color=style.QUIET_INK))
    sheet.row_dimensions[row].height = 21
    for cell in (label, entry, hint):
        cell.border = style.GRID
        cell.alignment = Alignment(horizontal="left", vertical="center")


def _lab_lines(units: Units) -> Iterator[tuple[str, str, str]]:
    """Yield the lines with the units of the workbook."""
    for name, value, meaning in _LAB_LINES:
        examples = {"length_steps": _LENGTH_STEPS[units.length], "mass_step": "0.01" if units.mass == "g" else "0.001"}
        in_units = name.replace("(mm)", f"({units.length})").replace("(g)", f"({units.mass})")
        yield in_units, value, meaning.format(**examples)


def _write_table(sheet: "Worksheet", headings: Sequence[_Heading], rows: Sequence[Row], last: int) -> None:
    for place, heading in enumerate(headings, start=1):
        cell = style.cell_at(sheet, 3, place)
        style.put_heading(cell, heading.heading, style.DAYS["which"].heading)
        sheet.column_dimensions[get_column_letter(place)].width = heading.width
    sheet.row_dimensions[3].height = 32
    for row in range(_FIRST_ROW, last + 1):
        sheet.row_dimensions[row].height = 18
        planned = rows[row - _FIRST_ROW] if row - _FIRST_ROW < len(rows) else {}
        for place, heading in enumerate(headings, start=1):
            cell = style.cell_at(sheet, row, place)
            cell.border, cell.font, cell.protection = style.GRID, _ENTRY_FONT, style.UNLOCKED
            cell.number_format = heading.number_format
            is_text = heading.number_format in {"@", "yyyy-mm-dd"}
            cell.alignment = Alignment(horizontal="left" if is_text else None, vertical="center")
            put_entry(cell, planned.get(heading.name))


def _offer(
    sheet: "Worksheet",
    source: str,
    span: str,
    title: str,
    question: str,
    *,
    error_style: Literal["warning", "stop"] = "warning",
) -> None:
    choice = choice_list(source, span, title=title, question=question)
    choice.errorStyle = error_style
    sheet.add_data_validation(choice)


def _ask_for_number(sheet: "Worksheet", span: str, limits: tuple[float, float], what: str) -> None:
    low, high = limits
    rule = DataValidation(
        type="decimal", operator="between", formula1=f"{low:g}", formula2=f"{high:g}", allow_blank=True
    )
    rule.errorStyle = "warning"
    rule.errorTitle, rule.error = "Is that right?", f"Here belongs {what}."[:255]
    rule.showErrorMessage = True
    rule.add(span)
    sheet.add_data_validation(rule)


def _ask_for_date(sheet: "Worksheet", span: str) -> None:
    rule = DataValidation(type="date", operator="between", formula1="32874", formula2="73050", allow_blank=True)
    rule.errorStyle = "warning"
    rule.errorTitle, rule.error = "Is that a date?", "Here belongs the day of the firing, e.g. 2030-05-17."
    rule.showErrorMessage = True
    rule.add(span)
    sheet.add_data_validation(rule)


def _finish(sheet: "Worksheet", content: SheetContent) -> None:
    style.protect(sheet)
    sheet.freeze_panes = f"A{_FIRST_ROW}"
    style.set_for_print(sheet, paper=content.paper, heading_rows="1:3", pages=1 if sheet.title != "Pieces" else 0)
