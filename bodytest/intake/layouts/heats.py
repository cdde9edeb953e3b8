"""Firings that a sheet names by their heat alone: a cone, a temperature or a day becomes the firing's code."""

import re
from collections.abc import Sequence

from bodytest.cones import parse_cone
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import read_date, read_text
from bodytest.intake.layouts.records import Cell, Record
from bodytest.intake.layouts.titles import cone_told

HEATS = ("cone", "peak_temperature", "date", "atmosphere")
"""Columns that tell a firing where no code does."""
FIRING_COLUMNS = (*HEATS, "kiln", "programme", "purpose", "hold", "heating_rate", "set_temperature")
"""Columns that stand on our Firings table and not beside bars."""


def name_firings(records: Sequence[Record], units: dict[str, str], notes: Notebook) -> list[Record]:
    """Give each bar the code of its firing, and return the firings so named.

    A bar that names its firing keeps the code; one without any heat stays without.
    """
    days = _days([record["date"] for record in records if "date" in record])
    firings: dict[str, Record] = {}
    for record in records:
        heats = {key: record.pop(key) for key in FIRING_COLUMNS if key in record}
        cone, atmosphere = cone_told(read_text(heats.get("cone", Cell()).value))
        if atmosphere and "atmosphere" not in heats:
            places = heats["cone"].places
            heats |= {"cone": Cell(cone, places), "atmosphere": Cell(atmosphere, places)}
        if record.get("firing", Cell()).value != "":
            code = read_text(record["firing"].value)
        else:
            code = _code(heats, units, days)
            if not code:
                continue
            places = tuple(p for key in HEATS if key in heats for p in heats[key].places)
            record["firing"] = Cell(code, places)
        known = firings.setdefault(code, {"firing": record["firing"]})
        for key, cell in heats.items():
            if cell.value != "":
                day = days.get(read_text(cell.value), cell.value) if key == "date" else cell.value
                _add(known, key, Cell(day, cell.places), notes)
    return [firing for firing in firings.values() if len(firing) > 1]


def _add(firing: Record, key: str, cell: Cell, notes: Notebook) -> None:
    """Add what a bar says of its firing; a bar that says otherwise is written down."""
    first = firing.setdefault(key, cell)
    words = [parse_cone(text) or text for text in map(read_text, (first.value, cell.value))]
    if words[0] == words[1]:
        firing[key] = Cell(first.value, (*first.places, *(p for p in cell.places if p not in first.places)))
    elif cell.places:
        code = read_text(firing["firing"].value)
        notes.add("firing-told-differently", **cell.places[0]._asdict(), value=cell.value, firing=code, first=words[0])


def _code(heats: Record, units: dict[str, str], days: dict[str, str]) -> str:
    """Return a firing's code: ``cone 6``, ``1120 °C``, ``cone 6 2024-02-11``."""
    parts: list[str] = []
    for key in HEATS:
        cell = heats.get(key, Cell())
        text = read_text(cell.value)
        if not text or (key == "peak_temperature" and parts):
            continue
        if key == "cone":
            cone = parse_cone(text)
            text = f"cone {cone}" if cone else text
        elif key == "peak_temperature" and re.fullmatch(r"[\d.,]+", text):
            text = f"{text} {units.get(key) or '°C'}"
        elif key == "date":
            text = days.get(text, text)
        parts.append(text)
    return " ".join(parts)


def _days(cells: Sequence[Cell]) -> dict[str, str]:
    """Return each date as typed → as ISO text; one without a year is the same day of the only year that has it."""
    typed = dict.fromkeys(text for cell in cells if (text := read_text(cell.value)))
    days = {text: day for text in typed if (day := read_date(text))}
    days |= {read_text(c.value): day for c in cells if not isinstance(c.value, str) and (day := read_date(c.value))}
    for text in typed:
        if text not in days:
            fits = {day for day in days.values() if read_date(f"{text} {day[:4]}") == day}
            if len(fits) == 1:
                days[text] = fits.pop()
    return days
