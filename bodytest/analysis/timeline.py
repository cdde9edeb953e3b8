"""Batches over time: the mean of each batch in its order, with limits, and the first batch that left them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from bodytest.analysis.timeline_words import RULES, notes_for, summary_for
from bodytest.quantities import QUANTITY_BY_KEY, READING_BY_KEY, Quantity
from bodytest.results import Group, Results
from bodytest.stats.control_chart import ewma_chart, individuals_chart

if TYPE_CHECKING:
    import pandas as pd

Order = Literal["date", "listed"]
FEWEST_BATCHES = 3
"""Fewer batches have no limits."""
WEIGHT = 0.3
"""Weight of the newest batch in the running average."""


@dataclass(frozen=True)
class BatchPoint:
    """One batch on the chart."""

    batch: str
    """Its name."""
    firings: tuple[str, ...]
    """Codes of the firings that its bars stood in."""
    date: str | None
    """ISO date of the first of them."""
    bars: int
    """Bars that count."""
    mean: float
    """Their mean, in the quantity's unit."""
    average: float | None = None
    """Running average after this batch; None without limits."""
    average_low: float | None = None
    """Lower limit of the running average."""
    average_high: float | None = None
    """Upper limit of it."""
    signals: tuple[str, ...] = ()
    """Keys of `bodytest.analysis.timeline_words.RULES` that this batch breaks."""


@dataclass(frozen=True)
class Timeline:
    """The batches of one body, fired alike, in their order."""

    body: str
    """Name of the body."""
    fired: str
    """How they were fired: cone or temperature and atmosphere; ``""`` for a quantity of unfired bars."""
    direction: str
    """Direction of the measured length; ``""`` for a quantity of masses."""
    absorption_method: str | None
    """Where the quantity depends on it."""
    quantity: str
    """Key of `bodytest.quantities.QUANTITIES`."""
    unit: str
    """``%``, ``g/cm³`` or ``""``."""
    order: Order
    """By date of firing, or as listed in the sheets."""
    reference: int
    """How many of the first batches set the limits."""
    centre: float | None
    """Their mean; None with fewer than three batches, and so are the next three."""
    batch_sd: float | None
    """Standard deviation from one batch to the next, from the mean moving range."""
    low: float | None
    """Lower limit of a batch mean."""
    high: float | None
    """Upper limit of it."""
    points: tuple[BatchPoint, ...]
    """The batches in their order."""
    first_left: str | None
    """The first batch that broke a rule."""
    rules: tuple[str, ...]
    """The rules with their sources."""
    summary: str
    """The message in one or two sentences, with what to do."""
    notes: tuple[str, ...]
    """What to bear in mind."""


@dataclass(frozen=True)
class _Series:
    """What is charted together."""

    body: str
    fired: str
    direction: str
    absorption_method: str | None


def timelines(
    results: Results, quantity_key: str, *, order: Order = "date", reference: int | None = None
) -> tuple[Timeline, ...]:
    """Return one timeline for each body and way of firing that has readings for the quantity.

    Parameters:
        results: what the analysis found.
        quantity_key: key of `bodytest.quantities.QUANTITIES`.
        order: by date of firing, or as listed; without a date for each batch always as listed.
        reference: how many of the first batches set the limits, at least three; all when None.
    """
    quantity = QUANTITY_BY_KEY[quantity_key]
    bars = results.bars
    counted = bars[(bars["left_out"] == "") & bars[quantity_key].notna() & (bars["group"] >= 0)]
    if not _is_fired(quantity):
        counted = counted.drop_duplicates(["sheet", "bar"])
    series = [_series(group, quantity) for group in results.groups]
    found = []
    for one in dict.fromkeys(series):
        rows = counted[counted["group"].map(lambda at, one=one: series[int(at)] == one).astype(bool)]
        if len(rows):
            found.append(_timeline(results, quantity, one, rows, (order, reference)))
    return tuple(found)


def _stages(quantity: Quantity) -> set[str]:
    return {READING_BY_KEY[need].stage for need in quantity.needs}


