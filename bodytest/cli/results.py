"""``bodytest results``: the results document as JSON, as a table, or as a planner workbook."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from bodytest.cli import console
from bodytest.cli.choices import Borrow, Confidence, DecimalComma, Sheets, WithoutOtherTabs, option
from bodytest.cli.manner import wants_json
from bodytest.cli.progress import working
from bodytest.cli.sources import read_and_analyse, tell_findings

if TYPE_CHECKING:
    from collections.abc import Iterable

    from bodytest.results import Results


_Format = Literal["json", "csv", "xlsx"]
_WHY_NO_COMMA = {
    "json": "numbers in JSON have a point; say --format csv.",
    "xlsx": "a workbook shows numbers as your spreadsheet program is set; it goes with --format csv.",
}


def results(
    sheets: Sheets,
    form: Annotated[
        _Format | None,
        typer.Option(
            "--format",
            help="json: everything; csv: one row for each group, batch and quantity; xlsx: a planner workbook.",
            show_default="by the ending of --out, else json",
        ),
    ] = None,
    out: Annotated[Path | None, option("--out", "-")] = None,
    confidence: Confidence = None,
    borrow: Borrow = False,
    without_other_tabs: WithoutOtherTabs = False,
    decimal_comma: DecimalComma = False,
    schema: Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of the document and stop.")] = False,
) -> None:
    """Write the results for other programs: JSON, CSV, or a workbook that plans sizes with live formulas.

    Example: bodytest results trial.xlsx --format csv --out results.csv

    Beside a CSV file stands datapackage.json, which tells the type and meaning of each column.

    In CSV and workbook, a text that a spreadsheet would take for a formula gets an apostrophe in front.

    Exit code: 0, or 1 when a finding of the level STOP cost some value (the results are written all the same; what was
    found is told in short on standard error), or 2 when there is nothing to write.
    """
    from bodytest.errors import UnusableRequest
    from bodytest.files.outputs import is_standard_output, refuse_output
    from bodytest.findings import worst_level

    if schema:
        from bodytest.export.schema import schema_text

        console.say_data([schema_text().encode()], is_json=True)
        return
    chosen = form or ("json" if wants_json() else _format_of(out))
    if decimal_comma and chosen != "csv":
        raise typer.BadParameter(_WHY_NO_COMMA[chosen], param_hint="--decimal-comma")
    if chosen == "xlsx" and out is None:
        raise UnusableRequest("workbook-without-file")
    target = out or Path("-")
    refuse_output(target, sheets)
    if chosen == "json" and target != Path("-"):
        _refuse_unknown_ending(target)
    found = read_and_analyse(
        sheets, confidence, borrow=borrow, whole=chosen != "csv", without_other_tabs=without_other_tabs
    )
    _write(found, chosen, target, "," if decimal_comma else ".")
    tell_findings(found.findings, sheets)
    if not is_standard_output(target):
        console.mention(f"Wrote {target}.")
    if worst_level(found.findings) == "stop":
        raise typer.Exit(console.EXIT_STOP)


def _refuse_unknown_ending(target: Path) -> None:
    """Refuse a file by whose name nothing would know it for results; pipes and devices may have any."""
    from bodytest.errors import UnusableRequest
    from bodytest.files.inputs import is_results

    if (target.is_file() or not target.exists()) and not is_results(target):
        raise UnusableRequest("results-without-ending", value=str(target))


def _format_of(out: Path | None) -> _Format:
    endings: dict[str, _Format] = {".csv": "csv", ".xlsx": "xlsx"}
    return endings.get(out.suffix.lower(), "json") if out else "json"


def _write(found: "Results", form: _Format, out: Path, decimal_sign: str) -> None:
    from bodytest.files.writing import write_whole

    content = _content(found, form, decimal_sign)
    if out == Path("-") and form != "xlsx":
        console.say_data(content, is_json=form == "json")
    else:
        with working("writing the results"):
            write_whole(out, content)
    if form == "csv":
        from bodytest.export.data_package import describe

        console.print_findings(describe(out, decimal_sign))


def _content(found: "Results", form: _Format, decimal_sign: str) -> "Iterable[bytes]":
    if form == "csv":
        from bodytest.export.csv_tables import to_csv

        return [to_csv(found, decimal_sign).encode("utf-8")]
    if form == "xlsx":
        from bodytest.export.workbook import to_workbook

        return [to_workbook(found)]
    from bodytest.export.document import json_chunks

    return json_chunks(found)
