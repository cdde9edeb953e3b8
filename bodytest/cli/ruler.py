"""``bodytest ruler``: a true-scale shrinkage ruler to print."""

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import choices, console

if TYPE_CHECKING:
    from bodytest.plan.drawing import Page
    from bodytest.plan.ruler import Ruler


_HOW_TO_PRINT = "Print at 100 % (actual size), not fitted to the page, and check the 100 mm line with a steel rule."


def ruler(
    sheets: choices.Sheets,
    out: Annotated[Path, choices.option("--out", "ruler.pdf and ruler.svg")] = Path("ruler"),
    body: choices.OfBody = None,
    programme: choices.OfProgramme = None,
    firing: choices.OfFiring = None,
    direction: choices.OfDirection = None,
    load: choices.OfLoad = None,
    batch: choices.OfBatch = None,
    now: Annotated[str, choices.option("--now")] = "wet",
    stage: Annotated[str | None, typer.Option(hidden=True)] = None,
    as_pieces: choices.AsPieces = None,
    length: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE",
            help="Finished length that it reaches to; a long one comes in strips to join.",
            show_default="one strip",
        ),
    ] = None,
    paper: choices.PaperSize = "A4",
    no_inches: Annotated[bool, typer.Option("--no-inches", help="Leave out the strips for inches.")] = False,
    dated: choices.Dated = None,
    confidence: choices.Confidence = None,
) -> None:
    """Draw a shrinkage ruler: measure the wet clay with it and read what the piece will be when finished.

    Example: bodytest ruler --from results.json --body "Drift Buff" --direction along --out ruler.pdf

    --out ruler.pdf or ruler.svg draws that one; a name without an ending draws both.

    Print it at 100 %, not fitted to the page, and check the 100 mm line on it with a steel rule.

    Exit code: 0 when drawn, 1 with a finding of the level STOP besides, 2 when it was not measured.
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
    refuse_all(_names(out), sheets)
    measured = read_measured(sheets, confidence)
    wanted = Wanted(body, firing, direction, batch, programme, load)
    made_on = dated.date() if dated else date.today()
    planned = plan_ruler(measured, made_on=made_on, wanted=wanted, stage=stage or now, as_pieces=as_pieces)
    pages = ruler_pages(planned, length_mm=length_mm, paper=paper, inches=not no_inches)
    files = [f"{path}" for path in _write(pages, out)]
    with console.beside(out):
        console.answer(
            "ruler",
            lambda: {**asdict(planned), "made_on": f"{planned.made_on}", "files": files},
            lambda: _lines(planned, files),
            measured.findings,
        )


def _lines(planned: "Ruler", files: list[str]) -> list[str]:
    return [
        *(f"Ruler: {path}" for path in files),
        planned.origin,
        planned.factor_text,
        planned.whom_text,
        *([f"No range: {planned.why_no_range}"] if planned.why_no_range else ()),
        *(f"Note: {note}" for note in planned.notes),
        *console.hint(_HOW_TO_PRINT),
    ]


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
