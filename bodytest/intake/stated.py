"""Percentages of a sheet's own: what they are of, and whether they are what the readings beside them give."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from bodytest.grids.grid import Grid
from bodytest.intake.cells import read_number
from bodytest.intake.columns import ReadTable
from bodytest.intake.heading_row import Headings, quantities_in_doubt
from bodytest.intake.layouts.headings import is_our_heading, meaning
from bodytest.intake.merging import group_by, mean_by
from bodytest.intake.same_bars import decimals_of
from bodytest.quantities import QUANTITY_BY_KEY, STATED

LEAST = 0.01
"""Percentage points below which a difference never matters."""
FEW = 3
"""Cells that differ, up to which each is asked about; of more the column is."""


def may_state(quantities: Collection[str]) -> list[str]:
    """Return which of some quantities a sheet may state."""
    return [key for key in quantities if key in STATED]


def computable(quantity: str, keys: Collection[str]) -> bool:
    """Tell whether a quantity can be computed from the readings of these columns.

    >>> computable("total_shrinkage", {"wet_length", "dry_length"}), computable("absorption", {"absorption"})
    (False, False)
    """
    return any(set(way.needs) <= set(keys) for way in QUANTITY_BY_KEY[quantity].ways)


def stand_alone(quantities: Collection[str], keys: Collection[str]) -> bool:
    """Tell whether percentages are of quantities that none of a sheet's readings gives."""
    able = may_state(quantities)
    return bool(able) and not any(computable(key, keys) for key in able)


def differing(stated: np.ndarray, computed: np.ndarray) -> np.ndarray:
    """Tell which stated values differ by more than a unit of their last digit from what readings give.

    >>> differing(np.array([11.7, 11.5, 11.6]), np.array([11.66, 11.66, np.nan])).tolist()
    [False, True, False]
    """
    return np.asarray(np.abs(stated - computed) > max(10.0 ** -decimals_of(stated), LEAST) + 1e-9)


@dataclass(frozen=True)
class _Stated:
    """One column of percentages."""

    heading: str
    """What stands above it."""
    index: int
    """Its place."""
    row: int
    """Row of its heading."""
    values: np.ndarray
    """Its numbers, row for row with the table, once for each bar."""


def compare_stated(table: ReadTable, headings: Headings, grid: Grid) -> None:
    """Ask about percentages that are not what the readings beside them give; the readings are used."""
    ours = not table.notes.is_laid_out(table.name)
    columns = {i for i in headings.computed if not (ours and is_our_heading(headings.texts[i], "bars"))}
    if not columns or not len(table):
        return
    body = grid.below(headings.first_row, max(columns) + 1, frozenset(columns))
    kept = np.isin(body.rows, table.rows)
    names = [table.text(key) for key in ("bar", "body", "batch", "firing")]
    nameless = np.where(names[0] == "", np.arange(len(table)), -1)
    by_bar = group_by([*names, nameless])
    for index in sorted(columns):
        able = may_state(meaning(headings.texts[index], "bars").quantities)
        able = [key for key in able if computable(key, table.used)]
        values = np.array([read_number(cell, "%", "percent").value for cell in body.columns[index][kept]])
        given = np.flatnonzero(~np.isnan(values))
        once = np.full(len(values), np.nan)
        first = given[np.unique(by_bar.ids[given], return_index=True)[1]]
        once[first] = values[first]
        if able and len(first):
            row = grid.row_number(headings.first_row - 1)
            _compare(_Stated(headings.texts[index], index, row, once), _computed(table, able, by_bar.ids), table)


def _computed(table: ReadTable, quantities: list[str], ids: np.ndarray) -> dict[str, np.ndarray]:
    """Return what the readings of each row's bar give, of several rows their mean."""
    keys = {key for quantity in quantities for key in QUANTITY_BY_KEY[quantity].needs}
    readings = {key: mean_by(ids, table.number(key), len(ids))[ids] for key in keys}
    return {quantity: QUANTITY_BY_KEY[quantity].value(readings) for quantity in quantities}


def _compare(one: _Stated, computed: Mapping[str, np.ndarray], table: ReadTable) -> None:
    """Tell where a column differs from the quantity that it is nearest to."""
    notes = table.notes
    differ = {key: differing(one.values, values) for key, values in computed.items()}
    nearest = min(differ, key=lambda key: int(differ[key].sum()))
    compared = int((~np.isnan(one.values) & ~np.isnan(computed[nearest])).sum())
    positions = np.flatnonzero(differ[nearest]).tolist()
    at_heading: dict[str, Any] = {"table": table.name, "row": one.row, "column": one.index}
    in_doubt = may_state(meaning(one.heading, "bars").quantities)
    if len(positions) == compared and len(in_doubt) > len(computed):
        if positions:
            notes.add("heading-in-doubt", **at_heading, value=one.heading, **quantities_in_doubt(in_doubt))
        return
    cells = [stated_words(nearest, one.values[at], computed[nearest][at]) for at in positions]
    if len(positions) > FEW:
        first = notes.address(table.name, int(table.rows[positions[0]]), one.index)
        often: dict[str, Any] = {"count": len(positions), "compared": compared, "first_cell": first}
        notes.add("stated-differs-often", **at_heading, value=one.heading, **often, **cells[0])
        return
    for at, words in zip(positions, cells, strict=True):
        place: dict[str, Any] = {"table": table.name, "row": int(table.rows[at]), "column": one.index}
        notes.add("stated-differs", **place, value=float(one.values[at]), **words)


def stated_words(quantity: str, stated: float, computed: float) -> dict[str, Any]:
    """Return what is told of a stated value and what the readings give."""
    numbers = {"stated": f"{stated:.4g}", "computed": f"{computed:.2f}"}
    return {"quantity": QUANTITY_BY_KEY[quantity].words, **{k: v.replace("-", "−") for k, v in numbers.items()}}
