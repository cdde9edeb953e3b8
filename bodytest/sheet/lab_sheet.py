"""The Lab sheet of a workbook of ours: how and with what the bars are measured."""

from collections.abc import Iterator

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.lab.forming import FORMING
from bodytest.sheet import style
from bodytest.sheet.bars_sheet import put_entry
from bodytest.sheet.chosen_columns import instruments_used
from bodytest.sheet.content import SheetContent
from bodytest.sheet.lists_sheet import LIST_RANGES, offer
from bodytest.sheet.other_sheets import FIRST_ROW, ask_for_number, finish

_LAB_LINES = (
    ("workshop", "", "Your name for it; it stands on the report."),
    ("address", "", "Where it is; a certificate asks for it."),
    ("measured by", "", "Who held the rule and read the balance."),
    (
        "forming",
        "",
        "Pressed: the wet length is the die’s. Bars may say it in a column “forming”.",
    ),
    (
        "absorption method",
        "boil 5 h and soak 24 h",
        "How the bars were filled with water. Methods give different absorptions and are never pooled.",
    ),
    ("water temperature (°C)", "", "Of the water in which bars hang; 20 °C is taken when blank. Only for density."),
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
_FOR_CERTIFICATES = (
    ("oven temperature (°C)", "Of the oven that bars were dried in before they were weighed, e.g. 105."),
    ("boiled on", "Day or days on which bars were boiled or soaked, e.g. 2030-05-17; 2030-05-18."),
    ("who measured which stage", "Where it was not always the same person, e.g. wet and dry: Kim; fired: Jo."),
    ("length instrument", "What lengths were read with, e.g. caliper No. 3."),
    ("length instrument certificate", "Number of its certificate of calibration."),
    ("length instrument certificate date", "Date of that certificate, e.g. 2030-01-31."),
    ("balance", "What masses were weighed with."),
    ("balance certificate", "Number of its certificate of calibration."),
    ("balance certificate date", "Date of that certificate, e.g. 2030-01-31."),
    ("thermometer", "What the kiln or the water was measured with."),
    ("thermometer certificate", "Number of its certificate of calibration."),
    ("thermometer certificate date", "Date of that certificate, e.g. 2030-01-31."),
    ("received on", "Day on which the clay was received."),
    ("sampling", "How bars were taken from the batch, e.g. five bags, two bars each."),
    ("place of work", "Where bars were made, fired and measured, e.g. at the address above."),
    ("customer", "For whom, and how to reach them."),
    ("outside providers", "Which results came from elsewhere, e.g. none."),
    ("authorised by", "Who authorises the certificate."),
)
"""Name and what to put there, of lines that only a certificate needs; all may stay blank."""
_BEFORE_INSTRUMENTS = 6
"""Lines of `_LAB_LINES` that stand above those for the instruments."""


def add_lab_sheet(workbook: Workbook, content: SheetContent) -> None:
    """Add the sheet that says how and with what the bars are measured."""
    sheet = workbook.create_sheet("Lab")
    style.put_title(sheet, content.notice or "Lab", "fill in once")
    for letter, heading, width in (("A", "name", 38), ("B", "value", 28), ("C", "what to put there", 96)):
        style.put_heading(sheet[f"{letter}3"], heading, style.DAYS["which"].heading)
        sheet.column_dimensions[letter].width = width
    row_of: dict[str, str] = {}
    for row, line in enumerate(_lab_lines(content), start=FIRST_ROW):
        _write_lab_line(sheet, row, line, content)
        row_of[line[0]] = f"B{row}"
    _ask_for_values(sheet, row_of, content.units.temperature)
    finish(sheet, content)


def _ask_for_values(sheet: Worksheet, row_of: dict[str, str], degrees: str) -> None:
    """Offer choices and limits beside the values; ``row_of`` gives the cell of each name, ``degrees`` °C or °F."""
    question = "Choose one from the list, or 'other' and describe it in a note: methods are never pooled."
    method, errors = row_of["absorption method"], row_of["length errors"]
    offer(sheet, LIST_RANGES["absorption methods"], method, "Another method?", question, refuse=True)
    offer(sheet, LIST_RANGES["length errors"], errors, "Other words?", "Choose one of the two.", refuse=True)
    ways = "Choose plastic, pressed, cast or extruded."
    offer(sheet, f'"{",".join(FORMING.options)}"', row_of["forming"], "Another way?", ways, refuse=True)
    instruments = f"B{FIRST_ROW + _BEFORE_INSTRUMENTS}:{row_of['absorption limit (%)']}"
    for span, limits, what in (
        (row_of["water temperature (°C)"], (0, 40), "a water temperature in °C, from 0 to 40"),
        (instruments, (0, 100), "a number, in the unit beside its name"),
        (row_of["shrinkage tolerance (%)"], (0.01, 20), "a difference in percentage points"),
        (row_of["confidence (%)"], (50, 99.9), "a confidence in per cent, e.g. 95"),
        (row_of["temperature ± (°C)"], (0.5, 100), f"how far a kiln temperature may be off, in {degrees}"),
        (row_of["oven temperature (°C)"], (60, 200), "an oven temperature in °C, e.g. 105"),
    ):
        ask_for_number(sheet, span, limits, what)
    for name in (name for name in row_of if name.endswith(" date") or name == "received on"):
        style.ask_for_date(sheet, row_of[name], "a day, e.g. 2030-01-31")
        sheet[row_of[name]].number_format = style.DATE_FORMAT
    for what in ("batches", "loads"):
        scatter, rests_on = f"scatter between {what} (points)", f"scatter between {what}, from how many"
        ask_for_number(sheet, row_of[scatter], (0.01, 5), "a standard deviation in percentage points")
        ask_for_number(sheet, row_of[rests_on], (2, 1000), "a whole number from 2 on")


def _write_lab_line(sheet: Worksheet, row: int, line: tuple[str, str, str], content: SheetContent) -> None:
    name, value, meaning = line
    of_kilns = name.replace("± (°C)", f"± ({content.units.temperature})")
    label, entry, hint = (style.cell_at(sheet, row, place) for place in (1, 2, 3))
    style.put_text(label, of_kilns, font=Font(name=style.FONT_NAME, size=11, bold=True, color=style.INK))
    entry.protection, entry.font = style.UNLOCKED, style.PLAIN
    put_entry(entry, content.lab.get(name, value or None))
    style.put_text(hint, meaning, font=Font(name=style.FONT_NAME, size=10, color=style.QUIET_INK))
    sheet.row_dimensions[row].height = 21
    for cell in (label, entry, hint):
        cell.border = style.GRID
        cell.alignment = Alignment(horizontal="left", vertical="center")


def _lab_lines(content: SheetContent) -> Iterator[tuple[str, str, str]]:
    """Yield the lines with the units of the workbook and the instruments that it needs."""
    yield from _LAB_LINES[:_BEFORE_INSTRUMENTS]
    for one in instruments_used(content.kinds):
        unit = getattr(content.units, one.name, one.unit)
        yield f"{one.name} reading step ({unit})", "", one.step_hint.format(example=one.step_examples[unit])
        hint = f"How wrong the {one.tool} itself may be, from its certificate (k = 2). Blank if unknown."
        yield f"{one.name} calibration ± ({unit})", "", hint
    yield from _LAB_LINES[_BEFORE_INSTRUMENTS:]
    for name, hint in _FOR_CERTIFICATES:
        yield name, "", f"For a certificate: {hint[:1].lower()}{hint[1:]}"
