"""The Firings table: cones, dates and temperatures of each kiln firing."""

import datetime
import math
from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np
import pandas as pd

from bodytest.cones import is_cone_clue, is_seger_cone, nominal_celsius, parse_cone
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import NO_READING, day_number, in_its_unit, read_date, read_text
from bodytest.intake.columns import ReadTable, filled
from bodytest.intake.days import FiringDay
from bodytest.intake.lost_zeros import note_bare_cones
from bodytest.tables import FIRING_COLUMNS

PURPOSES = ("bisque", "final", "test")
"""What a firing can be for."""


def read_firings(table: ReadTable, sheet: int, codes: dict[str, int]) -> pd.DataFrame:
    """Return the firings of one table; ``codes`` are those of earlier tables of the workbook with their rows."""
    frame = pd.DataFrame({"sheet": np.full(len(table), sheet), "row": table.rows})
    for key in ("firing", "kiln", "programme", "atmosphere", "notes"):
        frame[key] = table.text(key)
    frame["date"] = [_date(table, i) for i in range(len(table))]
    frame["purpose"] = [_purpose(table, i) for i in range(len(table))]
    frame["cone"] = read_cones(table)
    for key in ("set_temperature", "peak_temperature"):
        frame[f"{key}_c"] = read_temperatures(table, key, frame["cone"])
    note_bare_cones(frame, table)
    frame["temperature_expanded_c"] = read_temperature_uncertainties(table)
    frame["hold_min"] = table.number("hold")
    frame["heating_rate_c_per_h"] = read_heating_rates(table)
    keep = _once(frame["firing"], table, codes)
    _account_for(frame, keep, table)
    return frame.loc[keep, list(FIRING_COLUMNS)].reset_index(drop=True)


def _account_for(frame: pd.DataFrame, keep: np.ndarray, table: ReadTable) -> None:
    """Mark what went into the table of firings, and the rows and dashes that did not."""
    table.set_aside("row not read", ~keep)
    for key in table.used:
        for column in {key, f"{key}_c", f"{key}_min", f"{key}_c_per_h"} & set(frame):
            table.use(key, (frame[column].notna() & (frame[column] != "")).to_numpy())
    for key in table.raw:
        table.set_nothing_aside(key)


def _date(table: ReadTable, position: int) -> str:
    date = read_date(table.typed("date", position))
    if date is None:
        table.tell("date-unclear", "date", position, more="", what="the firing was read without one")
        return ""
    if date > datetime.date.today().isoformat():
        words = {"more": "", "what": "the firing was read as if it had taken place"}
        table.tell("date-after-today", "date", position, **words)
    return date


def _purpose(table: ReadTable, position: int) -> str:
    text = read_text(table.typed("purpose", position)).casefold()
    text = "bisque" if text == "biscuit" else text
    if text and text not in PURPOSES and text not in NO_READING:
        table.tell("choice-unknown", "purpose", position, heading="purpose", choices=", ".join(PURPOSES))
        return ""
    return text if text in PURPOSES else ""


def _once(texts: "pd.Series[str]", table: ReadTable, kept: dict[str, int]) -> np.ndarray:
    """Tell which rows are the first one with their code; a later row is written down."""
    keep = np.zeros(len(texts), dtype=bool)
    for position, code in enumerate(texts):
        if not code:
            table.tell("firing-without-code", "firing", position, value=None)
        elif code.casefold() in kept:
            table.tell("firing-twice", "firing", position, value=code, first=kept[code.casefold()])
        else:
            kept[code.casefold()] = int(table.rows[position])
            keep[position] = True
    return keep


def complete_firings(firings: pd.DataFrame) -> pd.DataFrame:
    """Return firings, of each code one row of each workbook, with what any row of it says."""
    codes = firings["firing"].str.casefold()
    firings = firings.copy()
    for column in FIRING_COLUMNS[3:] if codes.duplicated().any() else ():
        given = firings[column].where(firings[column] != "")
        filled_in = given.fillna(given.groupby(codes).transform("first"))
        firings[column] = filled_in if firings[column].dtype == float else filled_in.fillna("")
    return firings[~pd.DataFrame({"sheet": firings["sheet"], "code": codes}).duplicated()].reset_index(drop=True)


def table_of(load: Any, tables: list[list[ReadTable]]) -> ReadTable | None:
    """Return the table of its workbook in which a load stands."""
    mine = (t for t in tables[load.sheet] if any(t.text("firing")[t.rows == load.row] == load.firing))
    return next(mine, None)


def place_of(load: Any, key: str, tables: list[list[ReadTable]]) -> dict[str, Any]:
    """Return where a load's cell of a column stands; nothing where no table holds the load."""
    table = table_of(load, tables)
    return {"table": table.name, "row": int(load.row), "column": table.place(key)} if table else {}


