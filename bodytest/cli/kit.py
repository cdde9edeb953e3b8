"""The command ``kit``: what is printed for the bench: forms, labels, a template and a card of cautions."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import USUAL_BAR, USUAL_GAUGE, OfBar, OfGauge, PaperSize, Sheets, option
from bodytest.cli.progress import working
from bodytest.cli.sources import read_bars, tell_findings
from bodytest.rounding import counted

if TYPE_CHECKING:
    from bodytest.trial.kit import Kit


class Part(StrEnum):
    """Parts of a kit."""

    wet = "wet"
    leather_hard = "leather-hard"
    dry = "dry"
    bisque = "bisque"
    fired = "fired"
    cold_soaked = "cold-soaked"
    boiled = "boiled"
    broken = "broken"
    labels = "labels"
    template = "template"
    cautions = "cautions"


def kit(
    sheets: Sheets,
    out: Annotated[Path, option("--out")] = Path("kit.pdf"),
    only: Annotated[
        list[Part] | None,
        typer.Option(help="Print only this: the form of a stage, or another part. Repeatable.", show_default="all"),
    ] = None,
    bar: OfBar = USUAL_BAR,
    gauge: OfGauge = USUAL_GAUGE,
    paper: PaperSize = "A4",
) -> None:
    """Print what goes to the bench: a form for each day, labels, a template for bars and marks, and cautions.

    Example: bodytest kit trial.xlsx --out kit.pdf

    The forms show in grey what was read before; print the next day's alone: bodytest kit trial.xlsx --only dry

    Print at 100 %, not fitted to the page, and check the 100 mm line on the template with a steel rule.

    Exit code: 0 when it was written, 1 when the sheet holds a STOP besides, 2 when there are no bars or it cannot be.
    """
    from bodytest.errors import UnusableRequest
    from bodytest.files.outputs import is_standard_output, refuse_output

    if out.suffix.lower() != ".pdf" and not is_standard_output(out):
        raise UnusableRequest("kit-ending", value=out.suffix or "a name without an ending")
    refuse_output(out, sheets)
    checked = read_bars(sheets)
    tell_findings(checked.findings, sheets)
    from bodytest.files.writing import write_whole
    from bodytest.plan.drawing_pdf import to_pdf
    from bodytest.trial.bar_size import parse_bar
    from bodytest.trial.kit import PARTS, bench_kit

    made = bench_kit(checked, paper, parse_bar(bar, gauge), only or PARTS)
    with working("drawing the pages", len(made.pages)) as progress:
        write_whole(out, to_pdf(progress.counted(made.pages)))
    with console.beside(out):
        console.answer(
            "kit",
            lambda: {"files": [f"{out}"], "contents": made.contents, "notes": list(made.notes)},
            lambda: _lines(made, out),
            checked.findings,
        )


def _lines(made: "Kit", out: Path) -> list[str]:
    return [
        f"Wrote {out}: {counted(len(made.pages), 'page')}.",
        *(f"  {title}: {counted(count, 'page')}" for title, count in made.contents.items()),
        *(f"Note: {note}" for note in made.notes),
        *console.hint("Print at 100 % (actual size), not fitted to the page, and check the template's 100 mm line."),
    ]
