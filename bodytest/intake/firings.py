"""The Firings table: cones, dates and temperatures of each kiln firing."""

import datetime
import math
from typing import TYPE_CHECKING, Any

import numpy as np

from bodytest.cones import is_cone_clue, is_seger_cone, nominal_celsius, parse_cone
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import NO_READING, in_its_unit, read_date, read_text
from bodytest.intake.columns import ReadTable, filled
from bodytest.tables import FIRING_COLUMNS

if TYPE_CHECKING:
    import pandas as pd

PURPOSES = ("bisque", "final", "test")
"""What a firing can be for."""
TEMPERATURE_RANGE_C = (500.0, 1450.0)
"""Peak temperatures outside only ask (soft; common practice, no source)."""
CONE_DISTANCE_C = 110.0
"""Degrees between a peak temperature and the cone's nominal one above which we ask (soft)."""


def read_firings(table: ReadTable, sheet: int, notes: Notebook, codes: dict[str, int]) -> "pd.DataFrame":
    """Return the firings of one table; ``codes`` are those of earlier tables of the workbook with their rows."""
    import pandas as pd

    frame = pd.DataFrame({"sheet": np.full(len(table), sheet), "row": table.rows})
    for key in ("firing", "kiln", "programme", "atmosphere", "notes"):
        frame[key] = table.text(key)
    frame["date"] = [_date(table, i, notes) for i in range(len(table))]
    frame["purpose"] = [_purpose(table, i, notes) for i in range(len(table))]
    frame["cone"] = read_cones(table, notes)
    for key in ("set_temperature", "peak_temperature"):
        frame[f"{key}_c"] = _temperatures(table, key, frame["cone"], notes)
    _note_bare_cones(frame, table, notes)
    frame["temperature_expanded_c"] = _temperature_uncertainties(table, notes)
    frame["hold_min"] = table.number("hold")
    keep = _once(frame["firing"], table, notes, codes)
    _account_for(frame, keep, table)
    return frame.loc[keep, list(FIRING_COLUMNS)].reset_index(drop=True)


def _account_for(frame: "pd.DataFrame", keep: np.ndarray, table: ReadTable) -> None:
    """Mark what went into the table of firings, and the rows and dashes that did not."""
    table.set_aside("row not read", ~keep)
    for key in table.used:
        for column in {key, f"{key}_c", f"{key}_min"} & set(frame):
            table.use(key, (frame[column].notna() & (frame[column] != "")).to_numpy())
    for key, cells in table.raw.items():
        texts = np.array([read_text(cell).lower() for cell in cells], dtype=object)
        table.set_aside("dash for nothing", np.isin(texts, list(NO_READING)), key)
        table.set_aside("only blanks", (texts == "") & filled(cells), key)


def empty_firings() -> "pd.DataFrame":
    """Return a Firings table without rows."""
    import pandas as pd

    numbers = {"set_temperature_c", "peak_temperature_c", "temperature_expanded_c", "hold_min"}
    kinds = {**dict.fromkeys(("sheet", "row"), "int64"), **dict.fromkeys(numbers, "float64")}
    return pd.DataFrame({name: np.array([], dtype=kinds.get(name, "object")) for name in FIRING_COLUMNS})


def _cell(table: ReadTable, key: str, position: int) -> Any:
    return table.raw[key][position] if key in table.raw else ""


def _date(table: ReadTable, position: int, notes: Notebook) -> str:
    cell = _cell(table, "date", position)
    date = read_date(cell)
    if date is None:
        _write("date-unclear", table, "date", position, notes)
        return ""
    if date > datetime.date.today().isoformat():
        _write("date-after-today", table, "date", position, notes)
    return date


def _purpose(table: ReadTable, position: int, notes: Notebook) -> str:
    text = read_text(_cell(table, "purpose", position)).casefold()
    text = "bisque" if text == "biscuit" else text
    if text and text not in PURPOSES and text not in NO_READING:
        _write("choice-unknown", table, "purpose", position, notes, heading="purpose", choices=", ".join(PURPOSES))
        return ""
    return text if text in PURPOSES else ""


