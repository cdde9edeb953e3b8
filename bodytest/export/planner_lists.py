"""Drop-down lists that depend on each other: firings of the picked body, directions of the picked firing, and so on."""

from dataclasses import astuple

from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.export.planner_figures import FiguresRow

SHEET = "Lists"
JOINT = "|"
"""Stands between the names of a path, as in ``Drift Buff|F4``."""
LEVELS = 5
"""Body, firing, direction, dimension, batch."""
_COLUMNS = tuple("ABCDEFGHIJKLMNOPQRST")
"""Four for each level: path, begins, count, choice."""


def choices(rows: tuple[FiguresRow, ...], level: int) -> dict[str, list[str]]:
    """Return what can be picked at a level (0 body … 4 batch), by the path picked above it."""
    found: dict[str, list[str]] = {}
    for row in rows:
        names = astuple(row)[: level + 1]
        below = found.setdefault(JOINT.join(names[:-1]), [])
        if names[-1] not in below:
            below.append(names[-1])
    return found


def write_lists(sheet: Worksheet, rows: tuple[FiguresRow, ...]) -> None:
    """Write the lists: for each level the paths, where their choices begin, how many there are, and the choices."""
    for level in range(LEVELS):
        path, begin, count, choice = _COLUMNS[4 * level : 4 * level + 4]
        for column, heading in zip((path, begin, count, choice), ("path", "begins", "count", "choice"), strict=True):
            sheet[f"{column}1"] = heading
        row = 2
        for number, (above, names) in enumerate(choices(rows, level).items(), start=2):
            write_text(sheet, f"{path}{number}", above)
            sheet[f"{begin}{number}"] = row
            sheet[f"{count}{number}"] = len(names)
            for name in names:
                write_text(sheet, f"{choice}{row}", name)
                row += 1


def write_text(sheet: Worksheet, place: str, text: str) -> None:
    """Write a text that is never taken for a formula."""
    cell = sheet[place]
    cell.value = ILLEGAL_CHARACTERS_RE.sub("\N{REPLACEMENT CHARACTER}", text)
    cell.data_type = "s"


def list_formula(level: int, helpers: tuple[str, str], rows: tuple[FiguresRow, ...]) -> str:
    """Return the formula of a drop-down list; it is kept short, because spreadsheets take at most 255 characters.

    Parameters:
        level: 0 body, 1 firing, 2 direction, 3 dimension, 4 batch.
        helpers: cells that hold where the list begins and how long it is, see `helper_formulas`.
        rows: what can be picked.
    """
    choice = _COLUMNS[4 * level + 3]
    if level == 0:
        return f"{SHEET}!${choice}$2:${choice}${1 + len(choices(rows, 0)[''])}"
    begin, count = helpers
    return f"OFFSET({SHEET}!${choice}$1,{begin}-1,0,{count},1)"


def helper_formulas(level: int, picked_cells: tuple[str, ...], rows: tuple[FiguresRow, ...]) -> tuple[str, str]:
    """Return formulas for where the list of a level begins and how long it is, for what is picked above it.

    Paths are compared without wildcards, hence no MATCH; what is not there gives an empty line of the list.
    """
    path, begin, count, _ = _COLUMNS[4 * level : 4 * level + 4]
    last = 1 + len(choices(rows, level))
    after = 2 + sum(len(names) for names in choices(rows, level).values())
    picked = f'&"{JOINT}"&'.join(picked_cells)
    place = f"SUMPRODUCT(({SHEET}!${path}$2:${path}${last}={picked})*ROW({SHEET}!${path}$2:${path}${last}))"
    first, many = (f"INDEX({SHEET}!${column}$1:${column}${last},{place})" for column in (begin, count))
    return f"=IF({place}=0,{after},{first})", f"=IF({place}=0,1,{many})"
