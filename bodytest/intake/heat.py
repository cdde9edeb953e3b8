"""How hot the firings of a Firings table went: cones, temperatures with their uncertainty, heating rates."""

from typing import TYPE_CHECKING, Any

import numpy as np

from bodytest.cones import is_cone_clue, is_seger_cone, nominal_celsius, parse_cone
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import NO_READING, in_its_unit, read_text
from bodytest.intake.columns import ReadTable, filled

if TYPE_CHECKING:
    import pandas as pd

TEMPERATURE_RANGE_C = (500.0, 1450.0)
"""Peak temperatures outside only ask (soft; common practice, no source)."""
HEATING_RATE_RANGE = (15.0, 400.0)
"""Heating rates near the top, °C/h, outside of which we ask (soft; common practice, no source)."""
CONE_DISTANCE_C = 110.0
"""Degrees between a peak temperature and the cone's nominal one above which we ask (soft)."""


def read_cones(table: ReadTable, notes: Notebook) -> list[str]:
    """Return the cones as on the chart, Seger cones and how cones stood as text; ``""`` where nothing can be told."""
    cells = table.raw.get("cone")
    if cells is None:
        return [""] * len(table)
    cones, told = [], filled(cells)
    for position, cell in enumerate(cells):
        text = read_text(cell)
        cone = parse_cone(text) if told[position] else None
        if told[position] and cone is None and text.lower() not in NO_READING:
            other = "cone-of-another-series" if is_seger_cone(text) else "cone-clue" if is_cone_clue(text) else None
            write_of_cell(other or "cone-unknown", table, "cone", position, notes)
            cone = text if other else None
        cones.append(cone or "")
    return cones


def read_temperatures(table: ReadTable, key: str, cones: Any, notes: Notebook) -> np.ndarray:
    """Return temperatures; one far from its cone, or from any clay firing, is asked about."""
    values = table.number(key)
    better = table.number("peak_temperature") if key == "set_temperature" else np.full(len(table), np.nan)
    for position in np.flatnonzero(~np.isnan(values) & np.isnan(better)).tolist():
        celsius = float(values[position])
        place: dict[str, Any] = {"table": table.name, "row": int(table.rows[position]), "column": table.place(key)}
        cone = cones[position]
        nominal = nominal_celsius(cone) if cone else None
        low, high = TEMPERATURE_RANGE_C
        if not low <= celsius <= high:
            shown = [in_its_unit(number, table.used[key].unit) for number in (celsius, low, high)]
            notes.add("temperature-odd", **place, value=shown[0], low=shown[1], high=shown[2])
        elif nominal is not None and abs(celsius - nominal) > CONE_DISTANCE_C:
            _ask_about_cone(celsius, cone, table.used[key].unit, place, notes)
    return values


def read_temperature_uncertainties(table: ReadTable, notes: Notebook) -> np.ndarray:
    """Return the stated ± of each peak temperature, °C; none for one that says 0, since no kiln is exact."""
    values = table.number("temperature_expanded").copy()
    for position in np.flatnonzero(values <= 0).tolist():
        write_of_cell("temperature-exact", table, "temperature_expanded", position, notes)
        values[position] = np.nan
    return values


def read_heating_rates(table: ReadTable, notes: Notebook) -> np.ndarray:
    """Return heating rates, °C/h; an unusual one is asked about and used where it is above zero."""
    values = table.number("heating_rate").copy()
    low, high = HEATING_RATE_RANGE
    for position in np.flatnonzero((values < low) | (values > high)).tolist():
        shown = [in_its_unit(number, table.used["heating_rate"].unit) for number in (values[position], low, high)]
        place: dict[str, Any] = {
            "table": table.name,
            "row": int(table.rows[position]),
            "column": table.place("heating_rate"),
        }
        used = "was used" if values[position] > 0 else "was not used"
        notes.add("heating-rate-odd", **place, value=shown[0], low=shown[1], high=shown[2], used=used)
        values[position] = max(values[position], 0.0) or np.nan
    return values


def _ask_about_cone(celsius: float, cone: str, unit: str, place: dict[str, Any], notes: Notebook) -> None:
    """Ask about a cone that does not belong to its temperature; a lost leading zero is the usual reason."""
    other = cone[1:] if cone.startswith("0") else f"0{cone}"
    nominal = nominal_celsius(other)
    fits = nominal is not None and abs(celsius - nominal) <= CONE_DISTANCE_C
    hint = f" Cone {other} would fit: spreadsheet programs drop the leading zero of a number." if fits else ""
    notes.add(
        "cone-far-from-temperature",
        **place,
        value=in_its_unit(celsius, unit),
        cone=cone,
        nominal=in_its_unit(nominal_celsius(cone) or 0.0, unit),
        hint=hint,
    )


def note_bare_cones(frame: "pd.DataFrame", table: ReadTable, notes: Notebook) -> None:
    """Note once when cones are numbers and no temperature tells whether a leading zero was lost."""
    cells = table.raw.get("cone")
    if cells is None:
        return
    untold = frame["set_temperature_c"].isna() & frame["peak_temperature_c"].isna()
    bare = [
        i
        for i, cone in enumerate(frame["cone"])
        if cone and untold[i] and not isinstance(cells[i], str) and parse_cone(f"0{read_text(cells[i])}")
    ]
    if bare:
        cones = list(dict.fromkeys(str(frame["cone"].iloc[i]) for i in bare))
        write_of_cell(
            "cone-without-zero",
            table,
            "cone",
            bare[0],
            notes,
            count=len(bare),
            read=", ".join(f"{cone}, not 0{cone}" for cone in cones[:4]) + (" and so on" if len(cones) > 4 else ""),
        )


def write_of_cell(code: str, table: ReadTable, key: str, position: int, notes: Notebook, **words: object) -> None:
    """Write down a finding about one cell of a firing."""
    cell = read_text(cell_of(table, key, position))
    place = table.place(key)
    notes.add(code, table=table.name, row=int(table.rows[position]), column=place, value=cell, **words)


def cell_of(table: ReadTable, key: str, position: int) -> Any:
    """Return one cell of a firing as typed, ``""`` where the table has no such column."""
    return table.raw[key][position] if key in table.raw else ""