def _write(code: str, table: ReadTable, key: str, position: int, notes: Notebook, **words: object) -> None:
    cell = read_text(_cell(table, key, position))
    place = table.place(key)
    notes.add(code, table=table.name, row=int(table.rows[position]), column=place, value=cell, **words)


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
            _write(other or "cone-unknown", table, "cone", position, notes)
            cone = text if other else None
        cones.append(cone or "")
    return cones


def _temperatures(table: ReadTable, key: str, cones: Any, notes: Notebook) -> np.ndarray:
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


def _temperature_uncertainties(table: ReadTable, notes: Notebook) -> np.ndarray:
    """Return the stated ± of each peak temperature, °C; none for one that says 0, since no kiln is exact."""
    values = table.number("temperature_expanded").copy()
    for position in np.flatnonzero(values <= 0).tolist():
        _write("temperature-exact", table, "temperature_expanded", position, notes)
        values[position] = np.nan
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


def _note_bare_cones(frame: "pd.DataFrame", table: ReadTable, notes: Notebook) -> None:
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
        _write(
            "cone-without-zero",
            table,
            "cone",
            bare[0],
            notes,
            count=len(bare),
            read=", ".join(f"{cone}, not 0{cone}" for cone in cones[:4]) + (" and so on" if len(cones) > 4 else ""),
        )


def _once(texts: "pd.Series[str]", table: ReadTable, notes: Notebook, kept: dict[str, int]) -> np.ndarray:
    """Tell which rows are the first one with their code; a later row is written down."""
    keep = np.zeros(len(texts), dtype=bool)
    column = table.place("firing")
    for position, code in enumerate(texts):
        row = int(table.rows[position])
        if not code:
            notes.add("firing-without-code", table=table.name, row=row, column=column)
        elif code.casefold() in kept:
            first = kept[code.casefold()]
            notes.add("firing-twice", table=table.name, row=row, column=column, value=code, first=first)
        else:
            kept[code.casefold()] = row
            keep[position] = True
    return keep


def complete_firings(firings: "pd.DataFrame") -> None:
    """Give the rows of one firing code in several workbooks what any of them says of it."""
    codes = firings["firing"].str.casefold()
    for column in FIRING_COLUMNS[3:] if codes.duplicated().any() else ():
        given = firings[column].where(firings[column] != "")
        filled_in = given.fillna(given.groupby(codes).transform("first"))
        firings[column] = filled_in if firings[column].dtype == float else filled_in.fillna("")


def table_of(load: Any, tables: list[list[ReadTable]]) -> ReadTable | None:
    """Return the table of its workbook in which a load stands."""
    mine = (t for t in tables[load.sheet] if any(t.text("firing")[t.rows == load.row] == load.firing))
    return next(mine, None)


def contradicting_firings(firings: "pd.DataFrame", notebooks: list[Notebook], tables: list[list[ReadTable]]) -> None:
    """Write down firing codes that mean different firings in different workbooks."""
    seen: dict[str, Any] = {}
    records: list[Any] = list(firings.itertuples(index=False))
    for record in records:
        known = seen.setdefault(record.firing.casefold(), record)
        if known is record or known.sheet == record.sheet:
            continue
        for name, words in _SAME:
            mine, other = getattr(record, name), getattr(known, name)
            if _given(mine) and _given(other) and mine != other:
                notebooks[record.sheet].add(
                    "firing-contradicts",
                    table=table.name if (table := table_of(record, tables)) else None,
                    row=int(record.row),
                    value=record.firing,
                    what=words,
                    mine=_shown(mine),
                    theirs=_shown(other),
                    other=notebooks[known.sheet].sheet,
                )
                break


_SAME = (
    ("cone", "cone"),
    ("peak_temperature_c", "peak temperature"),
    ("set_temperature_c", "set temperature"),
    ("date", "date"),
    ("kiln", "kiln"),
    ("atmosphere", "atmosphere"),
)


def _given(value: Any) -> bool:
    return bool(value != "") and not (isinstance(value, float) and math.isnan(value))


def _shown(value: Any) -> str:
    return f"{value:.0f} °C" if isinstance(value, float) else str(value)
