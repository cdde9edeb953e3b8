"""``bodytest size``: how big to make it wet, what it will finish at, and how much clay it takes."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import AsPieces, OfBatch, OfBody, OfFiring, OfLoad, OfProgramme, Sources

if TYPE_CHECKING:
    from bodytest.plan.amounts import CapacityPlan, MassPlan
    from bodytest.plan.measured import Wanted
    from bodytest.plan.sizes import SizePlan
    from bodytest.results import Summary


def size(
    sizes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="SIZE...",
            help="Finished sizes with units: 200mm, 7.5in, height=30cm. A SHEET or results.json may stand here too.",
        ),
    ] = None,
    sources: Sources = None,
    body: OfBody = None,
    programme: OfProgramme = None,
    firing: OfFiring = None,
    direction: Annotated[
        list[str] | None,
        typer.Option(
            help="Direction of the bars; height=along for the sizes named height only. Can be repeated.",
            show_default="the one that answers for the body",
        ),
    ] = None,
    load: OfLoad = None,
    batch: OfBatch = None,
    now: Annotated[
        str, typer.Option(help="Stage at which the sizes are measured: wet, leather-hard, dry, bisque; fired = wanted.")
    ] = "fired",
    within: Annotated[
        str | None, typer.Option(metavar="SIZE", help="Also give the chance to finish within this, e.g. 1mm.")
    ] = None,
    as_pieces: AsPieces = None,
    parts: Annotated[
        Path | None,
        typer.Option(
            metavar="CSV", help="List of parts: part, dimension, size (with unit), body, firing, direction, batch."
        ),
    ] = None,
    mass: Annotated[
        list[str] | None, typer.Option(help="Finished mass with unit: tells the wet clay it takes. Can be repeated.")
    ] = None,
    capacity: Annotated[
        list[str] | None, typer.Option(help="Finished capacity with unit: tells the wet capacity. Can be repeated.")
    ] = None,
    height_direction: Annotated[
        str | None, typer.Option(help="Direction that shows how height shrinks, for --capacity.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON: mm, g and ml, unrounded.")] = False,
) -> None:
    """Tell the size to make wet (and leather-hard, dry) for finished sizes, and the range they will finish in.

    Example: bodytest size 200mm height=7.5in --from results.json --body "Drift Buff" --direction along --within 1mm

    The other way round: bodytest size 213mm --now dry --from results.json

    The answer is for the firing programme that answers for the body (see its report), over all its loads and batches,
    and in its direction, unless --programme, --firing, --batch or --direction names another. --body can be left out
    where there is one. The range in brackets behind a size comes from the uncertainty of the body's mean; the range of
    one piece holds its own scatter too.

    Exit code: 0 when it was answered, 2 when it was not measured or cannot be meant.
    """
    from bodytest.cli.sources import is_source, read_measured
    from bodytest.errors import UnusableRequest
    from bodytest.plan.measured import Wanted

    typed = _joined(sizes or [])
    named = [*(sources or []), *(Path(text) for text in typed if is_source(text))]
    asked = [text for text in typed if not is_source(text)]
    if not (asked or parts or mass or capacity):
        raise UnusableRequest("no-size")
    measured = read_measured(named)
    directions = _directions(direction or [])
    wanted = Wanted(body, firing, directions.get(""), batch, programme, load)
    planned = _planned(measured, asked, wanted, directions, (now, within, as_pieces))
    if parts is not None:
        planned += _planned_parts(measured, parts, wanted, within)
    amounts = _amounts(measured, wanted, mass or [], capacity or [], height_direction)
    _show(planned, *amounts, as_json=as_json)


def _joined(typed: list[str]) -> list[str]:
    """Put a number and a unit that the shell took apart together again; refuse mistyped options."""
    joined: list[str] = []
    for text in typed:
        if text.startswith("--"):
            raise typer.BadParameter(f"There is no option {text.split('=')[0]}; see: bodytest size --help")
        if joined and text.isalpha() and joined[-1][-1:].isdigit():
            joined[-1] += text
        else:
            joined.append(text)
    return joined


def _directions(given: list[str]) -> dict[str, str]:
    """Return the direction for each named size; under ``""`` the one for all others."""
    pairs = [text.partition("=") if "=" in text else ("", "=", text) for text in given]
    return {name.strip(): direction.strip() for name, _, direction in pairs}


def _planned(
    measured: "Summary",
    asked: list[str],
    wanted: "Wanted",
    directions: dict[str, str],
    how: tuple[str, str | None, str | None],
) -> "tuple[SizePlan, ...]":
    from dataclasses import replace

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
    if not mass and not capacity:
        return (), ()
    from bodytest.plan.amounts import clay_masses, wet_capacities

    masses = clay_masses(measured, mass, wanted=wanted) if mass else ()
    if not capacity:
        return masses, ()
    return masses, wet_capacities(measured, capacity, wanted=wanted, height_direction=height_direction)


def _show(
    planned: "tuple[SizePlan, ...]",
    masses: "tuple[MassPlan, ...]",
    capacities: "tuple[CapacityPlan, ...]",
    *,
    as_json: bool,
) -> None:
    if as_json:
        document = {
            "sizes": [asdict(plan) for plan in planned],
            "masses": [asdict(plan) for plan in masses],
            "capacities": [asdict(plan) for plan in capacities],
        }
        console.say_json(document)
        return
    from bodytest.plan.size_words import capacity_lines, mass_lines, size_lines

    blocks = [list(size_lines(planned)), list(mass_lines(masses)), list(capacity_lines(capacities))]
    console.say_blocks(block for block in blocks if block)
