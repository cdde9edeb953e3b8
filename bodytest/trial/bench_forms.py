"""What is written down at the bench: a form for each stage and each load, its rows in the order bars are handled."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bodytest.intake.cells import converted_back
from bodytest.lab.record import BEFORE_FIRING, Reading
from bodytest.quantities import CHOICES
from bodytest.sheet.phone_form import columns_to_type
from bodytest.tables import CheckedSheets

STAGES_OF_FORMS = {
    "wet": "Wet day: make, mark, measure and weigh at once",
    "leather-hard": "Leather-hard",
    "dry": "Dry day: dried through and cooled",
    "bisque": "After the bisque",
    "fired": "Fired",
    "cold-soaked": "Cold soak: after 24 h in cold water, blotted",
    "boiled": "After boiling: blot with a damp cloth, weigh at once",
    "broken": "Breaking",
}
"""Stage → what its form is called."""
_SAME_DAY = {"suspended": "boiled"}
_SAME_BAR = ["body", "batch", "direction", "bar"]


@dataclass(frozen=True)
class FormRow:
    """One bar, or one mark of a bar."""

    code: str
    """Code of the bar."""
    told: str
    """Body, batch and whatever else tells it from others."""
    mark: str
    """Which pair of gauge lines; empty where there is one."""
    place: str
    """Where it stands in the kiln."""
    earlier: tuple[str, ...]
    """What was read before, one for each earlier column; empty where nothing was."""
    known: tuple[str | None, ...]
    """What the sheet holds already, one for each box; None where nothing is to be read, as the mass beside mark 2."""
    note: str
    """Why it is left out, and its notes."""
    again: bool
    """Whether it is a further mark of the bar above."""


@dataclass(frozen=True)
class BenchForm:
    """One table to fill in."""

    stage: str
    """Key of `STAGES_OF_FORMS`."""
    title: str
    """What it is called."""
    facts: str
    """What is known of its load; empty elsewhere."""
    order: str
    """How its rows are ordered."""
    earlier: tuple[str, ...]
    """Headings of the columns with earlier readings."""
    boxes: tuple[str, ...]
    """Headings of the columns to write into, with their units."""
    blanks: tuple[tuple[str, ...], ...]
    """What is to be filled in above the table, line by line; what is known of it stands behind a colon."""
    rows: tuple[FormRow, ...]
    """Its rows."""


@dataclass(frozen=True)
class _Columns:
    """The readings of one form with their units."""

    stage: str
    earlier: Sequence[tuple[Reading, str]]
    boxes: Sequence[tuple[Reading, str]]


def bench_forms(sheets: CheckedSheets, stages: Iterable[str]) -> tuple[BenchForm, ...]:
    """Return the forms of one sheet for these stages, those that the sheet has columns for.

    A sheet without any column for readings gets those of a blank sheet.
    """
    known = columns_to_type(sheets.units)
    return tuple(
        form for stage in stages if (columns := _columns(stage, known)).boxes for form in _of_stage(sheets, columns)
    )


def _columns(stage: str, known: list[tuple[Reading, str]]) -> _Columns:
    """Return what is read at a stage, and before it with the same instruments; bars hang in water before blotting."""
    boxes = [one for one in known if _SAME_DAY.get(one[0].stage, one[0].stage) == stage]
    dimensions = {reading.dimension for reading, _ in boxes}
    before = known[: known.index(boxes[0])] if boxes else []
    earlier = sorted((one for one in before if one[0].dimension in dimensions), key=lambda one: not one[0].of_mark)
    return _Columns(stage, earlier, sorted(boxes, key=lambda one: (not one[0].of_mark, one[0].stage == "boiled")))


def _of_stage(sheets: CheckedSheets, columns: _Columns) -> Iterator[BenchForm]:
    """Yield the forms of a stage: one for each load after firing, else one for all bars."""
    bars, stage = sheets.bars, columns.stage
    if stage in BEFORE_FIRING or stage == "bisque":
        bars = bars.drop_duplicates(_SAME_BAR)
    for load in dict.fromkeys(bars["firing"]) if stage == "fired" else (None,):
        of_load = bars if load is None else bars[bars["firing"] == load]
        by_place = load is not None and any(of_load["position"])
        yield BenchForm(
            stage,
            STAGES_OF_FORMS[stage]
            if load is None
            else f"Load {load or 'without a code'}: into the kiln, and measured after",
            _STROKES if stage == "wet" else "" if load is None else _load_facts(sheets, load),
            "in the order of places in the kiln" if by_place else "in the order of codes",
            tuple(f"{reading.heading} ({unit})" for reading, unit in columns.earlier),
            tuple(f"{reading.heading} ({unit})" for reading, unit in columns.boxes),
            (*(() if load is None else _FIRING_BLANKS), *_blanks(sheets, columns)),
            tuple(_rows(sheets, of_load, columns, ("position", "notes", "bar") if by_place else ("bar",))),
        )


def _rows(sheets: CheckedSheets, bars: pd.DataFrame, columns: _Columns, order: Sequence[str]) -> Iterator[FormRow]:
    """Yield a row for each mark of each bar where lengths are read, else for each bar."""
    has_marks = any(reading.of_mark for reading, _ in columns.boxes)
    marks = sheets.marks.groupby("bar_row").groups
    texts = {reading: _texts(sheets, reading, unit) for reading, unit in (*columns.earlier, *columns.boxes)}
    for at in sorted(bars.index, key=lambda at: [natural(str(bars.at[at, key])) for key in order]):
        bar: dict[Any, Any] = bars.loc[at].to_dict()
        told = (bar[key] for key in (*_TOLD, *_TOLD_AT.get(columns.stage, ("firing",))))
        left_out = f"left out: {bar['left_out']}" if bar["left_out"] else ""
        of_bar = list(marks[at])[: None if has_marks else 1]
        for mark in of_bar:
            again = mark != of_bar[0]
            yield FormRow(
                bar["bar"],
                " · ".join(filter(None, told)) if not again else "",
                str(sheets.marks.at[mark, "mark"]) if len(of_bar) > 1 else "",
                bar["position"] if not again else "",
                tuple(texts[one].get(mark if one.of_mark else at, "") for one, _ in columns.earlier),
                tuple(
                    None if again and not one.of_mark else texts[one].get(mark if one.of_mark else at, "")
                    for one, _ in columns.boxes
                ),
                " · ".join(filter(None, (left_out, bar["notes"]))) if not again else "",
                again,
            )


_TOLD = ("body", "batch", "direction")
_TOLD_AT: dict[str, tuple[str, ...]] = {"fired": (), "broken": ("firing", *(choice.key for choice in CHOICES))}


def _texts(sheets: CheckedSheets, reading: Reading, unit: str) -> dict[Any, str]:
    """Return what was read, by mark or bar, in the unit of the column and with as many decimals as any of it has."""
    held = (sheets.marks if reading.of_mark else sheets.bars)[reading.column].dropna()
    shown = {at: f"{converted_back(value, unit):.6g}" for at, value in held.items()}
    decimals = max((len(text.partition(".")[2]) for text in shown.values()), default=0)
    return {at: f"{float(text):.{decimals}f}" for at, text in shown.items()}


_FIRING_BLANKS = (("fired on", "peak, °C or °F", "cone read"),)
_STROKES = "scratch a line below each 6 and 9"


def _blanks(sheets: CheckedSheets, columns: _Columns) -> tuple[tuple[str, ...], ...]:
    """Return what is filled in above a table: date, who, and for each instrument what it is and its reading step."""
    lab = sheets.sheets[int(sheets.bars["sheet"].iloc[0])].lab
    known = {"length": lab.length_instrument, "mass": lab.balance}
    told = []
    for one, unit in {reading.dimension.instrument: unit for reading, unit in columns.boxes}.items():
        step = lab.step(one.name)
        stepped = "" if step is None else f"{converted_back(step, unit):.4g} {unit}"
        told += [f"{one.tool}: {known.get(one.name) or ''}", f"reads to: {stepped}"]
    return ("measured on", f"measured by: {lab.measured_by or ''}"), tuple(told)


def _load_facts(sheets: CheckedSheets, load: str) -> str:
    """Return what the Firings table says of a load."""
    found = sheets.firings[sheets.firings["firing"] == load].to_dict("records")
    if not found:
        return ""
    one: dict[Any, Any] = found[0]
    heat = [f"cone {one['cone']}"] if one["cone"] else []
    heat += [] if pd.isna(one["set_temperature_c"]) else [f"set to {one['set_temperature_c']:g} °C"]
    words = (one["purpose"], one["programme"], one["kiln"], *heat, one["atmosphere"], one["date"])
    return " · ".join(dict.fromkeys(filter(None, words)))


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Return a key that puts numbers within texts in their order.

    >>> sorted(["B10", "B9", "A2"], key=natural)
    ['A2', 'B9', 'B10']
    """
    parts = re.findall(r"\d+|\D+", text.casefold())
    return tuple((0, int(part), part) if part.isdecimal() else (1, 0, part) for part in parts)
