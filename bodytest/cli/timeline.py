"""``bodytest timeline``: the batches of a body in their order, with limits, and the first that left them."""

import enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console

if TYPE_CHECKING:
    from bodytest.analysis.timeline import BatchPoint, Timeline

_USUAL_QUANTITIES = ("total_shrinkage", "absorption")
_FEWEST_REFERENCE = 3


class Order(enum.StrEnum):
    """What order batches are charted in."""

    date = "date"
    listed = "listed"


def timeline(
    sheets: Annotated[
        list[Path], typer.Argument(metavar="SHEET", help="Filled-in sheets (.xlsx, .ods, .csv), read together.")
    ],
    quantity: Annotated[
        list[str] | None,
        typer.Option(
            "--quantity",
            "-q",
            help="What to follow, e.g. firing_shrinkage; several times for several.",
            show_default="total_shrinkage and absorption",
        ),
    ] = None,
    body: Annotated[str | None, typer.Option(help="One body only.", show_default="all")] = None,
    order: Annotated[Order, typer.Option(help="By date of firing, or as listed in the sheets.")] = Order.date,
    reference: Annotated[
        int | None,
        typer.Option(min=_FEWEST_REFERENCE, help="How many of the first batches set the limits.", show_default="all"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")] = False,
) -> None:
    """Show whether a body stays the same from batch to batch, and which batch was the first that did not.

    Firings with the same cone (or the same peak temperature) and atmosphere are followed together.

    Example: bodytest timeline 2024.xlsx 2025.xlsx --quantity absorption --reference 10

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when there is nothing to compute.
    """  # fmt: skip
    from bodytest.cli.choices import known_quantity

    keys = [known_quantity(name) for name in quantity or _USUAL_QUANTITIES]
    checked = console.read_bars(sheets)
    from bodytest.analysis.analysing import summarise
    from bodytest.analysis.timeline import timelines

    results = summarise(checked)
    _check_body(body, [group.body for group in results.groups])
    found = [
        one
        for key in keys
        for one in timelines(results, key, order=order.value, reference=reference)
        if body is None or one.body == body
    ]
    console.print_summary(results.findings)
    if as_json:
        _print_json(found)
    else:
        console.say_blocks([_lines(one) for one in found] or [["No bar has the readings for this yet."]])
    console.exit_for(results.findings, computed=bool(found))


def _check_body(wanted: str | None, bodies: list[str]) -> None:
    if wanted is not None and wanted not in bodies:
        known = ", ".join(dict.fromkeys(bodies)) or "none"
        raise typer.BadParameter(
            f"no body is named '{wanted}' in these sheets; there is: {known}.", param_hint="--body"
        )


def _print_json(found: "list[Timeline]") -> None:
    from dataclasses import asdict

    document = {"format": "bodytest timeline", "version": 1, "timelines": [asdict(one) for one in found]}
    console.say_json(document)


def _lines(one: "Timeline") -> list[str]:
    from bodytest.quantities import QUANTITY_BY_KEY
    from bodytest.rounding import interval_text

    quantity = QUANTITY_BY_KEY[one.quantity]
    about = [one.body or "(body not named)", one.fired, one.direction, one.absorption_method]
    unit = f" ({one.unit})" if one.unit else ""
    lines = [" · ".join(part for part in about if part), f"{quantity.name}{unit}", "", one.summary]
    if one.low is not None:
        limits = interval_text(one.low, one.high, one.unit, otherwise=quantity.digits)
        lines += ["", f"Limits of a batch mean: {limits}, from the first {one.reference} batches."]
    lines += ["", *_table(one), *(f"Note: {note}" for note in one.notes)]
    if one.first_left is not None:
        broken = [rule for point in one.points for rule in point.signals]
        lines += [f"Rule {key}: {text}." for key, text in _rules().items() if key in broken]
    return lines


def _rules() -> dict[str, str]:
    from bodytest.analysis.timeline_words import RULES

    return RULES


def _table(one: "Timeline") -> list[str]:
    headings = ("batch", "date", "firing", "bars", "mean", "running average", "rules broken")
    return console.aligned([headings, *(_cells(one, point) for point in one.points)])


def _cells(one: "Timeline", point: "BatchPoint") -> tuple[str, ...]:
    from bodytest.quantities import QUANTITY_BY_KEY
    from bodytest.rounding import decimals_for, number_text

    decimals = decimals_for(one.batch_sd, otherwise=QUANTITY_BY_KEY[one.quantity].digits)
    return (
        point.batch,
        point.date or "",
        ", ".join(point.firings),
        str(point.bars),
        number_text(point.mean, decimals),
        number_text(point.average, decimals),
        ", ".join(point.signals),
    )
