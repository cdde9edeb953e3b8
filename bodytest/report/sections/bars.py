"""Every bar of a body: its values, whether it was flagged or left out and why, and its readings."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from bodytest.quantities import QUANTITIES, READINGS
from bodytest.report.naming import batch_name, group_names
from bodytest.report.table import Cell, Column, Table, table, without_empty_columns
from bodytest.report.wording import Voice
from bodytest.results import Group

if TYPE_CHECKING:
    import pandas as pd

FLAGGABLE = ("total_shrinkage", "absorption", "drying_shrinkage")
"""Quantities whose flags are shown beside the bars."""
_VALUES_SHOWN = (
    "drying_shrinkage",
    "firing_shrinkage",
    "total_shrinkage",
    "loss_on_ignition",
    "absorption",
    "bulk_density",
)


@dataclass(frozen=True)
class BarSection:
    """The bars of one body."""

    message: str
    """How many bars there are, how many stand apart, how many were left out."""
    flagged: tuple[str, ...]
    """One sentence for each bar that stands apart."""
    left_out: tuple[str, ...]
    """One sentence for each bar left out, with the reason."""
    values: Table
    """Values of each bar."""
    readings: Table
    """Readings of each bar."""


def bar_section(voice: Voice, groups: tuple[Group, ...], bars: "pd.DataFrame") -> BarSection:
    """Return the bars of a body; ``bars`` are those of its groups."""
    flagged = _flagged(voice, groups)
    left_out = _left_out(voice, bars)
    message = voice.say(
        "bars.message",
        bars=voice.count("bar", len(bars)),
        flagged=voice.count("flagged", len({f for group in groups for f in flagged_places(group)})),
        left_out=voice.count("left_out", len(left_out)),
    )
    return BarSection(message, flagged, left_out, _values(voice, groups, bars), _readings(voice, bars))


def flagged_places(group: Group) -> set[tuple[str, int]]:
    """Return sheet and row of the bars of a group that stand apart."""
    return {
        (flag.sheet, flag.row) for key in FLAGGABLE if key in group.quantities for flag in group.quantities[key].flagged
    }


def _flagged(voice: Voice, groups: tuple[Group, ...]) -> tuple[str, ...]:
    sentences = []
    for name, group in zip(group_names(voice, groups), groups, strict=True):
        for quantity in QUANTITIES:
            result = group.quantities.get(quantity.key)
            if result is None or not result.flagged or quantity.key not in FLAGGABLE:
                continue
            for flag in result.flagged:
                odd = voice.say("bars.odd_reading", reading=flag.odd_reading) if flag.odd_reading else ""
                value = voice.number(flag.value, quantity.digits, quantity.unit)
                blanks = {"bar": flag.bar, "where": name, "row": flag.row, "sheet": flag.sheet, "value": value}
                sentences.append(voice.say("bars.flagged", **blanks, quantity=quantity.name.lower()) + odd)
            without = voice.number(result.mean_without_flagged, quantity.digits + 1, quantity.unit)
            means = {"mean": voice.number(result.mean, quantity.digits + 1, quantity.unit), "without": without}
            if result.mean_without_flagged is not None:
                sentences[-1] += voice.say("bars.mean_without", **means)
    return tuple(sentences)


def _left_out(voice: Voice, bars: "pd.DataFrame") -> tuple[str, ...]:
    out = bars[bars["left_out"] != ""]
    return tuple(
        voice.say("bars.left_out", bar=bar, sheet=sheet, row=row, reason=reason)
        for bar, sheet, row, reason in zip(out["bar"], out["sheet"], out["row"], out["left_out"], strict=True)
    )


def _texts(voice: Voice, bars: "pd.DataFrame") -> list[list[Cell | str]]:
    """Return the cells that say which bar each row is."""
    columns = zip(bars["bar"], bars["batch"], bars["firing"], bars["direction"], strict=True)
    return [
        [str(bar), batch_name(voice, str(batch)), str(firing) or voice.say("name.no_firing"), str(direction)]
        for bar, batch, firing, direction in columns
    ]


def _values(voice: Voice, groups: tuple[Group, ...], bars: "pd.DataFrame") -> Table:
    shown = [q for q in QUANTITIES if q.key in _VALUES_SHOWN and q.key in bars]
    columns = [
        Column(voice.say("bars.bar")),
        Column(voice.say("batches.batch")),
        Column(voice.say("firings.firing")),
        Column(voice.say("firings.direction")),
        *(Column(_heading(q.name, q.unit), numeric=True) for q in shown),
        Column(voice.say("bars.remark")),
    ]
    numbers = [[voice.number(v, q.digits + 1) for v in _floats(bars, q.key)] for q in shown]
    remarks = _remarks(voice, groups, bars)
    rows = [
        [*texts, *(column[place] for column in numbers), remarks[place]]
        for place, texts in enumerate(_texts(voice, bars))
    ]
    return without_empty_columns(table(voice.say("bars.values_caption"), columns, rows, key="bar-values"))


def _remarks(voice: Voice, groups: tuple[Group, ...], bars: "pd.DataFrame") -> list[str]:
    apart = set[tuple[str, int]]().union(*(flagged_places(group) for group in groups))
    return [
        voice.say("bars.remark_left_out", reason=reason)
        if reason
        else voice.say("bars.remark_flagged")
        if (sheet, row) in apart
        else ""
        for sheet, row, reason in zip(bars["sheet"], bars["row"], bars["left_out"], strict=True)
    ]


def _readings(voice: Voice, bars: "pd.DataFrame") -> Table:
    shown = [reading for reading in READINGS if reading.column in bars]
    columns = [
        Column(voice.say("bars.bar")),
        Column(voice.say("bars.row"), numeric=True),
        Column(voice.say("bars.marks"), numeric=True),
        *(Column(f"{r.heading}, {'mm' if r.dimension == 'length' else 'g'}", numeric=True) for r in shown),
        Column(voice.say("bars.position")),
        Column(voice.say("bars.notes")),
    ]
    numbers = [[voice.number(v, 2) for v in _floats(bars, r.column)] for r in shown]
    who = zip(bars["bar"], bars["firing"], bars["row"], bars["marks"], bars["position"], bars["notes"], strict=True)
    rows: list[list[Cell | str]] = [
        [
            Cell(str(bar), small=str(firing)),
            str(row),
            str(marks),
            *(column[place] for column in numbers),
            str(position),
            str(notes),
        ]
        for place, (bar, firing, row, marks, position, notes) in enumerate(who)
    ]
    note = voice.say("bars.readings_note")
    return without_empty_columns(table(voice.say("bars.readings_caption"), columns, rows, note=note, key="readings"))


def _heading(name: str, unit: str) -> str:
    return f"{name}, {unit}" if unit else name


def _floats(bars: "pd.DataFrame", column: str) -> list[float]:
    return [float(value) for value in np.asarray(bars[column], dtype=float)]
