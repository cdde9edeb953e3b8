"""The sheet on which sizes are planned: picks above, one row for each piece, every result a live formula."""

from openpyxl.styles import Alignment
from openpyxl.utils import absolute_coordinate, get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.export import planner_cells as cells
from bodytest.export.planner_figures import BY_BARS, FIGURE_HEADINGS, FiguresRow
from bodytest.export.planner_lists import (
    AGREEING,
    LOST,
    MOST_FURTHER_MADE,
    helper_formulas,
    limit_formula,
    list_formula,
    set_row_formula,
    write_text,
)
from bodytest.plan.sizes import FAR

FIRST_ROW = 18
"""Row of the first piece."""
PIECE_ROWS = 40
"""Pieces that there is room for."""
PICKS = {"body": "B4", "firing": "B5", "direction": "B6", "dimension": "B7", "batch": "B8"}
"""Cells to pick in, from top to bottom; each holds what stands in that column of Figures."""
UNIT, TOLERANCE = "B9", "B10"
"""Cells for the unit of all sizes and for the tolerance in it."""
AGREE, LOST_OF_100 = "B11", "B12"
"""Cells for how many pieces are to agree, and how many of a hundred are lost."""
COLUMNS = {
    "piece": "A", "finished": "B", "wet": "C", "wet_low": "D", "wet_high": "E", "leather_hard": "F", "dry": "G",
    "bisque": "H", "finished_low": "I", "finished_high": "J", "chance": "K", "make": "L", "note": "M",
}  # fmt: skip
"""Columns of the rows of pieces."""
ROW = "$B$13"
"""Cell that holds the row of Figures that is picked, 0 where there is none."""
FIGURES = "Figures"
"""Name of the sheet with what was measured."""
PICKED = {name: f"$P${4 + n}" for n, name in enumerate(list(FIGURE_HEADINGS)[len(PICKS) :])}
"""Where the figures of the picked row stand."""
NAMES = {
    **PICKS, "programme": PICKS["firing"], "unit": UNIT, "tolerance": TOLERANCE, "wet_size_factor": "E4",
    "total_shrinkage": PICKED["total"], "next_piece_scatter": PICKED["next_sd"],
    "degrees_of_freedom": PICKED["next_freedom"], "wet_clay_for_1_finished": PICKED["clay"],
}  # fmt: skip
"""Named cells, for formulas of the user's own."""
_SIZES = ("mm", "cm", "in")
_UNIT_KNOWN = "OR(" + ",".join(f'$B$9="{unit}"' for unit in _SIZES) + ")"
_TOLERANCE, _SET_ROW = absolute_coordinate(TOLERANCE), "$T$3"


def write_planner(sheet: Worksheet, rows: tuple[FiguresRow, ...], confidence: float, last_set: int) -> None:
    """Write picks, figures picked and rows of pieces; ``last_set`` is the last row of Sets."""
    _write_words(sheet, f"{100 * confidence:g}\N{NO-BREAK SPACE}%")
    _write_picks(sheet, rows)
    _write_unit_and_tolerance(sheet)
    _write_picked(sheet, len(rows) + 1)
    _write_limits(sheet, last_set)
    for number in range(FIRST_ROW, FIRST_ROW + PIECE_ROWS):
        _write_piece(sheet, number)
    sheet[f"A{FIRST_ROW}"], sheet[f"B{FIRST_ROW}"] = "example", 200
    cells.positive(sheet, f"B{FIRST_ROW}:B{FIRST_ROW + PIECE_ROWS - 1}", "a finished size")
    sheet.freeze_panes = f"C{FIRST_ROW}"
    widths = {"A": 26, "B": 20, "L": 13, "M": 58, "O": 24, "P": 14} | dict.fromkeys("CDEFGHIJ", 13) | {"K": 16}
    cells.as_page(sheet, widths, f"A1:M{FIRST_ROW + PIECE_ROWS - 1}")
    cells.lock(sheet)


def _write_words(sheet: Worksheet, percent: str) -> None:
    cells.write_title(
        sheet,
        "Sizes for the next pieces",
        "Pick in the yellow cells from top to bottom, then type finished sizes. Everything else is computed from the"
        " sheet Figures, which holds what was measured.",
    )
    headings = {
        "piece": "piece", "finished": "finished size", "wet": "make it wet", "wet_low": f"wet, low ({percent})",
        "wet_high": f"wet, high ({percent})", "leather_hard": "leather-hard", "dry": "dry", "bisque": "bisque",
        "finished_low": f"finished from ({percent})", "finished_high": f"finished to ({percent})",
        "chance": "chance within tolerance", "make": "make for a set", "note": "note",
    }  # fmt: skip
    cells.write_headings(sheet, FIRST_ROW - 1, tuple(headings.values()))
    cells.as_table(sheet, "PiecesTable", f"A{FIRST_ROW - 1}:M{FIRST_ROW + PIECE_ROWS - 1}", tuple(headings.values()))
    sheet["A15"] = (
        "Low and high: where the wet size lies for the body's mean. Finished from and to: the range of one piece made"
        " exactly so. Chance: that such a piece is no further from its finished size than the tolerance."
    )
    sheet["A16"] = (
        f"Make for a set: so many that with {percent} chance as many as are to agree differ by no more than the"
        " tolerance, all of one batch, in one load and made exactly alike; told where sizes go by the bars."
    )


