"""The sheet on which sizes are planned: picks above, one row for each piece, every result a live formula."""

from dataclasses import astuple, fields
from typing import TYPE_CHECKING

from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.properties import PageSetupProperties

from bodytest.export.planner_figures import FiguresRow
from bodytest.export.planner_lists import helper_formulas, list_formula, write_text

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

FIRST_ROW = 14
"""Row of the first piece."""
PIECE_ROWS = 40
"""Pieces that there is room for."""
PICKS = {"body": "B4", "firing": "B5", "direction": "B6", "batch": "B7", "unit": "B8"}
"""Cells to pick in."""
COLUMNS = {
    "piece": "A", "finished": "B", "wet": "C", "wet_low": "D", "wet_high": "E", "leather_hard": "F", "dry": "G",
    "bisque": "H", "finished_low": "I", "finished_high": "J", "note": "K",
}  # fmt: skip
"""Columns of the rows of pieces."""
_ROW = "$B$9"
_FIGURES = "Figures"
_PICKED = {name: f"$N${4 + n}" for n, name in enumerate(f.name for f in fields(FiguresRow)[4:])}
"""Where the figures of the picked row stand."""
_SIZES = ("mm", "cm", "in")
_FAR = 3
_FONT = "Calibri"
_LINE = Side(style="thin", color="FFB9C0C6")
_INPUT = PatternFill("solid", fgColor="FFFFF6D6")
_BAND = PatternFill("solid", fgColor="FFE6E9EC")


def write_planner(sheet: "Worksheet", rows: tuple[FiguresRow, ...], confidence: float) -> None:
    """Write picks, figures picked and rows of pieces."""
    percent = f"{100 * confidence:g}\N{NO-BREAK SPACE}%"
    _write_words(sheet, percent)
    _write_picks(sheet, rows)
    _write_picked(sheet, len(rows) + 1)
    for number in range(FIRST_ROW, FIRST_ROW + PIECE_ROWS):
        _write_piece(sheet, number)
    sheet[f"A{FIRST_ROW}"], sheet[f"B{FIRST_ROW}"] = "example", 200
    sheet.freeze_panes = f"C{FIRST_ROW}"
    for column, width in {"A": 22, "B": 18, "K": 58, "M": 24, "N": 14}.items():
        sheet.column_dimensions[column].width = width
    for column in "CDEFGHIJ":
        sheet.column_dimensions[column].width = 13
    sheet.row_dimensions[FIRST_ROW - 1].height = 32
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.orientation, sheet.page_setup.fitToHeight = "landscape", 0
    sheet.print_area = f"A1:K{FIRST_ROW + PIECE_ROWS - 1}"


def _write_words(sheet: "Worksheet", percent: str) -> None:
    sheet["A1"], sheet["A1"].font = "Sizes for the next pieces", Font(name=_FONT, bold=True, size=16)
    sheet["A2"] = (
        "Pick in the yellow cells from top to bottom, then type finished sizes. Everything else is computed from the"
        " sheet Figures, which holds what was measured."
    )
    headings = {
        "piece": "piece", "finished": "finished size", "wet": "make it wet", "wet_low": f"wet, low ({percent})",
        "wet_high": f"wet, high ({percent})", "leather_hard": "leather-hard", "dry": "dry", "bisque": "bisque",
        "finished_low": f"finished from ({percent})", "finished_high": f"finished to ({percent})", "note": "note",
    }  # fmt: skip
    for name, heading in headings.items():
        cell = sheet[f"{COLUMNS[name]}{FIRST_ROW - 1}"]
        cell.value, cell.font, cell.fill = heading, Font(name=_FONT, bold=True), _BAND
        side = "left" if name in {"piece", "note"} else "right"
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal=side, indent=1 if name == "note" else 0)
    sheet["A11"] = (
        "Low and high: where the wet size lies for the body's mean. Finished from and to: the range of one piece made"
        " exactly so."
    )


def _write_picks(sheet: "Worksheet", rows: tuple[FiguresRow, ...]) -> None:
    first = astuple(rows[0])
    for level, (name, place) in enumerate(PICKS.items()):
        sheet[f"A{place[1:]}"] = name
        sheet[place].fill, sheet[place].border = _INPUT, Border(_LINE, _LINE, _LINE, _LINE)
        if name == "unit":
            sheet[place].value, formula = "mm", f'"{",".join(_SIZES)}"'
        else:
            write_text(sheet, place, first[level])
            formula = _list_of(sheet, level, place, rows)
        picker = DataValidation(type="list", formula1=formula, allow_blank=False, showErrorMessage=True)
        picker.errorTitle, picker.error = "Not measured", f"Pick a {name} from the list; nothing else was measured."
        sheet.add_data_validation(picker)
        picker.add(place)


def _list_of(sheet: "Worksheet", level: int, place: str, rows: tuple[FiguresRow, ...]) -> str:
    """Write where the list of a pick stands into its helper cells and return the formula of the list."""
    helpers = f"$P${place[1:]}", f"$Q${place[1:]}"
    above = tuple(f"${cell[0]}${cell[1:]}" for cell in list(PICKS.values())[:level])
    if above:
        sheet["P3"], sheet["Q3"] = "list begins", "list length"
        for cell, formula in zip(helpers, helper_formulas(level, above, rows), strict=True):
            sheet[cell.replace("$", "")] = formula
    return list_formula(level, helpers, rows)


