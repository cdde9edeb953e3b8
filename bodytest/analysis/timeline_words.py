"""What is said about batches over time: the rules with their sources, the message, what to bear in mind."""

from typing import TYPE_CHECKING

from bodytest.quantities import Quantity
from bodytest.rounding import decimals_for, interval_text, number_text, with_unit

if TYPE_CHECKING:
    from bodytest.analysis.timeline import BatchPoint, Chart

RULES = {
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
_MEASURE_AGAIN = (
    "Measure its bars again. If that stands, work from this batch's own figures, and look for what changed:"
    " the clay, the water in it, or the firing."
)


def summary_for(quantity: Quantity, chart: "Chart", reference: int, first: "BatchPoint | None") -> str:
    """Return the message in one or two sentences, with what to do."""
    count = len(chart.points)
    if chart.low is None or chart.high is None or chart.centre is None:
        return _too_few(count)
    if first is not None:
        return _first_left(quantity, chart, first)
    limits = interval_text(chart.low, chart.high, quantity.unit, otherwise=quantity.digits)
    if reference == count and count < _CANNOT_STAND_OUT:
        return (
            f"{count} batches are too few to show an odd one: limits drawn from all of them hold each of them."
            f" Compare them with each other instead: bodytest compare --by batch. A next batch may be expected within"
            f" {limits}."
        )
    return f"None of the {count} batches left the limits, {limits}: nothing here says that the body changes."


def _too_few(count: int) -> str:
    if count == 0:
        return "No bar names its batch, so nothing can be said about change; fill in the batch column."
    batches = "One batch shows" if count == 1 else "Two batches show"
    return f"{batches} nothing about change over time; test the next ones in the same way."


def _first_left(quantity: Quantity, chart: "Chart", first: "BatchPoint") -> str:
    low, high, centre = chart.low or 0.0, chart.high or 0.0, chart.centre or 0.0
    dated = f" ({first.date})" if first.date else ""
    side = "above" if first.mean > centre else "below"
    if "outside" in first.signals:
        limit = high if side == "above" else low
        decimals = decimals_for((high - low) / 2.0, otherwise=quantity.digits)
        mean, edge = (with_unit(number_text(value, decimals), quantity.unit) for value in (first.mean, limit))
        return (
            f"Batch {first.batch}{dated} is the first that left the limits: {quantity.name.lower()} {mean},"
            f" {side} {edge}. {_MEASURE_AGAIN}"
        )
    if "drift" in first.signals:
        side = "up" if (first.average or 0.0) > centre else "down"
        return (
            f"The running average left its limits at batch {first.batch}{dated}: {quantity.name.lower()} is drifting"
            f" {side}. Work from the newest batches, not from the mean of all, and look for what changed."
        )
    at = chart.points.index(first)
    return (
        f"Batches {chart.points[at - _RUN + 1].batch} to {first.batch}, eight in a row, lie {side} the middle:"
        f" {quantity.name.lower()} has shifted. Work from these batches, not from the mean of all."
    )


def notes_for(chart: "Chart", reference: int, *, undated: bool, nameless: int) -> tuple[str, ...]:
    """Return what to bear in mind."""
    notes = []
    if undated and len(chart.points) > 1:
        notes.append("Not every batch has a firing with a date, so the batches stand as listed in the sheets.")
    if nameless:
        bars = "1 bar names no batch and is" if nameless == 1 else f"{nameless} bars name no batch and are"
        notes.append(f"{bars} not in the chart.")
    if chart.centre is not None and reference < _FIRM:
        notes.append(f"Limits drawn from {reference} batches are rough; 20 or more make them firm (common practice).")
    if chart.centre is not None and reference < _CANNOT_STAND_OUT:
        notes.append(
            "With so few batches behind the limits up to one sound new batch in ten lies outside them by chance"
            " (by simulation)."
        )
    if chart.centre is not None:
        notes += _thin_batches(chart)
    return tuple(notes)


def _thin_batches(chart: "Chart") -> list[str]:
    most = max(point.bars for point in chart.points)
    thin = [point.batch for point in chart.points if point.bars * _THIN <= most]
    if not thin:
        return []
    names = f"Batch {thin[0]} rests" if len(thin) == 1 else f"Batches {', '.join(thin)} rest"
    return [f"{names} on far fewer bars than the others, so a mean outside the limits says less there."]