def _write_picks(sheet: Worksheet, rows: tuple[FiguresRow, ...]) -> None:
    for level, (name, place) in enumerate(PICKS.items()):
        label = FIGURE_HEADINGS[name]
        sheet[f"A{place[1:]}"] = label
        write_text(sheet, place, str(rows[0][name]))
        cells.offer(
            sheet, place, _list_of(sheet, level, place, rows), f"Pick a {label} from the list; nothing else is there."
        )


def _list_of(sheet: Worksheet, level: int, place: str, rows: tuple[FiguresRow, ...]) -> str:
    """Write where the list of a pick stands into its helper cells and return the formula of the list."""
    helpers = f"$R${place[1:]}", f"$S${place[1:]}"
    above = tuple(map(absolute_coordinate, list(PICKS.values())[:level]))
    if above:
        sheet["R3"], sheet["S3"] = "list begins", "list length"
        for cell, formula in zip(helpers, helper_formulas(level, above, rows), strict=True):
            sheet[cell.replace("$", "")] = formula
    return list_formula(level, helpers, rows)


def _write_unit_and_tolerance(sheet: Worksheet) -> None:
    sheet[f"A{UNIT[1:]}"], sheet[UNIT] = "unit of all sizes", "mm"
    cells.offer(sheet, UNIT, f'"{",".join(_SIZES)}"', "Pick the unit: mm, cm or in.")
    sheet[f"A{TOLERANCE[1:]}"], sheet[TOLERANCE] = "tolerance ±", 2
    cells.as_input(sheet[TOLERANCE])
    sheet[TOLERANCE].alignment = Alignment(horizontal="left")
    cells.positive(sheet, TOLERANCE, "the tolerance")
    for place, label, usual, choices in (
        (AGREE, "pieces to agree", 2, AGREEING),
        (LOST_OF_100, "lost of 100 (cracks, warps)", 0, LOST),
    ):
        named = f"{', '.join(map(str, choices[:-1]))} or {choices[-1]}"
        sheet[f"A{place[1:]}"], sheet[place] = label, usual
        cells.offer(sheet, place, f'"{",".join(map(str, choices))}"', f"Pick {named}.")
        sheet[place].alignment = Alignment(horizontal="left")
        known = ",".join(f"{absolute_coordinate(place)}={choice}" for choice in choices)
        cells.warn(sheet, f"C{place[1:]}", f'=IF(OR({known}),"","This has to be {named}.")')
    cells.warn(sheet, "C9", f'=IF({_UNIT_KNOWN},"","The unit has to be mm, cm or in.")')
    told = f'IF({_TOLERANCE}<=0,"The tolerance has to be above zero.","")'
    told = f'IF(ISNUMBER({_TOLERANCE}),{told},"Type the tolerance as a number, without its unit.")'
    cells.warn(sheet, "C10", f'=IF({_TOLERANCE}="","",{told})')


def _write_limits(sheet: Worksheet, last: int) -> None:
    """Write the row of Sets that holds for what is picked, and its limits."""
    sheet["T2"] = "row of Sets, limits"
    agree, lost = map(absolute_coordinate, (AGREE, LOST_OF_100))
    sheet["T3"] = set_row_formula(PICKED["alike_freedom"], agree, lost, last)
    for more in range(MOST_FURTHER_MADE + 1):
        sheet[f"T{4 + more}"] = limit_formula(_SET_ROW, more, last)


