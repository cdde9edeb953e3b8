"""``bodytest report``: sheets in, a folder of pages and results out."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import Borrow, Confidence, Sheets

if TYPE_CHECKING:
    from bodytest.findings import Finding
    from bodytest.results import Results


def report(
    sheets: Sheets,
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for the report; made when missing.")] = Path(
        "report"
    ),
    confidence: Confidence = None,
    dated: Annotated[
        datetime | None, typer.Option("--date", formats=["%Y-%m-%d"], help="Date on the report.", show_default="today")
    ] = None,
    borrow: Borrow = False,
    decimal_comma: Annotated[
        bool, typer.Option("--decimal-comma", help="Write numbers on the pages with a decimal comma.")
    ] = False,
) -> None:
    """Make one page for each body, an index, results.json and results.csv.

    Example: bodytest report trial.xlsx --out report

    Exit code: 0, or 1 when a finding of the level STOP cost some value (the report is made all the same).
    """
    from bodytest.files.report_folder import refuse_report
    from bodytest.report.file_names import ALWAYS

    level = console.confidence_fraction(confidence)
    refuse_report(out, ALWAYS, sheets)
    _, results = console.read_and_analyse(sheets, level, borrow=borrow)
    today = dated.date() if dated else date.today()
    index, told = write_all(results, out, today, decimal_sign="," if decimal_comma else ".")
    found = (*results.findings, *told)
    console.print_summary(found)
    console.say(f"Report: {index}")
    console.exit_for(found)


def write_all(
    results: "Results", folder: Path, today: date, *, decimal_sign: str = "."
) -> "tuple[Path, tuple[Finding, ...]]":
    """Write the report with a spinner; return the index page and what was found while it was written."""
    with console.working("writing the report"):
        from bodytest.library.report_files import write_files

        index, told = write_files(results, folder, today, decimal_sign=decimal_sign)
    console.print_findings(told, to_stderr=True)
    return index, told
