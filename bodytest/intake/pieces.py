"""The Pieces table: real ware, measured wet and fired."""

import numpy as np
import pandas as pd

from bodytest.intake.columns import ReadTable
from bodytest.tables import PIECE_COLUMNS


def read_pieces(table: ReadTable, sheet: int) -> pd.DataFrame:
    """Return the pieces of one workbook; a fired size above the wet one cannot be used."""
    columns: dict[str, np.ndarray] = {"sheet": np.full(len(table), sheet), "row": table.rows}
    for key in ("piece", "body", "batch", "firing", "dimension", "notes"):
        columns[key] = table.text(key)
        table.use(key, columns[key] != "")
    for key in ("wet_size", "leather_hard_size", "fired_size"):
        columns[f"{key}_mm"] = table.number(key).copy()
        table.use(key, ~np.isnan(table.number(key)))
    _refuse_growth(columns, table)
    return pd.DataFrame(columns)[list(PIECE_COLUMNS)]


def _refuse_growth(columns: dict[str, np.ndarray], table: ReadTable) -> None:
    wet, fired = columns["wet_size_mm"], columns["fired_size_mm"]
    for position in np.flatnonzero(fired > wet).tolist():
        sizes = {size: table.in_its_unit(f"{size}_size", position) for size in ("wet", "fired")}
        table.tell("piece-grew", "fired_size", position, value=sizes["fired"], **sizes)
        table.notes.mention(**table.at("wet_size", position))
        wet[position] = fired[position] = np.nan