def _is_fired(quantity: Quantity) -> bool:
    return not _stages(quantity) <= {"wet", "leather-hard", "dry"}


def _series(group: Group, quantity: Quantity) -> _Series:
    soaked = bool(_stages(quantity) & {"cold-soaked", "boiled", "suspended"})
    is_length = any(READING_BY_KEY[need].dimension == "length" for need in quantity.needs)
    return _Series(
        group.body,
        _fired(group) if _is_fired(quantity) else "",
        group.direction if is_length else "",
        group.absorption_method if soaked else None,
    )


def _fired(group: Group) -> str:
    """Say how a group was fired; firings with the same cone and atmosphere belong together."""
    if group.cone:
        heat = f"cone {group.cone}"
    elif group.peak_temperature_c is not None:
        heat = f"{group.peak_temperature_c:g} °C"
    else:
        heat = f"firing {group.firing}" if group.firing else "not fired"
    return f"{heat}, {group.atmosphere}" if group.atmosphere else heat


def _timeline(
    results: Results, quantity: Quantity, series: _Series, rows: "pd.DataFrame", wanted: tuple[Order, int | None]
) -> Timeline:
    order, reference = wanted
    named = rows[rows["batch"] != ""]
    points = list(_points(results, quantity, named))
    dated = all(point.date for point in points)
    used: Order = "date" if order == "date" and dated else "listed"
    if used == "date":
        points.sort(key=lambda point: point.date or "")
    setting = len(points) if reference is None else min(reference, len(points))
    chart = _charted(points, setting)
    first = next((point for point in chart.points if point.signals), None)
    return Timeline(
        body=series.body,
        fired=series.fired,
        direction=series.direction,
        absorption_method=series.absorption_method,
        quantity=quantity.key,
        unit=quantity.unit,
        order=used,
        reference=setting,
        centre=chart.centre,
        batch_sd=chart.batch_sd,
        low=chart.low,
        high=chart.high,
        points=chart.points,
        first_left=first.batch if first else None,
        rules=tuple(RULES.values()),
        summary=summary_for(quantity, chart, setting, first),
        notes=notes_for(chart, setting, undated=order == "date" and not dated, nameless=len(rows) - len(named)),
    )


def _points(results: Results, quantity: Quantity, rows: "pd.DataFrame") -> Iterator[BatchPoint]:
    for name, of_batch in rows.groupby("batch", sort=False):
        groups = [results.groups[int(at)] for at in dict.fromkeys(of_batch["group"])]
        dates = [group.date for group in groups if group.date]
        values = of_batch[quantity.key].to_numpy(dtype=np.float64)
        yield BatchPoint(
            batch=str(name),
            firings=tuple(dict.fromkeys(group.firing for group in groups if group.firing)),
            date=min(dates, default=None),
            bars=len(values),
            mean=float(values.mean()),
        )


@dataclass(frozen=True)
class Chart:
    """Points with their limits."""

    points: tuple[BatchPoint, ...]
    """The batches with what was found of each."""
    centre: float | None = None
    """As in `Timeline`."""
    batch_sd: float | None = None
    """As in `Timeline`."""
    low: float | None = None
    """As in `Timeline`."""
    high: float | None = None
    """As in `Timeline`."""


def _charted(points: list[BatchPoint], reference: int) -> Chart:
    if len(points) < FEWEST_BATCHES:
        return Chart(tuple(points))
    means = np.array([point.mean for point in points], dtype=np.float64)
    single = individuals_chart(means, reference=reference)
    running = ewma_chart(means, centre=single.centre, sd=single.sd, weight=WEIGHT)
    broken = {"outside": set(single.outside), "drift": set(running.outside), "run": set(single.runs)}
    charted = tuple(
        BatchPoint(
            point.batch, point.firings, point.date, point.bars, point.mean,
            running.averages[at], running.low[at], running.high[at],
            tuple(rule for rule, where in broken.items() if at in where),
        )
        for at, point in enumerate(points)
    )  # fmt: skip
    return Chart(charted, single.centre, single.sd, single.low, single.high)
