"""``bodytest release``: one batch against the limits of its body, as a certificate and JSON."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import Confidence, Dated, Sheets, option
from bodytest.cli.sources import read_bars, tell_findings

if TYPE_CHECKING:
    from bodytest.analysis.release import Release
    from bodytest.report.certificate import Numbered


def release(
    sheets: Sheets,
    body: Annotated[str, option("--body")],
    batch: Annotated[str, option("--batch")],
    load: Annotated[str | None, option("--load", "all loads")] = None,
    out: Annotated[Path, option("--out")] = Path(),
    number: Annotated[
        str | None, typer.Option(help="Number of the certificate.", show_default="made from sheets, body and batch")
    ] = None,
    replaces: Annotated[str, typer.Option(help="Number of the certificate that this one amends.")] = "",
    dated: Dated = None,
    confidence: Confidence = None,
) -> None:
    """Hold a batch against every limit of its body: a page to print and sign, and the same as JSON.

    Example: bodytest release trial.xlsx --body "Drift Buff" --batch D3 --out certificates

    The worst verdict counts; what was not tested is never a pass. Exit code: 0 whatever the verdict, 1 when a finding
    of the level STOP cost some value.
    """
    from bodytest.analysis.release import release as hold
    from bodytest.files.outputs import refuse_all, refuse_stream
    from bodytest.files.own_files import IN_JSON, sealed
    from bodytest.files.writing import safe_file_name, write_whole

    name = safe_file_name(f"{body} {batch} {load or ''}")
    places = out / f"{name}-certificate.html", out / f"{name}-certificate.json"
    refuse_stream(out)
    refuse_all(places, sheets)
    checked = read_bars(sheets)
    found = hold(checked, body, batch, load=load, confidence=confidence)
    from pydantic_core import to_json

    from bodytest.export.document import plain
    from bodytest.report.certificate import Numbered, certificate_html, certificate_number

    numbered = Numbered(number or certificate_number(found), replaces, dated.date() if dated else date.today())
    document = plain(_document(found, numbered))
    write_whole(places[0], certificate_html(found, numbered))
    write_whole(places[1], sealed([to_json(document, indent=1) + b"\n"], IN_JSON))
    tell_findings(found.results.findings, sheets)
    console.answer(
        "release",
        lambda: {**document, "files": [f"{place}" for place in places]},
        lambda: [f"{found.body}, batch {found.batch}: {found.verdict}.", *found.sentences, f"Certificate: {places[0]}"],
        found.results.findings,
    )


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
