"""``bodytest ruler``: a true-scale shrinkage ruler to print."""

from dataclasses import asdict
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import AsPieces, OfBatch, OfBody, OfDirection, OfFiring, OfLoad, OfProgramme, Sources

if TYPE_CHECKING:
    from bodytest.plan.drawing import Page
    from bodytest.plan.ruler import Ruler


_HOW_TO_PRINT = "Print at 100 % (actual size), not fitted to the page, and check the 100 mm line with a steel rule."


class Paper(StrEnum):
    """Size of the paper."""

    a4 = "a4"
    letter = "letter"


def ruler(
    sources: Sources = None,
    out: Annotated[
        Path,
        typer.Option(
            "--out",
            "-o",
            metavar="FILE",
            help="FILE.pdf or FILE.svg; without an ending both; - is standard output.",
        ),
    ] = Path("ruler"),
    body: OfBody = None,
    programme: OfProgramme = None,
    firing: OfFiring = None,
    direction: OfDirection = None,
    load: OfLoad = None,
    batch: OfBatch = None,
    stage: Annotated[
        str, typer.Option(help="Clay that is measured with it: wet, leather-hard, dry or bisque.")
    ] = "wet",
    as_pieces: AsPieces = None,
    length: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE",
            help="Finished length that it reaches to; a long one comes in strips to join.",
            show_default="one strip",
        ),
    ] = None,
    paper: Annotated[Paper, typer.Option(case_sensitive=False, help="Paper to print on.")] = Paper.a4,
    no_inches: Annotated[bool, typer.Option("--no-inches", help="Leave out the strips for inches.")] = False,
    dated: Annotated[
        datetime | None, typer.Option("--date", formats=["%Y-%m-%d"], help="Date on it.", show_default="today")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON: what the ruler says, and its files.")] = False,
) -> None:
    """Draw a shrinkage ruler: measure the wet clay with it and read what the piece will be when finished.

    Example: bodytest ruler --from results.json --body "Drift Buff" --direction along --out ruler.pdf

    Print it at 100 %, not fitted to the page, and check the 100 mm line on it with a steel rule.

    Exit code: 0 when it was drawn, 2 when it was not measured or cannot be meant.
    """
    from bodytest.cli.sources import read_measured
    from bodytest.errors import UnusableRequest
    from bodytest.files.outputs import refuse_all
    from bodytest.plan.measured import Wanted
    from bodytest.plan.measures import parse_size
    from bodytest.plan.ruler import LONGEST_MM
    from bodytest.plan.ruler import ruler as plan_ruler
    from bodytest.plan.ruler_pages import ruler_pages

    length_mm = None if length is None else parse_size(length).value
    if length_mm is not None and not 20.0 <= length_mm <= LONGEST_MM:
        raise UnusableRequest("ruler-length", value=length, most=f"{LONGEST_MM:.0f}")
    if out.suffix.lower() not in {"", ".pdf", ".svg"}:
        raise UnusableRequest("ruler-ending", value=out.suffix)
    refuse_all(_names(out), sources or [])
    planned = plan_ruler(
        read_measured(sources or []),
        made_on=dated.date() if dated else date.today(),
        wanted=Wanted(body, firing, direction, batch, programme, load),
        stage=stage,
        as_pieces=as_pieces,
    )
    pages = ruler_pages(planned, length_mm=length_mm, paper=paper.value, inches=not no_inches)
    _tell(planned, _write(pages, out), out, as_json=as_json)


def _tell(planned: "Ruler", written: list[Path], out: Path, *, as_json: bool) -> None:
    with console.beside(out):
        if as_json:
            console.say_json(
                {**asdict(planned), "made_on": f"{planned.made_on}", "files": [f"{path}" for path in written]}
            )
            return
        for path in written:
            console.say(f"Ruler: {path}")
        console.say(planned.origin)
        console.say(planned.factor_text)
        console.say(planned.whom_text)
        if planned.why_no_range:
            console.say(f"No range: {planned.why_no_range}")
        console.say(*(f"Note: {note}" for note in planned.notes), _HOW_TO_PRINT)


def _names(out: Path, pages: int = 1) -> list[Path]:
    """Return the files of a ruler of so many pages: one PDF, an SVG for each page."""
    from bodytest.files.outputs import is_standard_output

    if out.suffix.lower() == ".pdf" or is_standard_output(out):
        return [out]
    stem = out.stem if out.suffix else out.name
    numbers = ["", *(f"-{number}" for number in range(2, pages + 1))]
    drawings = [out.with_name(f"{stem}{number}.svg") for number in numbers]
    return drawings if out.suffix else [out.with_name(f"{out.name}.pdf"), *drawings]


def _write(pages: "tuple[Page, ...]", out: Path) -> list[Path]:
    from bodytest.files.outputs import refuse_all
    from bodytest.files.writing import write_whole
    from bodytest.plan.drawing import to_svg
    from bodytest.plan.drawing_pdf import to_pdf

    names = _names(out, len(pages))
    refuse_all(names)
    drawings = iter(pages)
    for path in names:
        write_whole(path, to_svg(next(drawings)) if path.suffix.lower() == ".svg" else to_pdf(pages))
    return names
