"""Records of all blocks → one Bars table and one Firings table of our layout, each cell with its way back."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from bodytest.cones import parse_cone
from bodytest.grids.grid import Grid, Place, column_letters
from bodytest.grids.notebook import Notebook
from bodytest.intake.cells import in_unit, read_date, read_text, slashed_days, unit_typed
from bodytest.intake.layouts.averages import without_averages
from bodytest.intake.layouts.fields import COMPARED, UNKNOWN
from bodytest.intake.layouts.meant import is_reading
from bodytest.intake.layouts.records import NAMING, Cell, Reading, Record, text_in
from bodytest.intake.layouts.titles import cone_told
from bodytest.intake.layouts.told_above import fire_by_legend, tell_of_some, told_above, wet_length_told
from bodytest.intake.layouts.vocabulary import COLUMNS, Column, TableName
from bodytest.lab.record import BEFORE_FIRING
from bodytest.quantities import READING_BY_KEY
from bodytest.units import parse_measure


def our_tables(
    readings: Sequence[Reading], notes: Notebook, *, tabs: Iterable[str], firings_listed: bool
) -> list[Grid]:
    """Return a Bars table of what was read on the tabs, and a Firings table where bars name their firings by heat."""
    units: dict[str, str] = {}
    records = [row for one in readings for row in _whole(one, units, notes, firings_listed=firings_listed)]
    records = without_averages(_joined(records), units, notes)
    _name_bars(readings, records, notes)
    firings = name_firings(records, units, notes)
    _tell_bars_apart(records)
    bars = _table("bars", records, units, readings, tabs, notes)
    return [bars, _table("firings", firings, units, readings, tabs, notes)] if firings else [bars]


def _whole(reading: Reading, units: dict[str, str], notes: Notebook, *, firings_listed: bool) -> Iterator[Record]:
    """Yield the rows of a block with what stands above them, numbers in the unit of the first block."""
    own = {f.key: f.unit for f in reading.fields}
    for key, unit in own.items():
        units.setdefault(key, unit)
    fire_by_legend(reading)
    above = told_above(reading, notes, firings_listed=firings_listed) | wet_length_told(reading, units, notes)
    tell_of_some(reading, notes)
    for record in reading.records:
        converted = {
            key: Cell(in_unit(cell.value, own[key], units[key]), cell.places) if key in own else cell
            for key, cell in record.items()
        }
        yield {**converted, **{key: cell for key, cell in above.items() if key not in record}}


def _joined(records: Sequence[Record]) -> list[Record]:
    """Join rows in which no cell names a body or a firing to the row of the same bar that has other readings."""
    named: dict[str, list[Record]] = {}
    kept: set[int] = set()
    for record in sorted(records, key=_is_named, reverse=True):
        same = named.setdefault(text_in(record, "bar").casefold(), [])
        if _is_named(record):
            same.append(record)
        elif "bar" in record and len(same) == 1 and not _share_readings(record, same[0]):
            own = {key: cell for key, cell in record.items() if cell.value != "" and key not in NAMING}
            same[0] |= {**own, "bar": Cell(same[0]["bar"].value, (*same[0]["bar"].places, *own["bar"].places))}
            continue
        kept.add(id(record))
    return [record for record in records if id(record) in kept]


def _is_named(record: Record) -> bool:
    return any(cell.value != "" and cell.places for key in NAMING if (cell := record.get(key, Cell())))


def _share_readings(one: Record, other: Record) -> bool:
    return any(is_reading(key) and one[key].value != "" and other[key].value != "" for key in one.keys() & other.keys())


def _name_bars(readings: Sequence[Reading], records: Sequence[Record], notes: Notebook) -> None:
    """Name bars without a code by the row or column that they stand in."""
    across = {r.block.view.grid.name for r in readings if r.block.view.turned}
    for reading in readings:
        if "bar" not in reading.keys and not any(one.bar for one in reading.fields):
            place = next(p for h in reading.block.headings for p in h.places)
            what = "columns" if reading.block.view.turned else "rows"
            notes.add("bars-named-by-place", **place._asdict(), what=what)
    for number, record in enumerate(records, start=1):
        if record.get("bar", Cell()).value == "" and "mark" not in record:
            places = (p for key in (*filter(is_reading, record), *record) for p in record[key].places)
            first = next(places, None)
            column = f"column {column_letters(first.column)}" if first and first.table in across else ""
            record["bar"] = Cell(column or (f"row {first.row}" if first else f"bar {number}"))


def _tell_bars_apart(records: Sequence[Record]) -> None:
    """Give bars of one code that were made anew in another block, or lie in another direction, a code of their own.

    A bar that was fired again has the same unfired readings, or none, in its later row; it keeps its code.
    """
    rows: dict[str, list[Record]] = {}
    for record in records:
        if "bar" in record:  # else there is no code to tell apart
            rows.setdefault(read_text(record["bar"].value).casefold(), []).append(record)
    unfired = [r.key for r in READING_BY_KEY.values() if r.stage in BEFORE_FIRING]
    apart = False
    for same in rows.values():
        for key in unfired:
            values = {(text_in(r, "mark"), read_text(r[key].value)) for r in same if key in r}
            marks = Counter(mark for mark, value in values if value)
            apart |= any(count > 1 for count in marks.values())
    if not apart:
        return
    for same in rows.values():
        named = [k for k in ("body", "firing", "direction") if len({text_in(record, k) for record in same}) > 1]
        if named:
            for record in same:
                parts = [text_in(record, k) for k in ("bar", *named)]
                record["bar"] = Cell(" ".join(filter(None, parts)), record["bar"].places)


def _table(
    name: TableName,
    records: Sequence[Record],
    units: dict[str, str],
    readings: Sequence[Reading],
    tabs: Iterable[str],
    notes: Notebook,
) -> Grid:
    """Return records as a table of ours and tell the notebook where each of its cells stands."""
    present = {key for record in records for key in record}
    columns = [column for column in COLUMNS[name] if column.key in present]
    others = dict.fromkeys(k for r in records for k in r if k[0] in (UNKNOWN, COMPARED))
    columns += [Column(key, key[1:], "text") for key in others]
    heads: dict[str, list[Place]] = {}
    for reading in readings:
        for one in reading.fields:
            heads.setdefault(one.key, []).extend(one.heading.places)
    rows: list[list[Any]] = [[]]
    places: dict[tuple[int, int], tuple[Place, ...]] = {}
    for index, column in enumerate(columns):
        unit = units.get(column.key)
        if column.kind == "temperature" and not unit:  # told in titles or cells, each with its unit
            unit = unit_typed(record.get(column.key, Cell()).value for record in records)
        rows[0].append(f"{column.heading} ({unit})" if unit else column.heading)
        of_heat = column.key == "firing" and column.key not in heads
        told = heads.get(column.key, []) if not of_heat else [p for key in HEATS for p in heads.get(key, [])]
        places[1, index] = tuple(told)
    for number, record in enumerate(records, start=2):
        cells = [record.get(column.key, Cell()) for column in columns]
        rows.append([cell.value for cell in cells])
        places |= {(number, index): cell.places for index, cell in enumerate(cells) if cell.places}
    title = name.title() if name.title() not in notes.accounts else f"{name.title()}*"
    grid = Grid(title, rows)
    of = dict.fromkeys(r.block.view.grid.name for r in readings) or tabs
    notes.lay_out(grid, places, ", ".join(of))
    return grid


HEATS = ("cone", "peak_temperature", "date", "atmosphere")
"""Columns that tell a firing where no code does."""
TOLD_OF_FIRINGS = (*HEATS, "kiln", "programme", "purpose", "hold", "heating_rate", "set_temperature")
"""Columns that stand on our Firings table and not beside bars."""


def name_firings(records: Sequence[Record], units: dict[str, str], notes: Notebook) -> list[Record]:
    """Give each bar the code of its firing, and return the firings so named.

    A bar that names its firing keeps the code; one without any heat stays without.
    """
    days = _days([record["date"] for record in records if "date" in record])
    firings: dict[str, Record] = {}
    for record in records:
        heats = {key: record.pop(key) for key in TOLD_OF_FIRINGS if key in record}
        cone, atmosphere = cone_told(text_in(heats, "cone"))
        if atmosphere and "atmosphere" not in heats:
            places = heats["cone"].places
            heats |= {"cone": Cell(cone, places), "atmosphere": Cell(atmosphere, places)}
        measure = parse_measure(text_in(heats, "peak_temperature"))
        if measure and measure.unit:  # so that 2232F and 2232 °F are one firing
            heats["peak_temperature"] = Cell(f"{measure.value:g} {measure.unit}", heats["peak_temperature"].places)
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
    """Return each date as typed → as ISO text.

    One without a year is the same day of the only year that has it, and 4/3/23 the one of its two days that stands
    in another cell.
    """
    typed = dict.fromkeys(text for cell in cells if (text := read_text(cell.value)))
    days = {text: day for text in typed if (day := read_date(text))}
    days |= {read_text(c.value): day for c in cells if not isinstance(c.value, str) and (day := read_date(c.value))}
    for text in typed:
        if text not in days:
            may_be = slashed_days(text)
            fits = {day for day in days.values() if day in may_be or read_date(f"{text} {day[:4]}") == day}
            if len(fits) == 1:
                days[text] = fits.pop()
    return days
