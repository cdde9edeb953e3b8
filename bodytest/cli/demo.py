"""``bodytest demo``: the invented demo sheets and their report in one go."""

from datetime import date
from pathlib import Path
from typing import Annotated

from bodytest.cli import console
from bodytest.cli.choices import option
from bodytest.cli.progress import working
from bodytest.cli.sources import read_and_analyse


def demo(
    out: Annotated[Path, option("--out")] = Path("bodytest-demo"),
) -> None:
    """Write the demo workbooks (all numbers invented) and the report of the complete one.

    Example: bodytest demo --out bodytest-demo
    """
    from bodytest.cli.report import write_all
    from bodytest.demo.workbooks import DEMO_SHEETS, write_demo_sheets
    from bodytest.files.outputs import refuse_all, refuse_stream
    from bodytest.files.report_folder import refuse_report
    from bodytest.report.file_names import ALWAYS

    refuse_stream(out)
    refuse_report(out / "report", ALWAYS)
    refuse_all(out / name for name in DEMO_SHEETS)
    with working("writing the demo workbooks"):
        sheets = write_demo_sheets(out)
    results = read_and_analyse([sheets[0]])
    index, _ = write_all(results, out / "report", date.today())
    names = [f"{path}" for path in sheets]
    console.answer(
        "demo",
        lambda: {"files": names, "index": f"{index}"},
        lambda: [
            f"Workbooks (all numbers are invented): {', '.join(names)}",
            f"Report: {index}",
            *console.hint(
                "Open the report in a browser. Then make a blank sheet of your own with: bodytest sheet trial.xlsx"
            ),
        ],
    )
