"""The sheet Sets of the planner: how close a set has to agree for 2, 3, 4 … pieces made to be enough.

A spreadsheet cannot draw pieces by chance, so what `bodytest.plan.overmaking` draws stands here as a table: for the
degrees of freedom of each scatter, for sets of some pieces and shares of lost ones.
"""

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from bodytest.export.planner_figures import FiguresRow
from bodytest.plan.overmaking import limits_that_suffice

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
    for freedom in dict.fromkeys(row.alike_freedom for row in rows if row.alike_freedom is not None):
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