def _write_picked(sheet: Worksheet, last: int) -> None:
    """Write the position of the picked row and its figures."""
    same = "*".join(
        f"({FIGURES}!${get_column_letter(level)}$2:${get_column_letter(level)}${last}={absolute_coordinate(place)})"
        for level, place in enumerate(PICKS.values(), start=1)
    )
    sheet["A13"] = "row of Figures"
    sheet["B13"] = f"=SUMPRODUCT({same}*ROW({FIGURES}!$A$2:$A${last}))"
    cells.warn(sheet, "A14", f'=IF({ROW}=0,"This was not measured: pick again, from top to bottom.","")')
    sheet["O3"] = "figures picked"
    for column, place in enumerate(PICKED.values(), start=1 + len(PICKS)):
        letter = get_column_letter(column)
        cell = f"INDEX({FIGURES}!${letter}$1:${letter}${last},{ROW})"
        sheet[f"O{place[3:]}"] = f"={FIGURES}!{letter}$1"
        sheet[place.replace("$", "")] = f'=IF({ROW}=0,"",IF({cell}="","",{cell}))'
    told = {
        "wet size factor": f'=IF({PICKED["total"]}="","",1/(1-{PICKED["total"]}/100))',
        "rests on": f'=IF({ROW}=0,"",{PICKED["bars"]}&IF($B$7="{BY_BARS}"," bars"," pieces"))',
        "speaks of": f"={PICKED['speaks_of']}",
        "why": f"={PICKED['reason']}",
    }
    for number, (label, formula) in enumerate(told.items(), start=4):
        sheet[f"D{number}"], sheet[f"E{number}"] = label, formula
        sheet[f"E{number}"].alignment = Alignment(horizontal="left")
    sheet["E4"].number_format = "0.0000"
    sheet.merge_cells("E7:M8")
    sheet["E7"].alignment = Alignment(wrap_text=True, vertical="top")


def _write_piece(sheet: Worksheet, number: int) -> None:
    at = {name: f"{column}{number}" for name, column in COLUMNS.items()}
    for name, formula in _formulas({name: f"${place}" for name, place in at.items()}).items():
        shown = {"note": "General", "chance": _CHANCE_FORMAT, "make": "0"}.get(name, "0.00")
        cells.write_result(sheet, at[name], f"={formula}", shown)
    for name in ("piece", "finished"):
        cells.as_input(sheet[at[name]])


_CHANCE_FORMAT = '[>0.995]"over 99 %";[<0.005]"under 1 %";0 %'


def _formulas(at: dict[str, str]) -> dict[str, str]:
    """Return the formulas of one piece; the ways between stages are those of the command size."""
    p, size = PICKED, at["finished"]
    usable = f"AND(ISNUMBER({size}),{ROW}>0,{_UNIT_KNOWN})"

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
        "chance": when(f'OR({at["wet"]}="",{p["next_sd"]}="")', _chance(at["wet"])),
        "make": when(f'OR({at["wet"]}="",{_SET_ROW}=0)', _make(at["wet"])),
        "note": _note(at, size),
    }


def _chance(wet: str) -> str:
    """Return P(|T| ≤ t) of Student's t by the incomplete beta function; T.DIST cuts degrees of freedom to whole ones.

    With ν degrees of freedom it is I(t²/(ν + t²); 1/2, ν/2), and t is the tolerance over the scatter of a piece.
    """
    freedom, scatter = PICKED["next_freedom"], f"({wet}*{PICKED['next_sd']}/100)"
    share = f"{_TOLERANCE}*{_TOLERANCE}/({_TOLERANCE}*{_TOLERANCE}+{freedom}*{scatter}*{scatter})"
    return _with_tolerance(f"BETADIST({share},0.5,{freedom}/2)")


def _make(wet: str) -> str:
    """Return how many to make: those of a set and one more for each limit that is wider than the tolerance."""
    limits = f"$T$4:$T${4 + MOST_FURTHER_MADE}*MAX({wet}*{PICKED['alike_sd']}/100,0.000001)"
    more = f"SUMPRODUCT(({limits}>{_TOLERANCE})*1)"
    set_of = absolute_coordinate(AGREE)
    told = f'IF({more}>{MOST_FURTHER_MADE},"over "&({set_of}+{MOST_FURTHER_MADE}),{set_of}+{more})'
    return _with_tolerance(told)


def _with_tolerance(formula: str) -> str:
    return f'IF(NOT(ISNUMBER({_TOLERANCE})),"",IF({_TOLERANCE}<=0,"",{formula}))'


def _note(at: dict[str, str], size: str) -> str:
    in_mm = f'{at["wet"]}*IF($B$9="cm",10,IF($B$9="in",25.4,1))'
    length = PICKED["bar_length_mm"]
    far = f"OR({in_mm}>{FAR:g}*{length},{in_mm}<{length}/{FAR:g})"
    told = f'IF({far},"far from the length of the bars: make a trial piece first","")'
    far_note = f'IF(OR({at["wet"]}="",{length}=""),"",{told})'
    why = PICKED["why_no_range"]
    measured = f'IF({ROW}=0,"not measured",IF({why}<>"",{why},{far_note}))'
    in_unit = f'IF({_UNIT_KNOWN},{measured},"pick the unit: mm, cm or in")'
    return (
        f'IF({size}="","",IF(NOT(ISNUMBER({size})),"type a number, without its unit",'
        f'IF({size}<=0,"a size has to be above zero",{in_unit})))'
    )
