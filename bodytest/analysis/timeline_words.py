"""What is said about batches over time: the rules with their sources, the message, what to bear in mind."""

from bodytest.lab.record import Quantity
from bodytest.over_time import ChartPoint, ShiftedLevel, Timeline
from bodytest.quantities import possible
from bodytest.rounding import decimals_for, interval_text, number_text, with_unit

RULES = {
    "shift": (
        "two levels more than 3.5 standard errors apart where the batches are split best"
        " (cumulative sums, NIST/SEMATECH e-Handbook 6.3.2.3; 2 % of steady charts by chance, by simulation)"
    ),
    "outside": (
        "one batch more than three standard deviations from the middle"
        " (individuals chart, NIST/SEMATECH e-Handbook 6.3.2.2)"
    ),
    "drift": (
        "the running average outside its limits"
        " (EWMA chart, weight 0.3 for the newest batch, NIST/SEMATECH e-Handbook 6.3.2.4)"
    ),
    "run": (
        "eight batches in a row on one side of the middle"
        " (Western Electric rules, NIST/SEMATECH e-Handbook 6.3.2, from memory)"
    ),
}
_RUN = 8
_CANNOT_STAND_OUT = 6
"""With fewer batches than this, none can lie outside limits drawn from all of them."""
_FIRM = 20
_THIN = 3
"""A batch with bars fewer than the most by this factor is named."""
_UNITS = {"clay": ("batch", "batches"), "kiln": ("load", "loads")}
_CAUSES = {
    "clay": "the clay, the water in it, or the firing",
    "kiln": "where the cone or the couple sits, the hold, how full it is",
}


def messages_for(quantity: Quantity, chart: Timeline) -> tuple[str, ...]:
    """Return what changed last, then what to do, where there is something."""
    count, kind = len(chart.points), chart.kind
    many = _UNITS[kind][1]
    if chart.low is None or chart.high is None or chart.centre is None:
        return (_too_few(count, kind),)
    if chart.shift is not None:
        return _shifted(quantity, chart, chart.shift)
    newest = next((at for at in reversed(range(count)) if chart.points[at].signals), None)
    if newest is not None:
        return _newest_signal(quantity, chart, newest)
    if len(chart.reference) == count and count < _CANNOT_STAND_OUT:
        instead = ("Compare them with each other.",) if kind == "clay" else ()
        return f"{count} {many} are too few to show an odd one.", *instead
    low = possible(quantity.key, chart.low, chart.high)
    limits = interval_text(low, chart.high, quantity.unit, otherwise=quantity.digits)
    changes = "the body changes" if kind == "clay" else "the kiln changes"
    return (f"None of the {count} {many} left the limits, {limits}: nothing here says that {changes}.",)


def _shifted(quantity: Quantity, chart: Timeline, shift: ShiftedLevel) -> tuple[str, str]:
    one, many = _UNITS[chart.kind]
    before, after = (_text(quantity, chart.batch_sd, value) for value in (shift.before, shift.after))
    first = next(point for point in chart.points if point.batch == shift.since)
    side = "higher" if shift.after > shift.before else "lower"
    since = f"{shift.batches} {many}"
    do = f"Work from the {many} since, and look for what changed: {_CAUSES[chart.kind]}."
    return f"Since {one} {_dated(first)} {quantity.name.lower()} lies {side}: {after} ({since}), before {before}.", do


