"""``bodytest match``: will pieces that are meant to be alike agree."""

from dataclasses import asdict
from typing import Annotated, Literal

import typer

from bodytest.cli import choices, console

_Alike = Literal["same", "different"]


def match(
    size: Annotated[str, typer.Argument(metavar="SIZE", help="Finished size with its unit, for example 92mm.")],
    sheets: choices.Sheets,
    pieces: Annotated[int, typer.Option(help="How many pieces are to agree.")] = 2,
    within: choices.Within = None,
    clearance: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE", help="How much smaller one of two is planned (finished), as a lid in its gallery."
        ),
    ] = None,
    made_within: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE",
            help="Accuracy of making: 95 % of wet sizes are this close to what was meant.",
            show_default="exact",
        ),
    ] = None,
    batches: Annotated[_Alike, typer.Option(help="All pieces of one batch, or each of another one.")] = "same",
    loads: Annotated[_Alike, typer.Option(help="All pieces fired in one load, or each in another one.")] = "same",
    chance: Annotated[str, typer.Option(metavar="PERCENT", help="Chance wanted.")] = "95%",
    lost: Annotated[
        str,
        typer.Option(metavar="PERCENT", help="Pieces lost to cracks and warps; with --within: how many to make."),
    ] = "0%",
    body: choices.OfBody = None,
    programme: choices.OfProgramme = None,
    firing: choices.OfFiring = None,
    direction: choices.OfDirection = None,
    load: choices.OfLoad = None,
    batch: choices.OfBatch = None,
    confidence: choices.Confidence = None,
) -> None:
    """Tell the chance that pieces agree (a pair's height, lids in galleries, tiles), and what it would take.

    Example: bodytest match 92mm --clearance 1.5mm --made-within 0.5mm --from results.json --body "Marl Red"

    --within is the largest difference between any two finished pieces.

    How many to make, so that some agree: bodytest match 92mm --within 0.5mm --lost 10% --from results.json

    Exit code: 0 when it was answered, 1 with a finding of the level STOP besides, 2 when it was not measured.
    """
    from bodytest.cli.sources import read_measured
    from bodytest.plan.match_words import match_lines
    from bodytest.plan.matching import Match
    from bodytest.plan.matching import match as plan_match
    from bodytest.plan.measured import Wanted
    from bodytest.plan.measures import parse_percentage

    wish = Match(
        size,
        pieces,
        within,
        clearance,
        made_within,
        batches,
        loads,
        parse_percentage(chance),
        parse_percentage(lost),
    )
    measured = read_measured(sheets, confidence)
    plan = plan_match(measured, wish, wanted=Wanted(body, firing, direction, batch, programme, load))
    console.answer("match", lambda: asdict(plan), lambda: match_lines(plan), measured.findings)
