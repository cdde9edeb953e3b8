"""Marked copies that are given beside the sheet that they were made of: their bars would count twice."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from bodytest.grids.grid import Grid
from bodytest.intake.bars import SheetBars
from bodytest.intake.cells import read_text
from bodytest.intake.own_tabs import TITLE_OF_FINDINGS
from bodytest.quantities import MARK_READINGS


@dataclass(frozen=True)
class Given:
    """One file that was given, as far as it matters for telling copies."""

    path: Path
    """Where it lies."""
    sha256: str
    """Hash of its bytes."""
    made_of: tuple[str, ...]
    """File names in the lists of findings in it; blank for a sheet that is no marked copy."""
    bars: Sequence[SheetBars]
    """Its tables of bars."""


_OF_RESULTS = {"quantity", "standard_uncertainty", "degrees_of_freedom"}
"""Headings that results.csv has and no sheet of readings."""


def is_table_of_results(grids: Sequence[Grid]) -> bool:
    """Say whether a workbook is our own results.csv, as it was written or saved again by a spreadsheet program."""
    return any(_OF_RESULTS.issubset(grid.rows[0]) for grid in grids if grid.rows)


def marked_from(grids: Sequence[Grid]) -> tuple[str, ...]:
    """Return the names of the files that a marked copy was made of; none for a sheet that is no marked copy."""
    tops = [read_text(g.rows[0][0]) for g in grids if g.name.startswith("Findings") and g.rows and g.rows[0]]
    return tuple(found.group(1) for top in tops if (found := TITLE_OF_FINDINGS.match(top)))


def originals(given: Sequence[Given]) -> dict[int, int]:
    """Return, for each marked copy whose original was read too, its place and the original's."""
    found = {}
    for number, copy in enumerate(given):
        place = next((i for name in copy.made_of if (i := _original(copy, name, given)) is not None), None)
        if place is not None:
            found[number] = place
    return found


def _original(copy: Given, name: str, given: Sequence[Given]) -> int | None:
    for other in given:
        if other.path.name != name or len(other.made_of) >= len(copy.made_of):
            continue
        for place, same in enumerate(given):
            if same.sha256 == other.sha256 and same.bars and _belong_together(copy, other.path, same.bars):
                return place
    return None


def _belong_together(copy: Given, path: Path, bars: Sequence[SheetBars]) -> bool:
    """Tell whether a copy is one of this very file: it lies beside it, or half of its bars stand in it."""
    if copy.path.resolve().parent == path.resolve().parent:
        return True
    mine, theirs = ([one for table in tables for one in _reading_prints(table)] for tables in (copy.bars, bars))
    known = set(theirs)
    return bool(mine) and 2 * sum(one in known for one in mine) >= len(mine)


def _reading_prints(sheet: SheetBars) -> list[int]:
    """Return a number for each bar with at least two readings that is the same for bars of one code and readings."""
    first = sheet.marks.drop_duplicates("bar_row").set_index("bar_row")[[r.column for r in MARK_READINGS]]
    of_bars = [reading.column for reading in sheet.typed if not reading.of_mark]
    readings: pd.DataFrame = pd.concat([sheet.bars[of_bars], first], axis=1)
    enough = readings.notna().sum(axis=1).to_numpy() >= 2
    whole = pd.concat([sheet.bars[["bar"]], readings.round(6)], axis=1)
    hashes: list[int] = pd.util.hash_pandas_object(whole, index=False).to_numpy()[enough].tolist()
    return hashes
