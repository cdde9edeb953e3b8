"""``bodytest report``: sheets in, a folder of pages and results out."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console

if TYPE_CHECKING:
    from bodytest.results import Results
    from bodytest.tables import CheckedSheets


def report(
    sheets: Annotated[
        list[Path], typer.Argument(metavar="SHEET", help="Filled-in sheets (.xlsx, .ods, .csv), read together.")
    ],
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for the report; made when missing.")] = Path(
        "report"
    ),
    confidence: Annotated[
        float | None,
        typer.Option(help="Confidence of the intervals in %, in place of the Lab sheet's.", show_default="95"),
    ] = None,
    dated: Annotated[
        datetime | None, typer.Option("--date", formats=["%Y-%m-%d"], help="Date on the report.", show_default="today")
    ] = None,
    decimal_comma: Annotated[
        bool, typer.Option("--decimal-comma", help="Write numbers on the pages with a decimal comma.")
    ] = False,
) -> None:
    """Make one page for each body, an index, results.json and results.csv.

    Example: bodytest report trial.xlsx --out report

    Exit code: 0, or 1 when a finding of the level STOP cost some value (the report is made all the same).
    """
    level = console.confidence_fraction(confidence)
    checked, results = console.read_and_analyse(sheets, level)
    today = dated.date() if dated else date.today()
    index = write_all(checked, results, out, today, decimal_sign="," if decimal_comma else ".")
    console.print_summary(results.findings)
    console.say(f"Report: {index}")
    console.exit_for(results.findings)


def write_all(
    checked: "CheckedSheets", results: "Results", folder: Path, today: date, *, decimal_sign: str = "."
) -> Path:
    """Write pages, results.json and results.csv into ``folder`` and return the index page."""
    from bodytest.cli.light_seaborn import import_seaborn_lightly
    from bodytest.export.csv_tables import to_csv
    from bodytest.export.document import to_json
    from bodytest.files.writing import write_whole

    with console.working("writing the report"):
        import_seaborn_lightly()
        from bodytest.report.pages import write_report

        write_report(results, checked, folder, today=today, decimal_sign=decimal_sign)
        write_whole(folder / "results.json", to_json(results))
        write_whole(folder / "results.csv", to_csv(results))
    return folder / "index.html"
