"""Firings told by columns of the Bars table, beside a Firings table or without one (a .csv file)."""

import numpy as np
import pandas as pd

from bodytest.cones import parse_cone
from bodytest.grids.notebook import shown_value
from bodytest.intake.columns import ReadTable
from bodytest.intake.firings import read_firings
from bodytest.intake.merging import group_by
from bodytest.names import folded
from bodytest.tables import FIRING_COLUMNS, empty_table

FIRING_KEYS = ("peak_temperature", "cone", "atmosphere")
"""Columns of the Bars table that tell of firings."""


def firings_from_bars(table: ReadTable, sheet: int) -> pd.DataFrame:
    """Return one firing for each code, with what its rows agree on; contradicting rows are written down."""
    told = [key for key in FIRING_KEYS if key in table.used]
    codes = _in_one_spelling(table.text("firing"))
    if not told or not (codes != "").any():
        table.set_aside("names no firing", codes == "", *FIRING_KEYS)
        return empty_table(FIRING_COLUMNS)
    first = group_by([codes]).first
    chosen = first[codes[first] != ""]
    for key in told:
        _fill_and_compare(table, key, codes, chosen)
    extract = ReadTable(
        table.name,
        table.rows[chosen],
        {"firing": codes[chosen]} | {k: table.texts[k][chosen] for k in ("atmosphere",) if k in table.texts},
        {k: v[chosen] for k, v in table.numbers.items() if k == "peak_temperature"},
        table.used,
        {k: v[chosen] for k, v in table.raw.items() if k == "cone"},
        table.notes,
    )
    return read_firings(extract, sheet, {})


def _in_one_spelling(texts: np.ndarray) -> np.ndarray:
    """Return firing codes with every spelling of one as its first one."""
    first: dict[str, str] = {}
    usual = {text: first.setdefault(parse_cone(text) or folded(text), text) for text in dict.fromkeys(texts)}
    return np.array([usual[text] for text in texts], dtype=object)


def _fill_and_compare(table: ReadTable, key: str, codes: np.ndarray, chosen: np.ndarray) -> None:
    """Give the first row of each firing what a later row says, and write down a row that says otherwise."""
    cells = table.numbers.get(key, table.texts.get(key, table.raw.get(key)))
    if cells is None:
        return
    said = pd.Series(cells.astype(object)).replace("", np.nan)
    agreed = said.groupby(pd.factorize(codes)[0]).transform("first")
    table.use(key, (said == agreed).to_numpy() & (codes != ""))
    table.set_aside("names no firing", codes == "", key)
    for position in chosen[agreed.notna().to_numpy()[chosen]].tolist():
        cells[position] = agreed[position]
    differing = (said.notna() & agreed.notna() & (said != agreed)).to_numpy() & (codes != "")
    for position in np.flatnonzero(differing).tolist():
        words = {"value": cells[position], "firing": codes[position], "first": shown_value(agreed[position])}
        table.tell("firing-told-differently", key, position, **words)