def _newest_signal(quantity: Quantity, chart: Timeline, at: int) -> tuple[str, ...]:
    one, many = _UNITS[chart.kind]
    point, after = chart.points[at], len(chart.points) - 1 - at
    low, high, centre = chart.low or 0.0, chart.high or 0.0, chart.centre or 0.0
    if "outside" in point.signals:
        side, edge = ("above", high) if point.charted > centre else ("below", low)
        mean, limit = (_text(quantity, (high - low) / 2.0, value) for value in (point.charted, edge))
        if after:
            lie = f"the {one} since lies" if after == 1 else f"the {after} {many} since lie"
            return (
                f"{one.capitalize()} {_dated(point)} left the limits: {quantity.name.lower()} {mean}, {side} {limit};"
                f" {lie} within them.",
            )
        return (
            f"{one.capitalize()} {_dated(point)}, the newest, left the limits: {quantity.name.lower()} {mean}, {side}"
            f" {limit}.",
            f"Measure its bars again; if that stands, look for what changed: {_CAUSES[chart.kind]}.",
        )
    rule = "drift" if "drift" in point.signals else "run"
    began = _first_of_row(chart, at, rule)
    since = "" if not after else f"The {many} since lie within the limits. "
    do = f"Work from the newest {many}, and look for what changed: {_CAUSES[chart.kind]}."
    if rule == "run":
        row = at - began + _RUN
        side = "above" if point.charted > centre else "below"
        first = chart.points[at - row + 1].batch
        return f"{many.capitalize()} {first} to {point.batch}, {row} in a row, lie {side} the middle.", since + do
    side = "up" if (point.average or 0.0) > centre else "down"
    first = _dated(chart.points[began])
    drifts = "drifts" if not after else "drifted"
    until = "" if not after else f" to {_dated(point)}"
    return f"{quantity.name} {drifts} {side} from {one} {first}{until or ' on'}.", since + do


def _first_of_row(chart: Timeline, at: int, rule: str) -> int:
    """Return the place of the first of the unbroken row of batches up to this one that break a rule."""
    while at > 0 and rule in chart.points[at - 1].signals:
        at -= 1
    return at


def _dated(point: ChartPoint) -> str:
    return f"{point.batch} ({point.date})" if point.date else point.batch


def _text(quantity: Quantity, certain_to: float | None, value: float) -> str:
    return with_unit(number_text(value, decimals_for(certain_to, otherwise=quantity.digits)), quantity.unit)


def _too_few(count: int, kind: str) -> str:
    if count == 0:
        return "No bar names its batch, so nothing can be said about change; fill in the batch column."
    one, many = _UNITS[kind]
    shown = f"One {one} shows" if count == 1 else f"Two {many} show"
    return f"{shown} nothing about change over time; test the next ones in the same way."


def notes_for(chart: Timeline, *, undated: bool, nameless: int) -> tuple[str, ...]:
    """Return what to bear in mind; ``nameless`` are bars without a name of their batch."""
    one, many = _UNITS[chart.kind]
    notes = []
    if undated and len(chart.points) > 1:
        notes.append(f"Not every {one} has a firing with a date, so the {many} stand as listed in the sheets.")
    if nameless:
        bars = "1 bar names no batch and is" if nameless == 1 else f"{nameless} bars name no batch and are"
        notes.append(f"{bars} not in the chart.")
    if chart.load_sd is not None and chart.kind == "clay":
        notes.append(_on_correction(chart))
    limits = len(chart.reference)
    if chart.centre is not None and limits < _CANNOT_STAND_OUT:
        notes.append(f"Limits from {limits} {many} are rough: one sound {one} in ten may lie outside.")
    elif chart.centre is not None and limits < _FIRM:
        notes.append(f"Limits drawn from {limits} {many} are rough; 20 or more make them firm (common practice).")
    if chart.centre is not None:
        notes += _thin_batches(chart)
    return tuple(notes)


def _on_correction(chart: Timeline) -> str:
    left = [point.batch for point in chart.points if point.corrected is None]
    if not left:
        return "Means are corrected for their loads by the control bars, as far as this body answers to the kiln alike."
    names = ", ".join(left)
    return f"Corrected for their loads by the control bars; not {names}, whose loads have no control bars."


def _thin_batches(chart: Timeline) -> list[str]:
    most = max(point.bars for point in chart.points)
    thin = [point.batch for point in chart.points if point.bars * _THIN <= most]
    if not thin:
        return []
    names = f"Batch {thin[0]} rests" if len(thin) == 1 else f"Batches {', '.join(thin)} rest"
    return [f"{names} on far fewer bars than the others, so a mean outside the limits says less there."]
