"""Every bar of a body: its values, whether it was flagged or left out and why, and its readings."""

import numpy as np
import pandas as pd

from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITIES, QUANTITY_BY_KEY, READINGS
from bodytest.report.body_part import BodyPart
from bodytest.report.charts.bars import bar_chart
from bodytest.report.charts.svg import Chart
from bodytest.report.table import Cell, Column, Table, columns_of, table
from bodytest.report.tested import Tested, group_names
from bodytest.report.wording import Voice
from bodytest.results import FlaggedBar, QuantityResult

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


def bar_section(voice: Voice, part: BodyPart) -> dict[str, object]:
    """Return the bars of a body, drawn and listed: those that stand apart or were left out, all values and readings."""
    groups, bars = part.tested, part.bars
    left_out = int((bars["left_out"] != "").sum())
    listed = bars[_listed(groups, bars)]
    message = voice.say(
        "bars.message",
        bars=voice.count("bar", len(bars)),
        flagged=voice.count("flagged", len({f for group in groups for f in flagged_places(group)})),
        left_out=voice.count("left_out", left_out),
    )
    cut = (
        voice.say("bars.cut", shown=len(listed), bars=voice.count("bar", len(bars))) if len(listed) < len(bars) else ""
    )
    return {
        "message": message,
        "charts": _charts(voice, part),
        "flagged": _flagged(voice, groups),
        "left_out": _left_out(voice, bars),
        "each": _values(voice, groups, listed),
        "readings": _readings(voice, listed),
        "cut": cut,
    }


def _charts(voice: Voice, part: BodyPart) -> list[Chart]:
    """Draw every bar, one chart for each quantity."""
    fired = any("total_shrinkage" in group.quantities for group in part.tested)
    keys = ("total_shrinkage" if fired else "drying_shrinkage", "absorption")
    bars = part.bars.assign(place=part.bars["tested"])
    made = (bar_chart(voice, part.tested, bars, key) for key in keys)
    return [one for one in made if one is not None]


def _listed(groups: tuple[Tested, ...], bars: pd.DataFrame) -> "np.typing.NDArray[np.bool_]":
    """Say which bars the tables list: all, or of very many the odd ones and the first of the others."""
    apart = set[tuple[str, int]]().union(*(flagged_places(group) for group in groups))
    flagged = [(sheet, row) in apart for sheet, row in zip(bars["sheet"], bars["row"], strict=True)]
    odd = (bars["left_out"] != "").to_numpy() | np.array(flagged, dtype=bool)
    order = np.argsort(~odd, kind="stable")
    chosen = np.zeros(len(bars), dtype=bool)
    chosen[order[:_MOST_LISTED]] = True
    return chosen


_MOST_LISTED = 300
"""Rows of a table of bars; all bars stand in a file beside the page."""


def flagged_places(group: Tested) -> set[tuple[str, int]]:
    """Return sheet and row of the bars of a group that stand apart."""
    return {
        (flag.sheet, flag.row) for key in FLAGGABLE if key in group.quantities for flag in group.quantities[key].flagged
    }


def _flagged(voice: Voice, groups: tuple[Tested, ...]) -> Table | None:
    names = ("bar", "group", "quantity", "value", "odd_reading", "mean_all", "mean_without")
    columns = columns_of(voice, "bars", names, {"value", "mean_all", "mean_without"})
    of_bars = {
        (flag.sheet, flag.row, quantity.key): _flagged_row(voice, name, quantity, result, flag)
        for name, group in zip(group_names(voice, groups), groups, strict=True)
        for quantity, result in ((QUANTITY_BY_KEY[key], group.quantities.get(key)) for key in FLAGGABLE)
        if result is not None
        for flag in result.flagged
    }
    rows = list(of_bars.values())[:_MOST_LISTED]
    if not rows:
        return None
    return table(voice.say("bars.flagged_caption"), columns, rows, note=voice.say("bars.flagged_note"), key="flagged")


