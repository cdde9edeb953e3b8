"""``bodytest howmany``: how many bars, batches or loads it takes to know a figure well enough."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import AsJson, OneBody

if TYPE_CHECKING:
    from bodytest.analysis.bar_needs import Wish
    from bodytest.bars_needed import BarNeed
    from bodytest.results import Results

_USUAL_CONFIDENCE = 0.95
_MOST = 1_000_000
"""No number typed is larger: nobody makes so many bars, and no figure is so large."""


def howmany(
    sheets: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="SHEET", help="Filled-in sheets whose scatter is taken; or give --sd.", show_default=False
        ),
    ] = None,
    half_width: Annotated[
        float | None,
        typer.Option(
            "--half-width",
            "-w",
            help="How close: the mean is to be known to ± this (percentage points, or g/cm³).",
            show_default="the shrinkage tolerance of the Lab sheet",
        ),
    ] = None,
    difference: Annotated[
        float | None, typer.Option(help="A difference between two batches that is to be noticed.", show_default="none")
    ] = None,
    quantity: Annotated[str, typer.Option("--quantity", "-q", help="Which figure.")] = "total_shrinkage",
    body: OneBody = None,
    firing: Annotated[
        str | None, typer.Option(help="One programme, or one load by its code.", show_default="all")
    ] = None,
    sd: Annotated[
        float | None,
        typer.Option(
            "--sd", help="Standard deviation of bars of one batch, in place of sheets.", show_default="from the sheets"
        ),
    ] = None,
    batch_sd: Annotated[
        float | None,
        typer.Option("--batch-sd", help="Standard deviation between batches, with --sd.", show_default="one batch"),
    ] = None,
    load_sd: Annotated[
        float | None,
        typer.Option("--load-sd", help="Standard deviation between kiln loads, with --sd.", show_default="one load"),
    ] = None,
    bars_each: Annotated[
        int,
        typer.Option(
            "--bars-each", min=1, max=10_000, help="Bars of each batch or load, with --batch-sd or --load-sd."
        ),
    ] = 5,
    confidence: Annotated[
        float | None,
        typer.Option(help="Confidence of the interval in %.", show_default="that of the Lab sheet, or 95"),
    ] = None,
    details: Annotated[bool, typer.Option("--details", help="Say all about each group, not one line.")] = False,
    as_json: AsJson = False,
) -> None:
    """Say how many bars, batches or loads it takes to know a mean closely enough, and with what chance.

    Example: bodytest howmany trial.xlsx --half-width 0.2

    Example: bodytest howmany --sd 0.15 --half-width 0.1 --difference 0.3

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when there is nothing to compute.
    """  # fmt: skip
    from bodytest.analysis.bar_needs import Wish, need_of_scatter
    from bodytest.cli.choices import known_quantity
    from bodytest.stats.replication import Components

    key, level = known_quantity(quantity), console.confidence_fraction(confidence)
    _check_choice(sheets, sd, {"--batch-sd": batch_sd, "--load-sd": load_sd})
    _check_above_zero({"--half-width": half_width, "--difference": difference, "--sd": sd})
    _check_above_zero({"--batch-sd": batch_sd, "--load-sd": load_sd})
    if sd is not None:
        wish = Wish(_wanted(half_width, None, difference), difference, level or _USUAL_CONFIDENCE)
        scatter = Components(sd, batch_sd=batch_sd, load_sd=load_sd, bars_each=float(bars_each))
        _show([need_of_scatter(key, scatter, wish)], as_json=as_json, details=True)
        return
    results = _summarised(sheets or [], level)
    wish = Wish(_wanted(half_width, _tolerance(results, key), difference), difference, results.confidence)
    needs = _needs(results, key, wish, (body, firing))
    _show(needs, as_json=as_json, details=details)
    console.exit_for(results.findings, computed=bool(needs))


def _check_above_zero(numbers: dict[str, float | None]) -> None:
    for option, value in numbers.items():
        if value is not None and not 0.0 < value < float("inf"):
            raise typer.BadParameter("it has to be a number above zero.", param_hint=option)
        if value is not None and not 1e-6 <= value <= _MOST:
            raise typer.BadParameter(f"it has to be between 0.000001 and {_MOST}.", param_hint=option)


def _check_choice(sheets: list[Path] | None, sd: float | None, others: dict[str, float | None]) -> None:
    if not sheets and sd is None:
        raise typer.BadParameter("give the sheets that show how bars scatter, or a standard deviation with --sd.")
    if sheets and sd is not None:
        raise typer.BadParameter("give either sheets or --sd, not both.")
    for option, value in others.items():
        if sd is None and value is not None:
            raise typer.BadParameter("it goes with --sd; from sheets it is taken by itself.", param_hint=option)


def _wanted(half_width: float | None, otherwise: float | None, difference: float | None) -> float | None:
    wanted = otherwise if half_width is None and difference is None else half_width
    if wanted is None and difference is None:
        raise typer.BadParameter(
            "say how closely the mean is to be known, e.g. --half-width 0.2 for ± 0.2 percentage points.",
            param_hint="--half-width",
        )
    return wanted


def _tolerance(results: "Results", key: str) -> float | None:
    return results.lab.shrinkage_tolerance_points if key.endswith("_shrinkage") else None


def _summarised(sheets: list[Path], level: float | None) -> "Results":
    checked = console.read_bars(sheets)
    from bodytest.analysis.analysing import summarise

    results = summarise(checked, confidence=level)
    console.print_summary(results.findings)
    return results


def _needs(results: "Results", key: str, wish: "Wish", only: tuple[str | None, str | None]) -> "list[BarNeed]":
    from bodytest.analysis.bar_needs import needs_of_sheets
    from bodytest.cones import firings_called

    body, firing = only
    codes = [group.firing for group in results.groups]
    cones = {**dict.fromkeys(codes, ""), **{one.called: one.cone or "" for one in results.programmes}}
    if firing is not None and len(called := firings_called(firing, cones)) == 1:
        firing = called[0]
    for wanted, there, option in (
        (body, [group.body for group in results.groups], "--body"),
        (firing, list(cones), "--firing"),
    ):
        if wanted is not None and wanted not in there:
            known = ", ".join(dict.fromkeys(name for name in there if name)) or "none"
            raise typer.BadParameter(f"'{wanted}' is not in these sheets; there is: {known}.", param_hint=option)
    return [
        need
        for need in needs_of_sheets(results, key, wish, loads_apart=firing in codes)
        if body in (None, need.body) and firing in (None, need.firing)
    ]


def _show(needs: "list[BarNeed]", *, as_json: bool, details: bool) -> None:
    if as_json:
        from bodytest.export.document import plain

        document = {"format": "bodytest howmany", "version": 1, "needs": plain(needs)}
        console.say_json(document)
        return
    none_yet = "Two bars of one group with this figure are needed to see how they scatter; there are none yet."
    if details or len(needs) == 1 or any(need.wanted_half_width is None for need in needs):
        console.say_blocks(_as_lines(need) for need in needs)
    else:
        console.say(*(_in_short(needs) if needs else [none_yet]))


_MOST_LINES = 10


def _in_short(needs: "list[BarNeed]") -> list[str]:
    """Return a line for each group that is not known well enough, and one for all that are."""
    from bodytest.analysis.bar_needs_words import asked, is_enough, to_do, within
    from bodytest.quantities import QUANTITY_BY_KEY

    first = needs[0]
    wanted = asked(first.wanted_half_width or 0.0, first.unit)
    known = [f"{_where(need)} ({within(need.half_width_now or 0.0, '')})" for need in needs if is_enough(need)]
    head = (
        f"{QUANTITY_BY_KEY[first.quantity].name} is known to ± {wanted} in {len(known)} of {len(needs)} groups of bars"
        f" ({100.0 * first.confidence:g} % intervals)."
    )
    still_open = [need for need in needs if not is_enough(need)]
    lines = [
        f"{_where(need)} (now {within(need.half_width_now or 0.0, '')}): {to_do(need)}."
        for need in still_open[:_MOST_LINES]
    ]
    more = len(still_open) - _MOST_LINES
    return [
        head,
        *lines,
        *([f"… and {more} more."] if more > 0 else []),
        *([f"Known already: {', '.join(known)}."] if known else []),
        "For the batches and loads tested; see all about each group with --details.",
    ]


def _where(need: "BarNeed") -> str:
    return " · ".join(part for part in (need.body, need.firing, need.direction) if part)


def _as_lines(need: "BarNeed") -> list[str]:
    from bodytest.analysis.bar_needs_words import amount
    from bodytest.quantities import QUANTITY_BY_KEY

    quantity = QUANTITY_BY_KEY[need.quantity]
    about = " · ".join(part for part in (need.body, need.firing, need.direction, quantity.name) if part)
    scatter = f"Standard deviation between bars: {amount(need.bar_sd, need.unit)}"
    for between, known in (("batches", need.batch_sd), ("loads", need.load_sd)):
        if known is not None:
            scatter += f", between {between}: {amount(known, need.unit)}"
    percent = f"{100.0 * need.confidence:g} % intervals."
    return [about, f"{scatter}; {percent}", *filter(None, [need.summary]), *need.notes]
