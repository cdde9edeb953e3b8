"""``bodytest demo``: the invented demo sheets and their report in one go."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from bodytest.cli import console


def demo(
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for the demo; made when missing.")] = Path(
        "bodytest-demo"
    ),
) -> None:
    """Write the demo workbooks (all numbers invented) and the report of the complete one.

    Example: bodytest demo --out bodytest-demo
    """
    from bodytest.cli.report import write_all
    from bodytest.demo.workbooks import DEMO_SHEETS, write_demo_sheets
    from bodytest.files.outputs import refuse_all
    from bodytest.files.report_folder import refuse_report
    from bodytest.report.file_names import ALWAYS

    refuse_report(out / "report", ALWAYS)
    refuse_all(out / name for name in DEMO_SHEETS)
    with console.working("writing the demo workbooks"):
        sheets = write_demo_sheets(out)
    _, results = console.read_and_analyse([sheets[0]])
    index, _ = write_all(results, out / "report", date.today())
    console.say(f"Workbooks (all numbers are invented): {', '.join(str(path) for path in sheets)}")
    console.say(f"Report: {index}")
    console.say("Open the report in a browser. Then make a blank sheet of your own with: bodytest sheet trial.xlsx")
