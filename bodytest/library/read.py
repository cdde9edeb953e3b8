"""Files and data frames in, checked tables out."""

import datetime
import math
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bodytest.errors import UnreadableSheet, UnusableRequest
from bodytest.files.writing import sha256_of
from bodytest.findings import Finding
from bodytest.grids.grid import Grid
from bodytest.grids.opening import OpenedSource, Workbook
from bodytest.library.asked import Paths, shown, the_paths
from bodytest.reading import read_sheets as read_files
from bodytest.reading import read_sources
from bodytest.tables import CheckedSheets

if TYPE_CHECKING:
    import pandas as pd

_NAME_OF_FRAMES = "data frames"
"""What findings call the tables that a script gave."""


def read_sheets(path_or_paths: Paths) -> CheckedSheets:
    """Read filled-in sheets together, one or many, and check everything in one pass.

    A cell that cannot be used is blank in the tables and named in ``findings``; so is a file that cannot be read.

    Raises:
        UnusableRequest: no file is named.
        UnreadableSheet: a file is not there.
    """
    checked = read_files(the_paths(path_or_paths))
    for found in checked.findings:
        if found.code in {"file-not-found", "results-not-found"}:
            raise UnreadableSheet.of(found)
    return checked


def read_frames(frames: "Mapping[str, pd.DataFrame]") -> CheckedSheets:
    """Read data frames as if they were the tables of a workbook: ``{"Bars": …, "Firings": …, "Lab": …}``.

    The names of columns are headings with their units, as in ``wet length (mm)``; only Bars is needed. A column of
    readings is a column of numbers, None or NaN where nothing was read. Addresses of findings count the headings as
    row 1.

    Raises:
        UnusableRequest: that is no mapping of names to data frames.
    """
    import pandas as pd

    tables = frames.items() if isinstance(frames, Mapping) else ()
    if not tables or not all(isinstance(name, str) and isinstance(frame, pd.DataFrame) for name, frame in tables):
        raise UnusableRequest("not-frames", value=shown(frames))
    grids = [_grid(name, frame) for name, frame in tables]
    typed = "\n".join(f"{grid.name}\n{frame.to_dict('list')}" for grid, (_, frame) in zip(grids, tables, strict=True))
    workbook = Workbook(grids=grids, readable=True, sha256=sha256_of(typed.encode("utf-8", errors="replace")))
    return read_sources([OpenedSource(Path(_NAME_OF_FRAMES), workbook)])


def check(path_or_paths: Paths) -> tuple[Finding, ...]:
    """Return everything that was found in sheets: what to mend, what to look at, and notes.

    Raises:
        UnusableRequest: no file is named.
        UnreadableSheet: a file is not there.
    """
    return read_sheets(path_or_paths).findings


def _grid(name: str, frame: "pd.DataFrame") -> Grid:
    cells = frame.astype(object).to_numpy().tolist()
    return Grid(name, [[_cell(heading) for heading in frame.columns], *([_cell(one) for one in row] for row in cells)])


def _cell(value: Any) -> Any:
    """Return a value as the cell of a workbook would hold it."""
    import pandas as pd

    plain = value.item() if hasattr(value, "item") else value
    if isinstance(plain, str | bool):
        return plain
    if plain is None or plain is pd.NA or plain is pd.NaT:
        return ""
    if isinstance(plain, int | float):
        return "" if math.isnan(plain) else float(plain)
    if isinstance(plain, datetime.datetime):
        moment = plain.to_pydatetime() if isinstance(plain, pd.Timestamp) else plain
        return moment.date() if moment.time() == datetime.time() else moment.replace(tzinfo=None)
    return plain if isinstance(plain, datetime.date | datetime.time) else str(plain)
