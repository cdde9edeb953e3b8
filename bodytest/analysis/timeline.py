"""Batches over time: the mean of each batch in its order, with limits, and what is new. Loads, for control bars."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

import numpy as np
import pandas as pd

from bodytest.analysis.control_bars import KnownLoads, corrected_points, known_loads
from bodytest.analysis.timeline_words import RULES, messages_for, notes_for
from bodytest.lab.record import Quantity
from bodytest.over_time import ChartPoint, Order, ShiftedLevel, Timeline
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.results import Group, Results
from bodytest.stats.control_chart import ewma_chart, individuals_chart, newest_shift

FEWEST_BATCHES = 3
"""Fewer batches have no limits."""
WEIGHT = 0.3
"""Weight of the newest batch in the running average."""


_Alike = tuple[str, str, str | None]
"""What bars of several bodies have in common that are fired and measured alike: programme, direction and method."""


def timelines(
    results: Results, quantity_key: str, *, order: Order = "date", reference: int | None = None
) -> tuple[Timeline, ...]:
    """Return one timeline for each body and programme that has readings for the quantity.

    Parameters:
        results: what the analysis found.
        quantity_key: key of `bodytest.quantities.QUANTITIES`.
        order: by date of firing, or as listed; without a date for each batch always as listed.
        reference: how many of the first batches set the limits, at least three; when None those before the newest
            shift, or all.
    """
    quantity = QUANTITY_BY_KEY[quantity_key]
    bars = results.bars
    known = (bars["left_out"] == "") & bars[quantity_key].notna() & (bars["group"] >= 0)
    counted = bars.loc[known, ["sheet", "bar", "batch", "firing", "group", quantity_key]]
    if not quantity.needs_firing:
        counted = counted.drop_duplicates(["sheet", "bar"])
    programmes = {code: one.programme for one in results.programmes for code in one.loads}
    of_series: dict[tuple[str, _Alike], list[int]] = {}
    for at, group in enumerate(results.groups):
        of_series.setdefault((group.body, _alike(group, quantity, programmes)), []).append(at)
    rows = {one: counted[counted["group"].isin(groups)] for one, groups in of_series.items()}
    control = results.lab.control_body if quantity.needs_firing else None
    loads = {alike: known_loads(mine, quantity_key) for (body, alike), mine in rows.items() if body == control}
    return tuple(
        _timeline(results, quantity, (body, *alike), mine, (order, reference, control, loads.get(alike)))
        for (body, alike), mine in rows.items()
        if len(mine)
    )


def _alike(group: Group, quantity: Quantity, programmes: dict[str, str]) -> _Alike:
    return (
        programmes.get(group.firing, "not fired") if quantity.needs_firing else "",
        group.direction if quantity.by_direction else "",
        group.absorption_method if quantity.by_soaking else None,
    )


_Wanted = tuple[Order, int | None, str | None, KnownLoads | None]
"""Order, number of first batches that set the limits, control body, and what control bars say of loads."""


def _timeline(
    results: Results, quantity: Quantity, of: tuple[str, str, str, str | None], rows: pd.DataFrame, wanted: _Wanted
) -> Timeline:
    order, reference, control, loads = wanted
    kind: Literal["clay", "kiln"] = "kiln" if control and of[0] == control else "clay"
    column = "firing" if kind == "kiln" else "batch"
    named = rows[rows[column] != ""]
    points, used = _in_order(list(_points(results, quantity, named, column)), order)
    if kind == "clay" and loads:
        points = list(corrected_points(points, named, quantity.key, loads))
    bare = Timeline(
        *of,
        quantity=quantity.key, unit=quantity.unit, order=used, kind=kind, points=tuple(points),
        load_sd=loads.history.load_sd if loads else None, rules=tuple(RULES.values()),
        reference=(), centre=None, batch_sd=None, low=None, high=None, shift=None, newest_signal=None,
        summary="", notes=(), message="",
    )  # fmt: skip
    chart = _with_limits(bare, reference)
    messages = messages_for(quantity, chart)
    notes = notes_for(chart, undated=used != order == "date", nameless=len(rows) - len(named))
    return replace(chart, summary=" ".join(messages), notes=notes, message=messages[0])


def _in_order(points: list[ChartPoint], wanted: Order) -> tuple[list[ChartPoint], Order]:
    """Return the points by date, where that is wanted and all have one, else as listed; and which it is."""
    if wanted == "date" and all(point.date for point in points):
        return sorted(points, key=lambda point: point.date or ""), "date"
    return points, "listed"


def _points(results: Results, quantity: Quantity, rows: pd.DataFrame, column: str) -> Iterator[ChartPoint]:
    for name, of_batch in rows.groupby(column, sort=False):
        groups = [results.groups[int(at)] for at in dict.fromkeys(of_batch["group"])]
        dates = [group.date for group in groups if group.date]
        values = of_batch[quantity.key].to_numpy(dtype=np.float64)
        yield ChartPoint(
            batch=str(name),
            firings=tuple(dict.fromkeys(group.firing for group in groups if group.firing)),
            date=min(dates, default=None),
            bars=len(values),
            mean=float(values.mean()),
        )


def _with_limits(bare: Timeline, reference: int | None) -> Timeline:
    """Return a timeline with limits: those of the first points, or of the level before the newest shift, or of all."""
    points = bare.points
    if len(points) < FEWEST_BATCHES:
        return bare
    values = np.array([point.charted for point in points], dtype=np.float64)
    shift = newest_shift(values)
    since, until = (shift.begins, shift.at) if shift else (0, len(points))
    if reference is not None:
        since, until = 0, min(reference, len(points))
    single = individuals_chart(values, reference=until, since=since)
    running = ewma_chart(values[since:], centre=single.centre, sd=single.sd, weight=WEIGHT)
    broken = {
        "shift": set(range(shift.at, len(points))) if shift else set(),
        "outside": set(single.outside),
        "drift": {since + at for at in running.outside},
        "run": set(single.runs),
    }
    charted = [
        replace(
            point,
            average=running.averages[at], average_low=running.low[at], average_high=running.high[at],
            signals=tuple(rule for rule, where in broken.items() if since + at in where),
        )
        for at, point in enumerate(points[since:])
    ]  # fmt: skip
    level = ShiftedLevel(points[shift.at].batch, shift.before, shift.after, len(points) - shift.at) if shift else None
    return replace(
        bare, points=(*points[:since], *charted), reference=tuple(point.batch for point in points[since:until]),
        centre=single.centre, batch_sd=single.sd, low=single.low, high=single.high, shift=level,
        newest_signal=next((point.batch for point in reversed(charted) if point.signals), None),
    )  # fmt: skip
