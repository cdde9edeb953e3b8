"""The command ``form``: one offline page to type readings on a phone, bar by bar."""

from pathlib import Path
from typing import Annotated

from bodytest.cli import console
from bodytest.cli.choices import Sheets, option
from bodytest.cli.sources import as_given, read_bars, tell_findings


def form(
    sheets: Sheets,
    out: Annotated[Path, option("--out")] = Path("form.html"),
) -> None:
    """Write one page for a phone: readings are typed bar by bar, doubts told at once, and saved as a CSV file.

    Example: bodytest form trial.xlsx --out form.html

    The page needs no network. Its CSV is read together with the sheet: bodytest check trial.xlsx trial-readings.csv
    Give the sheet together with a CSV saved earlier, and the page knows those readings too.

    Exit code: 0 when it was written, 1 when the sheet holds a STOP besides, 2 when there are no bars or the page
    cannot be written.
    """
    from bodytest.files.outputs import refuse_output

    refuse_output(out, sheets)
    checked = read_bars(sheets)
    tell_findings(checked.findings, sheets)
    from bodytest.files.writing import write_whole
    from bodytest.sheet.phone_form import form_page, typing_data

    page = form_page(checked)
    write_whole(out, page)
    with console.beside(out):
        taken = typing_data(checked)["file"]
        console.answer(
            "form",
            lambda: {"files": [f"{out}"], "readings": taken},
            lambda: [
                f"Wrote {out}.",
                *console.hint(
                    "Send it to the phone and open it there; it needs no network.",
                    f"Then: bodytest check {as_given([*sheets, taken])}",
                ),
            ],
            checked.findings,
        )
