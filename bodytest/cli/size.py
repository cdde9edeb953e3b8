"""``bodytest size``: how big to make it wet, what it will finish at, and how much clay it takes."""

from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import choices, console
from bodytest.cli.manner import From
from bodytest.names import same_name

if TYPE_CHECKING:
    from bodytest.plan.amounts import CapacityPlan, MassPlan
    from bodytest.plan.measured import Wanted
    from bodytest.plan.sizes import SizePlan
    from bodytest.results import Summary


def size(
    context: typer.Context,
    sizes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="SIZE... [SHEET...]",
            help="Finished sizes with units: 200mm, 7.5in, height=30cm; sheets and results files as behind --from.",
        ),
    ] = None,
    sheets: From = None,
    body: choices.OfBody = None,
    programme: choices.OfProgramme = None,
    firing: choices.OfFiring = None,
    direction: Annotated[
        list[str] | None, choices.option("--direction", "the one in which the body is answered for", repeatable=True)
    ] = None,
    load: choices.OfLoad = None,
    batch: choices.OfBatch = None,
    now: Annotated[str, choices.option("--now", "fired: the size that is wanted")] = "fired",
    within: choices.Within = None,
    as_pieces: choices.AsPieces = None,
    parts: Annotated[
        Path | None,
        typer.Option(
            metavar="CSV", help="List of parts: part, dimension, size (with unit), body, firing, direction, batch."
        ),
    ] = None,
    mass: Annotated[
        list[str] | None,
        typer.Option(metavar="MASS", help="Finished mass with unit: tells the wet clay it takes. Repeatable."),
    ] = None,
    capacity: Annotated[
        list[str] | None,
        typer.Option(metavar="CAPACITY", help="Finished capacity with unit: tells the wet capacity. Repeatable."),
    ] = None,
    height_direction: Annotated[str | None, typer.Option(hidden=True)] = None,
    confidence: choices.Confidence = None,
) -> None:
    """Tell the size to make wet (and leather-hard, dry) for finished sizes, and the range they will finish in.

    Example: bodytest size 200mm height=7.5in --from results.json --body "Drift Buff" --direction along --within 1mm

    The other way round: bodytest size 213mm --now dry --from results.json

    The answer is for the firing programme that answers for the body (see its report), over all its loads and batches,
    and in its direction, unless --programme, --firing, --batch or --direction names another. --body can be left out
    where there is one. The range in brackets behind a size comes from the uncertainty of the body's mean; the range of
    one piece holds its own scatter too.

    --direction height=along is for the sizes named height only, and for how height shrinks with --capacity.

    Exit code: 0 when it was answered, 1 with a finding of the level STOP besides, 2 when it was not measured.
    """
    from bodytest.cli.sources import is_source, read_measured
    from bodytest.errors import UnusableRequest
    from bodytest.plan.measured import Wanted

    typed = _joined(sizes or [], context)
    asked = [text for text in typed if not is_source(text)]
    if not (asked or parts or mass or capacity):
        raise UnusableRequest("no-size")
    measured = read_measured([*(sheets or ()), *(Path(text) for text in typed if is_source(text))], confidence)
    directions = _directions(direction or [], {*_names(asked), *(["height"] if capacity else ())})
    wanted = Wanted(body, firing, directions.get(""), batch, programme, load)
    planned = _planned(measured, asked, wanted, directions, (now, within, as_pieces))
    planned += _planned_parts(measured, parts, wanted, within) if parts else ()
    upwards = height_direction or next((to for name, to in directions.items() if same_name(name, "height")), None)
    masses, capacities = _amounts(measured, wanted, mass or [], capacity or [], upwards)
    console.answer(
        "sizes",
        lambda: {
            "sizes": [asdict(plan) for plan in planned],
            "masses": [asdict(plan) for plan in masses],
            "capacities": [asdict(plan) for plan in capacities],
        },
        lambda: _lines(planned, masses, capacities),
        measured.findings,
    )


def _joined(typed: list[str], context: typer.Context) -> list[str]:
    """Put a number and a unit that the shell took apart together again; refuse mistyped options."""
    context.ignore_unknown_options = False
    joined: list[str] = []
    for text in typed:
        if text.startswith("--"):
            context.command.make_parser(context).parse_args([text])  # refuses it, and names those like it
        if joined and text.isalpha() and joined[-1][-1:].isdigit():
            joined[-1] += text
        else:
            joined.append(text)
    return joined


def _names(asked: list[str]) -> set[str]:
    """Return the names of the sizes that have one."""
    from bodytest.plan.measures import parse_size

    return {name for text in asked if (name := parse_size(text).name)}


def _directions(given: list[str], names: set[str]) -> dict[str, str]:
    """Return the direction for each named size; under ``""`` the one for all others.

    Raises:
        BadParameter: one is given twice, or for a name that no size has.
    """
    from bodytest.plan.measured import listed

    directions: dict[str, str] = {}
    for text in given:
        name, _, direction = (part.strip() for part in (text if "=" in text else f"={text}").partition("="))
        if name and not any(same_name(name, one) for one in names):
            told = f"no size is named '{name}'; name it so, as in {name}=200mm, or leave '{name}=' out."
            raise typer.BadParameter(told, param_hint="--direction")
        if directions.setdefault(name, direction) != direction:
            both = listed((directions[name], direction))
            told = f"there are two, {both}; say one, or for which sizes each is, as in --direction height={direction}."
            raise typer.BadParameter(told, param_hint="--direction")
    return directions


def _planned(
    measured: "Summary",
    asked: list[str],
    wanted: "Wanted",
    directions: dict[str, str],
    how: tuple[str, str | None, str | None],
) -> "tuple[SizePlan, ...]":
    from bodytest.plan.measured import direction_for
    from bodytest.plan.measures import parse_size
    from bodytest.plan.sizes import sizes

    now, within, as_pieces = how
    planned: list[SizePlan] = []
    for text in asked:
        chosen = replace(wanted, direction=direction_for(measured, parse_size(text).name, directions))
        planned += sizes(measured, [text], wanted=chosen, now=now, within=within, as_pieces=as_pieces)
    return tuple(planned)


def _planned_parts(measured: "Summary", path: Path, wanted: "Wanted", within: str | None) -> "tuple[SizePlan, ...]":
    from bodytest.plan.parts import read_parts, sizes_of_parts

    return sizes_of_parts(measured, read_parts(path), otherwise=wanted, within=within)


def _amounts(
    measured: "Summary", wanted: "Wanted", mass: list[str], capacity: list[str], height_direction: str | None
) -> "tuple[tuple[MassPlan, ...], tuple[CapacityPlan, ...]]":
    from bodytest.plan.amounts import clay_masses, wet_capacities

    masses = clay_masses(measured, mass, wanted=wanted) if mass else ()
    if not capacity:
        return masses, ()
    return masses, wet_capacities(measured, capacity, wanted=wanted, height_direction=height_direction)


def _lines(
    planned: "tuple[SizePlan, ...]", masses: "tuple[MassPlan, ...]", capacities: "tuple[CapacityPlan, ...]"
) -> list[str]:
    from bodytest.plan.size_words import capacity_lines, mass_lines, size_lines

    blocks = (size_lines(planned), mass_lines(masses), capacity_lines(capacities))
    return console.spaced(block for lines in blocks if (block := list(lines)))
