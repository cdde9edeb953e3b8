"""The sheet Parts of the planner: a list of parts with the wet clay that they take."""

from typing import TYPE_CHECKING

from bodytest.export import planner_cells as cells
from bodytest.export.planner_sheet import PICKED, PICKS, ROW

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

FIRST_PART = 7
"""Row of the first part."""
PART_ROWS = 40
"""Parts that there is room for."""
PART_COLUMNS = {"part": "A", "many": "B", "mass": "C", "wet": "D", "low": "E", "high": "F", "all": "G", "note": "H"}
"""Columns of the rows of parts."""
ALL_TOGETHER = "G4"
"""Cell of the wet clay for all parts."""
_ROW, _CLAY = f"Planner!{ROW}", {name: f"Planner!{PICKED[name]}" for name in ("clay", "clay_low", "clay_high")}


def write_parts(sheet: "Worksheet", confidence: float) -> None:
    """Write the list of parts, one row for each kind."""
    percent = f"{100 * confidence:g}\N{NO-BREAK SPACE}%"
    cells.write_title(
        sheet,
        "Clay for the parts",
        "Type what one finished part weighs, in any one unit: the wet clay comes out in the same.",
        "Trimmings and slop come on top, and the clay has to be as moist as the bars were when they were weighed.",
    )
    body, firing = (f"Planner!{PICKS[name]}" for name in ("body", "firing"))
    sheet["A4"] = f'="As picked on the sheet Planner: "&{body}&", "&{firing}'
    missing = "The bars were not weighed wet, dry and fired, so nothing is known about clay."
    cells.warn(
        sheet,
        "A5",
        f'=IF({_ROW}=0,"This was not measured: pick again on Planner.",IF({_CLAY["clay"]}="","{missing}",""))',
    )
    last = FIRST_PART + PART_ROWS - 1
    sheet["F4"] = "all together"
    cells.write_result(sheet, ALL_TOGETHER, f"=SUM(G{FIRST_PART}:G{last})", "0.00")
    headings = (
        "part", "how many", "finished mass of one", "wet clay for one", f"from ({percent})", f"to ({percent})",
        "wet clay for all", "note",
    )  # fmt: skip
    cells.write_headings(sheet, FIRST_PART - 1, headings)
    for number in range(FIRST_PART, last + 1):
        _write_part(sheet, number)
    cells.positive(sheet, f"B{FIRST_PART}:B{last}", "how many there are", whole=True)
    cells.positive(sheet, f"C{FIRST_PART}:C{last}", "a mass")
    cells.as_table(sheet, "PartsTable", f"A{FIRST_PART - 1}:H{last}", headings)
    cells.as_page(sheet, {"A": 26, "H": 46} | dict.fromkeys("BCDEFG", 14), f"A1:H{last}")
    sheet.freeze_panes = f"B{FIRST_PART}"
    cells.lock(sheet)


def _write_part(sheet: "Worksheet", number: int) -> None:
    at = {name: f"${column}{number}" for name, column in PART_COLUMNS.items()}
    mass, many = at["mass"], at["many"]
    countable = f'OR({many}="",IF(ISNUMBER({many}),{many}>0,FALSE))'
    usable = f"AND(IF(ISNUMBER({mass}),{mass}>0,FALSE),{_ROW}>0,{countable})"
    for name, factor in (("wet", "clay"), ("low", "clay_low"), ("high", "clay_high")):
        formula = f'=IF({usable},IF({_CLAY[factor]}="","",{mass}*{_CLAY[factor]}),"")'
        cells.write_result(sheet, at[name].replace("$", ""), formula, "0.00")
    each = f'IF({many}="",1,{many})'
    cells.write_result(sheet, f"G{number}", f'=IF({at["wet"]}="","",{each}*{at["wet"]})', "0.00")
    count = f'IF({countable},"","type how many as a number above zero")'
    note = f'IF({mass}<=0,"a mass has to be above zero",IF({_ROW}=0,"not measured",{count}))'
    note = f'IF(ISNUMBER({mass}),{note},"type a number, without its unit")'
    cells.write_result(sheet, f"H{number}", f'=IF({mass}="","",{note})', "General")
    for name in ("part", "many", "mass"):
        cells.as_input(sheet[at[name].replace("$", "")])
