"""How hot the firings of a Firings table went: cones, temperatures with their uncertainty, heating rates."""

from typing import TYPE_CHECKING, Any

import numpy as np

from bodytest.cones import is_cone_clue, is_seger_cone, nominal_celsius, parse_cone
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


def read_cones(table: ReadTable) -> list[str]:
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
            table.tell(other or "cone-unknown", "cone", position)
            cone = text if other else None
        cones.append(cone or "")
    return cones


def read_temperatures(table: ReadTable, key: str, cones: Any) -> np.ndarray:
    """Return temperatures; one far from its cone, or from any clay firing, is asked about."""
    values = table.number(key)
    better = table.number("peak_temperature") if key == "set_temperature" else np.full(len(table), np.nan)
    for position in np.flatnonzero(~np.isnan(values) & np.isnan(better)).tolist():
        celsius = float(values[position])
        cone = cones[position]
        nominal = nominal_celsius(cone) if cone else None
        low, high = TEMPERATURE_RANGE_C
        if not low <= celsius <= high:
            shown = [in_its_unit(number, table.used[key].unit) for number in (celsius, low, high)]
            table.tell("temperature-odd", key, position, value=shown[0], low=shown[1], high=shown[2])
        elif nominal is not None and abs(celsius - nominal) > CONE_DISTANCE_C:
            _ask_about_cone(table, key, position, cone)
    return values


def read_temperature_uncertainties(table: ReadTable) -> np.ndarray:
    """Return the stated ± of each peak temperature, °C; none for one that says 0, since no kiln is exact."""
    values = table.number("temperature_expanded").copy()
    for position in np.flatnonzero(values <= 0).tolist():
        table.tell("temperature-exact", "temperature_expanded", position)
        values[position] = np.nan
    return values


def read_heating_rates(table: ReadTable) -> np.ndarray:
    """Return heating rates, °C/h; an unusual one is asked about and used where it is above zero."""
    values = table.number("heating_rate").copy()
    low, high = HEATING_RATE_RANGE
    for position in np.flatnonzero((values < low) | (values > high)).tolist():
        shown = [in_its_unit(number, table.used["heating_rate"].unit) for number in (values[position], low, high)]
        words = {"value": shown[0], "low": shown[1], "high": shown[2]}
        used = "was used" if values[position] > 0 else "was not used"
        table.tell("heating-rate-odd", "heating_rate", position, **words, used=used)
        values[position] = max(values[position], 0.0) or np.nan
    return values


def _ask_about_cone(table: ReadTable, key: str, position: int, cone: str) -> None:
    """Ask about a cone that does not belong to its temperature; a lost leading zero is the usual reason."""
    celsius = float(table.numbers[key][position])
    other = cone[1:] if cone.startswith("0") else f"0{cone}"
    nominal = nominal_celsius(other)
    fits = nominal is not None and abs(celsius - nominal) <= CONE_DISTANCE_C
    hint = f" Cone {other} would fit: spreadsheet programs drop the leading zero of a number." if fits else ""
    usual = in_its_unit(nominal_celsius(cone) or 0.0, table.used[key].unit)
    words = {"value": table.in_its_unit(key, position), "cone": cone, "nominal": usual, "hint": hint}
    table.tell("cone-far-from-temperature", key, position, **words)


def note_bare_cones(frame: "pd.DataFrame", table: ReadTable) -> None:
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
        read = ", ".join(f"{cone}, not 0{cone}" for cone in cones[:4]) + (" and so on" if len(cones) > 4 else "")
        table.tell("cone-without-zero", "cone", bare[0], count=len(bare), read=read)
