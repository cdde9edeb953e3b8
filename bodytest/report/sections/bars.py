"""Every bar of a body: its values, whether it was flagged or left out and why, and its readings."""

import numpy as np
import pandas as pd

from bodytest.lab.record import Quantity
from bodytest.quantities import QUANTITIES, QUANTITY_BY_KEY, READINGS
from bodytest.report.body_part import BodyPart
from bodytest.report.charts.bars import bar_chart
from bodytest.report.charts.svg import Chart
from bodytest.report.table import Cell, Column, Table, columns_of, table
from bodytest.report.tested import Tested, named_groups
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
    flagged = _flagged_rows(voice, groups)
    apart = {(sheet, row) for sheet, row, _ in flagged}
    listed = bars[_listed(apart, bars)]
    message = voice.say(
        "bars.message",
        bars=voice.count("bar", len(bars)),
        flagged=voice.count("flagged", len(apart)),
        left_out=voice.count("left_out", left_out),
    )
    cut = (
        voice.say("bars.cut", shown=len(listed), bars=voice.count("bar", len(bars))) if len(listed) < len(bars) else ""
    )
    return {
        "message": message,
        "charts": _charts(voice, part),
        "flagged": _flagged(voice, [*flagged.values()][:_MOST_LISTED]),
        "left_out": _left_out(voice, bars),
        "each": _values(voice, apart, listed),
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


def _listed(apart: set[tuple[str, int]], bars: pd.DataFrame) -> "np.typing.NDArray[np.bool_]":
    """Say which bars the tables list: all, or of very many the odd ones and the first of the others."""
    flagged = [(sheet, row) in apart for sheet, row in zip(bars["sheet"], bars["row"], strict=True)]
    odd = (bars["left_out"] != "").to_numpy() | np.array(flagged, dtype=bool)
    order = np.argsort(~odd, kind="stable")
    chosen = np.zeros(len(bars), dtype=bool)
    chosen[order[:_MOST_LISTED]] = True
    return chosen


_MOST_LISTED = 300
"""Rows of a table of bars; all bars stand in a file beside the page."""


def _flagged_rows(voice: Voice, groups: tuple[Tested, ...]) -> dict[tuple[str, int, str], list[Cell | str]]:
    """Return what is told of each bar that stands apart, by its sheet, its row and the quantity."""
    return {
        (flag.sheet, flag.row, quantity.key): _flagged_row(voice, name, quantity, result, flag)
        for name, group in named_groups(voice, groups)
        for quantity, result in ((QUANTITY_BY_KEY[key], group.quantities.get(key)) for key in FLAGGABLE)
        if result is not None
        for flag in result.flagged
    }


def _flagged(voice: Voice, rows: list[list[Cell | str]]) -> Table | None:
    names = ("bar", "group", "quantity", "value", "odd_reading", "mean_all", "mean_without")
    columns = columns_of(voice, "bars", names, {"value", "mean_all", "mean_without"})
    note = voice.say("bars.flagged_note")
    return table(voice.say("bars.flagged_caption"), columns, rows, note=note, key="flagged") if rows else None


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
    places = [
        voice.say("bars.place", sheet=sheet, row=row) for sheet, row in zip(out["sheet"], out["row"], strict=True)
    ]
    who = zip(out["bar"], places, out["firing"], out["left_out"], strict=True)
    rows = [[Cell(bar, small=place), firing, reason] for bar, place, firing, reason in who]
    return table(voice.say("bars.left_out_caption"), columns, rows, key="left-out") if rows else None


def _values(voice: Voice, apart: set[tuple[str, int]], bars: pd.DataFrame) -> Table:
    shown = [q for q in QUANTITIES if q.key in _VALUES_SHOWN and q.key in bars]
    columns = [
        *columns_of(voice, "bars", ("bar", "loads.firing", "firings.direction", "batches.batch")),
        *(Column(f"{q.name}, {q.unit}", numeric=True) for q in shown),
    ]
    numbers = [[voice.number(v, q.digits + 1) for v in _floats(bars, q.key)] for q in shown]
    firings = [firing or voice.say("name.no_firing") for firing in bars["firing"]]
    who = zip(
        bars["bar"], _remarks(voice, apart, bars), firings, bars["direction"], bars["batch"], *numbers, strict=True
    )
    rows = [[Cell(bar, small=remark), *told] for bar, remark, *told in who]
    scrolls = len(rows) > _ROWS_ON_SCREEN
    caption = voice.say("bars.values_caption_many", bars=len(rows)) if scrolls else voice.say("bars.values_caption")
    return table(caption, columns, rows, key="bar-values")


_ROWS_ON_SCREEN = 12
"""Longer lists of bars scroll within the page."""


def _remarks(voice: Voice, apart: set[tuple[str, int]], bars: pd.DataFrame) -> list[str]:
    """Return what stands under the code of each bar."""
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
    counts = (map(str, bars[name]) for name in ("row", "marks"))
    who = zip(bars["bar"], bars["firing"], *counts, *numbers, bars["position"], bars["notes"], strict=True)
    rows = [[Cell(bar, small=firing), *told] for bar, firing, *told in who]
    note = voice.say("bars.readings_note")
    return table(voice.say("bars.readings_caption"), columns, rows, note=note, key="readings")


def _floats(bars: pd.DataFrame, column: str) -> list[float]:
    return [float(value) for value in np.asarray(bars[column], dtype=float)]
