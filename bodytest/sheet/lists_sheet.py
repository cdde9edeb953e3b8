"""The Lists sheet: the names that the drop-down lists offer; people may add their own."""

from collections.abc import Sequence

from openpyxl import Workbook
from openpyxl.styles import Alignment
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.cones import NOMINAL_CELSIUS
from bodytest.quantities import ABSORPTION_METHODS, QUANTITIES
from bodytest.sheet import style
from bodytest.sheet.content import SheetContent
from bodytest.tables import APPLIES_TO, LENGTH_ERRORS

_FIRST_ROW = 4
_LAST_ROW = 43
_COLUMNS = {
    "bodies": ("A", 22, True),
    "batches": ("B", 16, True),
    "directions": ("C", 14, True),
    "dimensions": ("D", 14, True),
    "atmospheres": ("E", 16, True),
    "purposes": ("F", 12, False),
    "cones": ("G", 8, False),
    "absorption methods": ("H", 26, False),
    "length errors": ("I", 24, False),
    "quantities": ("J", 28, False),
    "limits apply to": ("K", 14, False),
    "reasons to leave out": ("L", 24, True),
}
"""Title → column letter, width, whether people may add names."""
LIST_RANGES: dict[str, str] = {
    title: f"Lists!${letter}${_FIRST_ROW}:${letter}${_LAST_ROW}" for title, (letter, _, _) in _COLUMNS.items()
}
"""Where the names of each list stand."""


def offer(
    sheet: Worksheet, source: str, span: str, title: str, question: str, *, refuse: bool = False
) -> DataValidation:
    """Offer the names of a list in a span of cells, and ask about, or refuse, one that is not in it."""
    return style.ask(sheet, span, title, question, {"type": "list", "formula1": source}, refuse=refuse)


def add_lists_sheet(workbook: Workbook, content: SheetContent) -> None:
    """Add the sheet with the names known so far and room for more."""
    sheet = workbook.create_sheet("Lists")
    style.put_title(sheet, content.notice or "Names for the drop-down lists", "add yours in the white cells")
    names: dict[str, Sequence[str]] = {
        "bodies": content.bodies,
        "batches": content.batches,
        "directions": content.directions,
        "dimensions": ("height", "width", "length", "diameter"),
        "atmospheres": ("oxidation", "reduction", "neutral"),
        "purposes": ("bisque", "final", "test"),
        "cones": tuple(NOMINAL_CELSIUS),
        "absorption methods": ABSORPTION_METHODS,
        "length errors": LENGTH_ERRORS,
        "quantities": tuple(q.name for q in QUANTITIES),
        "limits apply to": APPLIES_TO,
        "reasons to leave out": ("cracked across the line", "fell", "dry: chipped", "fired: cracked", "fired: stuck"),
    }
    for title, (letter, width, is_open) in _COLUMNS.items():
        style.put_heading(sheet[f"{letter}3"], title, style.DAYS["which"].heading)
        sheet.column_dimensions[letter].width = width
        for offset in range(_LAST_ROW - _FIRST_ROW + 1):
            cell = sheet[f"{letter}{_FIRST_ROW + offset}"]
            cell.border, cell.number_format, cell.alignment = style.GRID, "@", Alignment(horizontal="left")
            if is_open:
                cell.protection = style.UNLOCKED
            else:
                cell.fill = style.solid(style.LOCKED_FILL)
            if offset < len(names[title]):
                style.put_text(cell, names[title][offset], font=style.PLAIN)
    style.protect(sheet)
    sheet.freeze_panes = "A4"
    style.set_for_print(sheet, paper=content.paper, heading_rows="1:3", pages=1)