def _flagged_row(
    voice: Voice, where: str, quantity: Quantity, result: QuantityResult, flag: FlaggedBar
) -> list[Cell | str]:
    numbers = (flag.value, result.mean, result.mean_without_flagged)
    value, mean, without = (voice.number(number, quantity.digits + 1, quantity.unit) for number in numbers)
    place = voice.say("bars.place", sheet=flag.sheet, row=flag.row)
    return [Cell(flag.bar, small=place), where, quantity.name, value, flag.odd_reading or "", mean, without]


def _left_out(voice: Voice, bars: pd.DataFrame) -> Table | None:
    out = bars[bars["left_out"] != ""].head(_MOST_LISTED)
    columns = columns_of(voice, "bars", ("bar", "loads.firing", "reason"))
    rows: list[list[Cell | str]] = [
        [Cell(str(bar), small=voice.say("bars.place", sheet=sheet, row=row)), str(firing), str(reason)]
        for bar, firing, sheet, row, reason in zip(
            out["bar"], out["firing"], out["sheet"], out["row"], out["left_out"], strict=True
        )
    ]
    return table(voice.say("bars.left_out_caption"), columns, rows, key="left-out") if rows else None


def _values(voice: Voice, groups: tuple[Tested, ...], bars: pd.DataFrame) -> Table:
    shown = [q for q in QUANTITIES if q.key in _VALUES_SHOWN and q.key in bars]
    columns = [
        *columns_of(voice, "bars", ("bar", "loads.firing", "firings.direction", "batches.batch")),
        *(Column(f"{q.name}, {q.unit}", numeric=True) for q in shown),
    ]
    numbers = [[voice.number(v, q.digits + 1) for v in _floats(bars, q.key)] for q in shown]
    remarks = _remarks(voice, groups, bars)
    who = zip(bars["bar"], bars["firing"], bars["direction"], bars["batch"], strict=True)
    rows: list[list[Cell | str]] = [
        [
            Cell(str(bar), small=remarks[place]),
            str(firing) or voice.say("name.no_firing"),
            str(direction),
            str(batch),
            *(column[place] for column in numbers),
        ]
        for place, (bar, firing, direction, batch) in enumerate(who)
    ]
    scrolls = len(rows) > _ROWS_ON_SCREEN
    caption = voice.say("bars.values_caption_many", bars=len(rows)) if scrolls else voice.say("bars.values_caption")
    return table(caption, columns, rows, key="bar-values")


_ROWS_ON_SCREEN = 12
"""Longer lists of bars scroll within the page."""


def _remarks(voice: Voice, groups: tuple[Tested, ...], bars: pd.DataFrame) -> list[str]:
    """Return what stands under the code of each bar."""
    apart = set[tuple[str, int]]().union(*(flagged_places(group) for group in groups))
    stated = bars["stated"] if "stated" in bars else [()] * len(bars)
    return [
        voice.say("bars.remark_left_out", reason=reason)
        if reason
        else voice.say("bars.remark_flagged")
        if (sheet, row) in apart
        else voice.say("bars.remark_stated", what=voice.joined([QUANTITY_BY_KEY[key].words for key in keys]))
        if keys
        else ""
        for sheet, row, reason, keys in zip(bars["sheet"], bars["row"], bars["left_out"], stated, strict=True)
    ]


def _readings(voice: Voice, bars: pd.DataFrame) -> Table:
    shown = [
        (one, voice.length_unit if one.dimension.instrument.name == "length" else one.dimension.unit)
        for one in READINGS
        if one.column in bars
    ]
    columns = [
        *columns_of(voice, "bars", ("bar", "row", "marks"), {"row", "marks"}),
        *(Column(f"{r.heading}, {unit}", numeric=True) for r, unit in shown),
        *columns_of(voice, "bars", ("position", "notes")),
    ]
    numbers = [
        [voice.number(v / r.dimension.units[unit], {"in": 3, "N": 1}.get(unit, 2)) for v in _floats(bars, r.column)]
        for r, unit in shown
    ]
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
    return table(voice.say("bars.readings_caption"), columns, rows, note=note, key="readings")


def _floats(bars: pd.DataFrame, column: str) -> list[float]:
    return [float(value) for value in np.asarray(bars[column], dtype=float)]
