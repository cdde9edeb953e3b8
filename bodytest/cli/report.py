"""``bodytest report``: sheets in, a folder of pages and results out."""

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import Borrow, Confidence, Sheets

if TYPE_CHECKING:
    from bodytest.files.writing import Content
    from bodytest.results import Results
    from bodytest.tables import CheckedSheets


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
    checked, results = console.read_and_analyse(sheets, level, borrow=borrow)
    today = dated.date() if dated else date.today()
    results = _with_early_date(results, checked, today)
    index = write_all(checked, results, out, today, decimal_sign="," if decimal_comma else ".")
    console.print_summary(results.findings)
    console.say(f"Report: {index}")
    console.exit_for(results.findings)


def write_all(
    checked: "CheckedSheets", results: "Results", folder: Path, today: date, *, decimal_sign: str = "."
) -> Path:
    """Write pages, results.json and results.csv into ``folder``, all or nothing, and return the index page."""
    from bodytest.export.csv_tables import to_csv
    from bodytest.export.document import json_chunks
    from bodytest.files.report_folder import replace_report
    from bodytest.findings import finding
    from bodytest.report.file_names import INDEX, RESULTS_CSV, RESULTS_JSON

    with console.working("writing the report"):
        from bodytest.report.pages import report_pages

        pages: dict[str, Content] = dict(report_pages(results, checked, today, decimal_sign))
        pages |= {RESULTS_JSON: json_chunks(results), RESULTS_CSV: to_csv(results)}
        kept = replace_report(folder, pages)
    console.print_findings((finding("page-kept", sheet=str(folder / name)) for name in kept), to_stderr=True)
    return folder / INDEX


def _with_early_date(results: "Results", checked: "CheckedSheets", today: date) -> "Results":
    """Add a finding when the report is dated before one of its firings."""
    from bodytest.findings import finding

    dated = zip(checked.firings["date"], checked.firings["firing"], strict=True)
    fired, firing = max(dated, default=("", ""))
    if fired <= today.isoformat():
        return results
    early = finding("report-before-firing", value=today.isoformat(), firing=firing, fired=fired)
    console.print_findings([early], to_stderr=True)
    return replace(results, findings=(*results.findings, early))
