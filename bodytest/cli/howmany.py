"""``bodytest howmany``: how many bars, batches or loads it takes to know a figure well enough."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import choices, console
from bodytest.cli.choices import HOW_CLOSE, number
from bodytest.cli.sources import read_and_summarise

if TYPE_CHECKING:
    from pathlib import Path

    from bodytest.analysis.bar_needs import Wish
    from bodytest.bars_needed import BarNeed
    from bodytest.findings import Finding
    from bodytest.results import Results

_USUAL_CONFIDENCE = 0.95


def howmany(
    sheets: choices.Sheets,
    half_width: Annotated[
        float | None,
        number(HOW_CLOSE, "the shrinkage tolerance of the Lab sheet", "--half-width", "-w"),
    ] = None,
    difference: Annotated[
        float | None, number("A difference between two batches that is to be noticed.", "none")
    ] = None,
    quantity: Annotated[str, choices.option("--quantity", callback=choices.known_quantity)] = "total_shrinkage",
    body: choices.OneBody = None,
    programme: Annotated[str | None, choices.option("--programme", "all")] = None,
    firing: Annotated[str | None, choices.option("--firing", "all")] = None,
    sd: Annotated[
        float | None, number("Standard deviation of bars of one batch, in place of sheets.", "from the sheets")
    ] = None,
    batch_sd: Annotated[float | None, number("Standard deviation between batches, with --sd.", "one batch")] = None,
    load_sd: Annotated[float | None, number("Standard deviation between kiln loads, with --sd.", "one load")] = None,
    bars_each: Annotated[
        int,
        typer.Option(
            "--bars-each", min=1, max=10_000, help="Bars of each batch or load, with --batch-sd or --load-sd."
        ),
    ] = 5,
    confidence: choices.Confidence = None,
    details: choices.Details = False,
) -> None:
    """Say how many bars, batches or loads it takes to know a mean closely enough, and with what chance.

    Example: bodytest howmany trial.xlsx --half-width 0.2

    Example: bodytest howmany --sd 0.15 --half-width 0.1 --difference 0.3

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when there is nothing to compute.
    """  # fmt: skip
    from bodytest.analysis.bar_needs import Wish, need_of_scatter
    from bodytest.stats.replication import Components

    if firing is not None and programme is not None:
        raise typer.BadParameter("give either a programme or one of its loads, not both.", param_hint="--firing")
    _check_choice(sheets, sd, {"--batch-sd": batch_sd, "--load-sd": load_sd})
    if sd is not None:
        wish = Wish(_wanted(half_width, None, difference), difference, confidence or _USUAL_CONFIDENCE)
        scatter = Components(sd, batch_sd=batch_sd, load_sd=load_sd, bars_each=float(bars_each))
        _answer([need_of_scatter(quantity, scatter, wish)], details=True)
        return
    results = read_and_summarise(sheets, confidence)
    tolerance = results.lab.shrinkage_tolerance_points if quantity.endswith("_shrinkage") else None
    wish = Wish(_wanted(half_width, tolerance, difference), difference, results.confidence)
    _answer(_needs(results, quantity, wish, body, firing or programme), results.findings, details=details)


def _check_choice(sheets: "list[Path]", sd: float | None, others: dict[str, float | None]) -> None:
    if not sheets and sd is None:
        raise typer.BadParameter("give the sheets that show how bars scatter, or a standard deviation with --sd.")
    if sheets and sd is not None:
        raise typer.BadParameter("give either sheets or --sd, not both.")
    for name, value in others.items():
        if sd is None and value is not None:
            raise typer.BadParameter("it goes with --sd; from sheets it is taken by itself.", param_hint=name)


def _wanted(half_width: float | None, otherwise: float | None, difference: float | None) -> float | None:
    wanted = otherwise if half_width is None and difference is None else half_width
    if wanted is None and difference is None:
        raise typer.BadParameter(
            "say how closely the mean is to be known, e.g. --half-width 0.2 for ± 0.2 percentage points.",
            param_hint="--half-width",
        )
    return wanted


def _needs(results: "Results", key: str, wish: "Wish", body: str | None, firing: str | None) -> "list[BarNeed]":
    from bodytest.analysis.bar_needs import needs_of_sheets
    from bodytest.cones import firings_called

    codes = [group.firing for group in results.groups]
    body = choices.known_name(body, [group.body for group in results.groups], "--body")
    cones = {**dict.fromkeys(codes, ""), **{one.called: one.cone or "" for one in results.programmes}}
    if firing is not None and len(called := firings_called(firing, cones)) == 1:
        firing = called[0]
    firing = choices.known_name(firing, cones, "--firing, --programme")
    return [
        need
        for need in needs_of_sheets(results, key, wish, loads_apart=firing in codes)
        if body in (None, need.body) and firing in (None, need.firing)
    ]


def _answer(needs: "list[BarNeed]", findings: "Sequence[Finding]" = (), *, details: bool) -> None:
    from bodytest.errors import NotMeasured
    from bodytest.export.document import plain

    if not needs:
        raise NotMeasured("no-scatter-known")
    whole = details or len(needs) == 1 or any(need.wanted_half_width is None for need in needs)
    console.answer(
        "howmany",
        lambda: {"needs": plain(needs)},
        lambda: console.spaced(map(_as_lines, needs)) if whole else _in_short(needs),
        findings,
    )


_MOST_LINES = 10


def _in_short(needs: "list[BarNeed]") -> list[str]:
    """Return a line for each group that is not known well enough, and one for all that are."""
    from bodytest.analysis.bar_needs_words import asked, is_enough, to_do, within
    from bodytest.quantities import QUANTITY_BY_KEY

    first = needs[0]
    wanted = asked(first.wanted_half_width or 0.0, first.unit)
    now = {need: within(need.half_width_now or 0.0, "", need.wanted_half_width) for need in needs}
    known = [f"{_where(need)} ({now[need]})" for need in needs if is_enough(need)]
    head = (
        f"{QUANTITY_BY_KEY[first.quantity].name} is known to ± {wanted} in {len(known)} of {len(needs)} groups of bars"
        f" ({100.0 * first.confidence:g} % intervals)."
    )
    still_open = [need for need in needs if not is_enough(need)]
    lines = [f"{_where(need)} (now {now[need]}): {to_do(need)}." for need in still_open[:_MOST_LINES]]
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
