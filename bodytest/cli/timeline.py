"""``bodytest timeline``: the batches of a body in their order, with limits, the newest change first."""

from typing import TYPE_CHECKING, Annotated, Literal

import typer

from bodytest.cli import console
from bodytest.cli.choices import Details, OneBody, Quantities, Sheets, known_name
from bodytest.cli.sources import as_given, read_and_summarise

if TYPE_CHECKING:
    from bodytest.over_time import ChartPoint, Timeline

_FEWEST_REFERENCE = 3


def timeline(
    sheets: Sheets,
    quantity: Quantities = None,
    body: OneBody = None,
    order: Annotated[
        Literal["date", "listed"], typer.Option(help="By date of firing, or as listed in the sheets.")
    ] = "date",
    reference: Annotated[
        int | None,
        typer.Option(
            min=_FEWEST_REFERENCE,
            help="How many of the first batches set the limits.",
            show_default="those before the newest shift, or all",
        ),
    ] = None,
    details: Details = False,
) -> None:
    """Show whether a body stays the same from batch to batch, and since which batch it does not.

    Loads of one programme are followed together. Where the Lab sheet names a control body, its bars show the kiln load
    by load, and batches of other bodies are corrected for it.

    Example: bodytest timeline 2024.xlsx 2025.xlsx --quantity absorption --reference 10

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when there is nothing to compute.
    """  # fmt: skip
    from bodytest.analysis.comparisons import USUAL_QUANTITIES
    from bodytest.analysis.timeline import timelines
    from bodytest.errors import NotMeasured
    from bodytest.export.document import plain

    results = read_and_summarise(sheets)
    body = known_name(body, [group.body for group in results.groups], "--body")
    found = [
        one
        for key in quantity or USUAL_QUANTITIES
        for one in timelines(results, key, order=order, reference=reference)
        if body is None or one.body == body
    ]
    if not found:
        raise NotMeasured("nothing-to-chart")
    most = max(len(one.points) for one in found)
    if reference is not None and reference > most:
        told = f"there are not so many batches fired alike; the most are {most}."
        raise typer.BadParameter(told, param_hint="--reference")
    console.answer(
        "timeline",
        lambda: {"timelines": plain(found)},
        lambda: (
            console.spaced(
                filter(any, [*(_lines(one, statistics=details) for one in found), [_next(found, as_given(sheets))]])
            )
            if details or len(found) == 1
            else _in_short(found, as_given(sheets))
        ),
        results.findings,
    )


_MOST_LINES = 11
_TEST_MORE = "Test the next batches in the same way, each with its name in the column “batch”."
_ENOUGH = 6
"""With fewer batches none can stand out from limits drawn from all of them."""


def _in_short(found: "list[Timeline]", sheets: str) -> list[str]:
    """Return a line for each chart, what changed first; one for those with too few batches of the sheets named."""
    from bodytest.quantities import QUANTITY_BY_KEY

    told = [one for one in found if one.shift or one.newest_signal or len(one.points) >= _ENOUGH]
    told.sort(key=lambda one: (one.shift is None, one.newest_signal is None))
    shown = [(one, QUANTITY_BY_KEY[one.quantity].name.lower()) for one in told[:_MOST_LINES]]
    lines = [f"{_about(one, name)}: {one.summary}" for one, name in shown]
    if len(told) > _MOST_LINES:
        lines.append(f"… and {len(told) - _MOST_LINES} more.")
    few: dict[str, int] = {}
    for one in found:
        if one not in told:
            few[one.body] = max(few.get(one.body, 0), len(one.points))
    if few:
        bodies = ", ".join(f"{body or '(body not named)'} ({batches})" for body, batches in few.items())
        after = _next([one for one in found if one not in told], sheets) or _TEST_MORE
        lines.append(f"Too few batches fired alike to show an odd one: {bodies}. {after}")
    return [*lines, "Tables, limits and rules: --details."]


def _next(found: "list[Timeline]", sheets: str) -> str:
    """Return the command that tells more of batches too few for limits, blank where there are none."""
    few = any(1 < len(one.points) < _ENOUGH for one in found)
    return f"Compare them: bodytest compare {sheets} --by batch" if few else ""


def _about(one: "Timeline", last: str | None) -> str:
    name = f"kiln, by {one.body}" if one.kind == "kiln" else one.body or "(body not named)"
    return " · ".join(part for part in (name, one.fired, one.direction, last) if part)


def _lines(one: "Timeline", *, statistics: bool) -> list[str]:
    from bodytest.analysis.timeline_words import RULES
    from bodytest.quantities import QUANTITY_BY_KEY, possible
    from bodytest.rounding import interval_text

    quantity = QUANTITY_BY_KEY[one.quantity]
    unit = f" ({one.unit})" if one.unit else ""
    lines = [_about(one, one.absorption_method), f"{quantity.name}{unit}", "", one.summary]
    if one.low is not None:
        limits = interval_text(possible(one.quantity, one.low, one.high), one.high, one.unit, otherwise=quantity.digits)
        lines += ["", f"Limits of a mean: {limits}, from {_reference(one)}."]
    lines += ["", *_table(one, statistics=statistics), *(f"Note: {note}" for note in one.notes)]
    broken = {rule for point in one.points for rule in point.signals} if statistics else set()
    return lines + [f"Rule {key}: {text}." for key, text in RULES.items() if key in broken]


def _reference(one: "Timeline") -> str:
    many = "loads" if one.kind == "kiln" else "batches"
    if len(one.reference) == len(one.points):
        return f"all {len(one.points)} {many}"
    return f"{one.reference[0]} to {one.reference[-1]}, {len(one.reference)} {many}"


def _table(one: "Timeline", *, statistics: bool) -> list[str]:
    corrected = any(point.measured_uncertainty is not None for point in one.points)
    more = ("u", "corrected", "u corrected") if corrected else ()
    unit = "load" if one.kind == "kiln" else "batch"
    headings = (
        unit,
        "date",
        "firing",
        "bars",
        "mean",
        *more,
        *(("running average", "rules broken") if statistics else ()),
    )
    cells = [_cells(one, point, corrected=corrected) for point in one.points]
    return console.aligned([headings, *(row if statistics else row[:-2] for row in cells)])


def _cells(one: "Timeline", point: "ChartPoint", *, corrected: bool) -> tuple[str, ...]:
    from bodytest.quantities import QUANTITY_BY_KEY
    from bodytest.rounding import column_decimals, number_text, uncertainty_text

    decimals = column_decimals([one.batch_sd], otherwise=QUANTITY_BY_KEY[one.quantity].digits)
    more = [
        uncertainty_text(point.measured_uncertainty, decimals),
        number_text(point.corrected, decimals),
        uncertainty_text(point.corrected_uncertainty, decimals),
    ]
    return (
        point.batch,
        point.date or "",
        ", ".join(point.firings),
        str(point.bars),
        number_text(point.mean, decimals),
        *(more if corrected else ()),
        number_text(point.average, decimals),
        ", ".join(point.signals),
    )
