"""``bodytest report``: sheets in, a folder of pages and results out."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import Borrow, Confidence, Dated, DecimalComma, Sheets, WithoutOtherTabs, option
from bodytest.cli.progress import working
from bodytest.cli.sources import read_and_analyse, tell_findings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bodytest.findings import Finding
    from bodytest.report.bench_sheet import OwnSize
    from bodytest.results import Results


def report(
    sheets: Sheets,
    out: Annotated[Path, option("--out")] = Path("report"),
    confidence: Confidence = None,
    dated: Dated = None,
    borrow: Borrow = False,
    without_other_tabs: WithoutOtherTabs = False,
    sizes: Annotated[
        list[str] | None,
        typer.Option(
            metavar="SIZE,...", help="Your finished sizes with units, for the bench sheets: 92mm,height=7.5in."
        ),
    ] = None,
    decimal_comma: DecimalComma = False,
) -> None:
    """Make a page and a bench sheet to print for each body, an index, results.json and results.csv.

    Example: bodytest report trial.xlsx --out report

    Example: bodytest report trial.xlsx --sizes 92mm,height=7.5in

    Exit code: 0, or 1 when a finding of the level STOP cost some value (the report is made all the same).
    """
    from bodytest.files.report_folder import refuse_report
    from bodytest.report.file_names import ALWAYS

    own = _own_sizes(sizes or [])
    refuse_report(out, ALWAYS, sheets)
    results = read_and_analyse(sheets, confidence, borrow=borrow, without_other_tabs=without_other_tabs)
    today = dated.date() if dated else date.today()
    index, told = write_all(results, out, today, decimal_sign="," if decimal_comma else ".", own=own)
    found = (*results.findings, *told)
    tell_findings(found, sheets)
    console.answer("report", lambda: {"index": f"{index}"}, lambda: [f"Report: {index}"], found)


def _own_sizes(typed: list[str]) -> "tuple[OwnSize, ...]":
    from bodytest.plan.measures import parse_sizes
    from bodytest.report.bench_sheet import MOST_OWN_SIZES, OwnSize

    own = tuple(OwnSize(one.name or "", one.value, one.unit) for one in parse_sizes(typed))
    if len(own) > MOST_OWN_SIZES:
        raise typer.BadParameter(
            f"{len(own)} sizes do not fit on a bench sheet; give at most {MOST_OWN_SIZES}.", param_hint="--sizes"
        )
    return own


def write_all(
    results: "Results", folder: Path, today: date, *, decimal_sign: str = ".", own: "Sequence[OwnSize]" = ()
) -> "tuple[Path, tuple[Finding, ...]]":
    """Write the report with a spinner; return the index page and what was found while it was written."""
    with working("writing the report"):
        from bodytest.library.report_files import write_files

        index, told = write_files(results, folder, today, decimal_sign=decimal_sign, own=own)
    console.print_findings(told)
    return index, told