def first_difference(load: Any, other: Any, columns: Iterable[str]) -> tuple[str, Any, Any] | None:
    """Return the first column in which two loads say different things, and what they say."""
    pairs = ((column, getattr(load, column), getattr(other, column)) for column in columns)
    return next((found for found in pairs if all(map(_given, found[1:])) and found[1] != found[2]), None)


def firing_days(firings: pd.DataFrame, tables: list[list[ReadTable]]) -> dict[str, FiringDay]:
    """Return the date of each firing that has one, by its code, with the first cell that tells it."""
    days: dict[str, FiringDay] = {}
    loads: list[Any] = list(firings.itertuples(index=False))
    for load in loads:
        table = table_of(load, tables) if load.date else None
        if table is not None and table.typed("date", table.rows.tolist().index(load.row)) != "":
            cell = table.notes.address(table.name, int(load.row), table.place("date") or 0)
            days.setdefault(load.firing, FiringDay(day_number(load.date) or 0.0, cell, table.notes.sheet))
    return days


def contradicting_firings(frames: Iterable[tuple[ReadTable, pd.DataFrame]]) -> None:
    """Write down firing codes that mean different firings in different workbooks, or in two tables of one."""
    seen: dict[str, tuple[Any, Notebook]] = {}
    records: Iterator[tuple[Any, ReadTable]] = (
        (record, table) for table, frame in frames for record in frame.itertuples(index=False)
    )
    for record, table in records:
        known, notes = seen.setdefault(record.firing.casefold(), (record, table.notes))
        if differing := first_difference(record, known, _SAME):
            column, mine, theirs = differing[0].removesuffix("_c"), *map(_shown, differing[1:])
            place: dict[str, Any] = {"table": table.name, "row": int(record.row)}
            if notes is table.notes:
                words = {"value": mine, "firing": record.firing, "first": theirs}
                notes.add("firing-told-differently", **place, column=table.place(column), **words)
            else:
                words = {"what": column.replace("_", " "), "mine": mine, "theirs": theirs}
                words |= {"value": record.firing, "other": notes.sheet}
                table.notes.add("firing-contradicts", **place, column=table.place("firing"), **words)


_SAME = ("cone", "peak_temperature_c", "set_temperature_c", "date", "kiln", "atmosphere")
"""Columns in which a firing of one code is the same in all workbooks."""


def _given(value: Any) -> bool:
    return bool(value != "") and not (isinstance(value, float) and math.isnan(value))


def _shown(value: Any) -> str:
    return f"{value:.0f} °C" if isinstance(value, float) else str(value)


TEMPERATURE_RANGE_C = (500.0, 1450.0)
"""Peak temperatures outside only ask (soft; common practice, no source)."""
HEATING_RATE_RANGE = (15.0, 400.0)
"""Heating rates near the top, °C/h, outside of which we ask (soft; common practice, no source)."""
CONE_DISTANCE_C = 110.0
"""Degrees between a peak temperature and the cone's nominal one above which we ask (soft)."""
ZERO_LOST_C = (30.0, 60.0)
"""Degrees to the cone with a zero more or less, at most, and to the cone itself, at least, where a zero was lost."""


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
        elif nominal is not None and (abs(celsius - nominal) > CONE_DISTANCE_C or _zero_lost(cone, celsius)):
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


def _zero_lost(cone: str, celsius: float) -> bool:
    """Tell whether a temperature belongs to the cone of the same number with, or without, a leading zero.

    >>> _zero_lost("4", 1060.0), _zero_lost("4", 1160.0), _zero_lost("1", 1119.0)
    (True, False, False)
    """
    own, other = nominal_celsius(cone), nominal_celsius(_with_zero_changed(cone))
    far, near = (abs(celsius - (nominal or np.inf)) for nominal in (own, other))
    return near <= ZERO_LOST_C[0] and far > ZERO_LOST_C[1]


def _with_zero_changed(cone: str) -> str:
    return cone[1:] if cone.startswith("0") else f"0{cone}"


def _ask_about_cone(table: ReadTable, key: str, position: int, cone: str) -> None:
    """Ask about a cone that does not belong to its temperature; a lost leading zero is the usual reason."""
    celsius = float(table.numbers[key][position])
    other = _with_zero_changed(cone)
    nominal = nominal_celsius(other)
    fits = nominal is not None and abs(celsius - nominal) <= CONE_DISTANCE_C
    hint = f" Cone {other} would fit: spreadsheet programs drop the leading zero of a number." if fits else ""
    usual = in_its_unit(nominal_celsius(cone) or 0.0, table.used[key].unit)
    words = {"value": table.in_its_unit(key, position), "cone": cone, "nominal": usual, "hint": hint}
    table.tell("cone-far-from-temperature", key, position, **words)
