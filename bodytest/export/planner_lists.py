"""What the planner looks up: drop-down lists that depend on each other, and how many pieces a set takes."""

from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.export.planner_figures import FIGURE_HEADINGS, FiguresRow
from bodytest.plan.overmaking import limits_that_suffice

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
        names = [row[name] for name in list(FIGURE_HEADINGS)[: level + 1]]
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

    ``helpers`` are the cells that hold where the list begins and how long it is, see `helper_formulas`.
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


SETS = "Sets"
"""Name of the sheet."""
AGREEING = (2, 3, 4)
"""Pieces of a set that can be picked."""
LOST = (0, 5, 10, 20, 30)
"""Lost pieces of a hundred that can be picked."""
MOST_FURTHER_MADE = 20
"""Told are at most so many pieces to make beyond the set."""
_NEVER = 1e9
"""Stands where no closeness is loose enough, because too many are lost."""


def write_sets(sheet: Worksheet, rows: tuple[FiguresRow, ...], chance: float) -> int:
    """Write the table and return its last row: freedom, set, share lost, then a limit for each number made."""
    further = [f"{more} more" for more in range(MOST_FURTHER_MADE + 1)]
    sheet.append(["degrees of freedom", "set", "lost of 100", *further])
    for freedom in dict.fromkeys(row["alike_freedom"] for row in rows if row["alike_freedom"] is not None):
        for pieces in AGREEING:
            limits = limits_that_suffice(freedom, pieces, [lost / 100.0 for lost in LOST], chance, MOST_FURTHER_MADE)
            for lost, of_made in zip(LOST, limits.tolist(), strict=True):
                sheet.append([freedom, pieces, lost, *(min(limit, _NEVER) for limit in of_made)])
    return sheet.max_row


def set_row_formula(freedom: str, pieces: str, lost: str, last: int) -> str:
    """Return the formula for the row of Sets that holds for what is picked, 0 where there is none."""
    same = "*".join(
        f"({SETS}!${column}$1:${column}${last}={cell})"
        for column, cell in zip("ABC", (freedom, pieces, lost), strict=True)
    )
    return f"=SUMPRODUCT({same}*ROW({SETS}!$A$1:$A${last}))"


def limit_formula(place: str, more: int, last: int) -> str:
    """Return the formula for the limit in standard deviations that so many more pieces take."""
    column = get_column_letter(4 + more)
    return f'=IF({place}=0,"",INDEX({SETS}!${column}$1:${column}${last},{place}))'