def _write_picked(sheet: "Worksheet", last: int) -> None:
    """Write the position of the picked row and its figures."""
    same = "*".join(
        f"({_FIGURES}!${column}$2:${column}${last}=${place[0]}${place[1:]})"
        for column, place in zip("ABCD", list(PICKS.values()), strict=False)
    )
    sheet["A9"] = "row of Figures"
    sheet["B9"] = f"=SUMPRODUCT({same}*ROW({_FIGURES}!$A$2:$A${last}))"
    sheet["B9"].font = Font(name=_FONT, color="FF55626E")
    sheet["A10"] = f'=IF({_ROW}=0,"This was not measured: pick again, from top to bottom.","")'
    sheet["A10"].font = Font(name=_FONT, bold=True, color="FF9C1C1C")
    sheet["M3"], sheet["M3"].font = "figures picked", Font(name=_FONT, bold=True)
    for number, place in enumerate(_PICKED.values()):
        column = "EFGHIJKLMNOPQ"[number]
        cell = f"INDEX({_FIGURES}!${column}$1:${column}${last},{_ROW})"
        sheet[f"M{place[3:]}"] = f"={_FIGURES}!{column}$1"
        sheet[place.replace("$", "")] = f'=IF({_ROW}=0,"",IF({cell}="","",{cell}))'
    sheet["D4"], sheet["E4"] = "wet size factor", f'=IF({_PICKED["total"]}="","",1/(1-{_PICKED["total"]}/100))'
    sheet["D5"], sheet["E5"] = "rests on bars", f"={_PICKED['bars']}"
    sheet["D6"], sheet["E6"] = "speaks of", f"={_PICKED['speaks_of']}"
    sheet["E4"].number_format = "0.0000"


def _write_piece(sheet: "Worksheet", number: int) -> None:
    at = {name: f"{column}{number}" for name, column in COLUMNS.items()}
    formulas = _formulas({name: f"${place}" for name, place in at.items()})
    for name, formula in formulas.items():
        cell = sheet[at[name]]
        cell.value, cell.border = f"={formula}", Border(bottom=_LINE)
        cell.number_format = "General" if name == "note" else "0.00"
        cell.alignment = Alignment(indent=1) if name == "note" else Alignment(horizontal="right")
    for name in ("piece", "finished"):
        sheet[at[name]].fill, sheet[at[name]].border = _INPUT, Border(bottom=_LINE)


def _formulas(at: dict[str, str]) -> dict[str, str]:
    """Return the formulas of one piece; the ways between stages are those of the command size."""
    p, size = _PICKED, at["finished"]
    usable = f"AND(ISNUMBER({size}),{_ROW}>0)"

    def left(name: str) -> str:
        return f"(1-{p[name]}/100)"

    over_dry = (
        f'IF(OR({p["drying"]}="",{p["firing_shrinkage"]}=""),"",{size}/{left("firing_shrinkage")}/{left("drying")})'
    )
    wet = f'IF({p["total"]}<>"",{size}/{left("total")},{over_dry})'
    from_wet = f'IF(OR({at["wet"]}="",{p["drying"]}=""),"",{at["wet"]}*{left("drying")})'
    dry = f'IF({p["firing_shrinkage"]}<>"",{size}/{left("firing_shrinkage")},{from_wet})'

    no_range = f'IF({p["low"]}="",TRUE,{p["high"]}>=100)'

    def when(condition: str, formula: str) -> str:
        return f'IF(NOT({usable}),"",IF({size}<=0,"",IF({condition},"",{formula})))'

    return {
        "wet": when("FALSE", wet),
        "wet_low": when(no_range, f"{size}/{left('low')}"),
        "wet_high": when(no_range, f"{size}/{left('high')}"),
        "leather_hard": when(f'OR({at["wet"]}="",{p["leather_hard"]}="")', f"{at['wet']}*{left('leather_hard')}"),
        "dry": when("FALSE", dry),
        "bisque": when(f'OR({at["dry"]}="",{p["bisque"]}="")', f"{at['dry']}*{left('bisque')}"),
        "finished_low": when(f'OR({at["wet"]}="",{p["next_high"]}="")', f"{at['wet']}*MAX(0,{left('next_high')})"),
        "finished_high": when(f'OR({at["wet"]}="",{p["next_low"]}="")', f"{at['wet']}*{left('next_low')}"),
        "note": _note(at, size),
    }


def _note(at: dict[str, str], size: str) -> str:
    unit = "$B$8"
    in_mm = f'{at["wet"]}*IF({unit}="cm",10,IF({unit}="in",25.4,1))'
    length = _PICKED["bar_length_mm"]
    far = f"OR({in_mm}>{_FAR}*{length},{in_mm}<{length}/{_FAR})"
    told = f'IF({far},"far from the length of the bars: make a trial piece first","")'
    far_note = f'IF(OR({at["wet"]}="",{length}=""),"",{told})'
    why = _PICKED["why_no_range"]
    return (
        f'IF({size}="","",IF(NOT(ISNUMBER({size})),"type a number, without its unit",'
        f'IF({size}<=0,"a size has to be above zero",IF({_ROW}=0,"not measured",IF({why}<>"",{why},{far_note})))))'
    )
