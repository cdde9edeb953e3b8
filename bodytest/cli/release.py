"""``bodytest release``: one batch against the limits of its body, as a certificate and JSON."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import AsJson, Confidence, Sheets

if TYPE_CHECKING:
    from bodytest.analysis.release import Release
    from bodytest.report.certificate import Numbered


def release(
    sheets: Sheets,
    body: Annotated[str, typer.Option(help="Name of the body.")],
    batch: Annotated[str, typer.Option(help="Name of the batch.")],
    load: Annotated[
        str | None, typer.Option(help="Code of the load whose bars alone count.", show_default="all loads")
    ] = None,
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for the certificate and its JSON.")] = Path(),
    number: Annotated[
        str | None, typer.Option(help="Number of the certificate.", show_default="made from sheets, body and batch")
    ] = None,
    replaces: Annotated[str, typer.Option(help="Number of the certificate that this one amends.")] = "",
    dated: Annotated[
        datetime | None, typer.Option("--date", formats=["%Y-%m-%d"], help="Date of issue.", show_default="today")
    ] = None,
    confidence: Confidence = None,
    as_json: AsJson = False,
) -> None:
    """Hold a batch against every limit of its body: a page to print and sign, and the same as JSON.

    Example: bodytest release trial.xlsx --body "Drift Buff" --batch D3 --out certificates

    The worst verdict counts; what was not tested is never a pass. Exit code: 0 whatever the verdict, 1 when a finding
    of the level STOP cost some value.
    """
    from bodytest.analysis.release import release as hold
    from bodytest.files.outputs import refuse_all
    from bodytest.files.own_files import IN_JSON, sealed
    from bodytest.files.writing import Content, safe_file_name, write_whole

    name = safe_file_name(f"{body} {batch} {load or ''}")
    places = out / f"{name}-certificate.html", out / f"{name}-certificate.json"
    refuse_all(places, sheets)
    level = console.confidence_fraction(confidence)
    checked = console.read_bars(sheets)
    found = hold(checked, body, batch, load=load, confidence=level)
    from pydantic_core import to_json

    from bodytest.export.document import plain
    from bodytest.report.certificate import Numbered, certificate_html, certificate_number

    numbered = Numbered(number or certificate_number(found), replaces, dated.date() if dated else date.today())
    document = _document(found, numbered)
    contents: dict[Path, Content] = {
        places[0]: certificate_html(found, numbered),
        places[1]: sealed([to_json(plain(document), indent=1) + b"\n"], IN_JSON),
    }
    with console.beside(None):
        for place, content in contents.items():
            write_whole(place, content)
    console.print_summary(found.results.findings)
    if as_json:
        console.say_json(plain(document))
    else:
        console.say(f"{body}, batch {batch}: {found.verdict}.")
        console.say(*found.sentences, f"Certificate: {places[0]}")
    console.exit_for(found.results.findings)


def _document(found: "Release", numbered: "Numbered") -> dict[str, object]:
    return {
        "format": "bodytest release",
        "version": 1,
        "software": found.results.software,
        "number": numbered.number,
        "replaces": numbered.replaces or None,
        "issued": numbered.issued.isoformat(),
        "body": found.body,
        "batch": found.batch,
        "load": found.load,
        "verdict": found.verdict,
        "confidence": found.results.confidence,
        "rows": found.rows,
        "deviations": found.deviations,
        "sheets": found.results.sheets,
    }
