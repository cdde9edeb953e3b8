"""Where planning commands take their figures from: one results file as it is, or whatever is analysed on the spot."""

import re
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from bodytest.cli import console

if TYPE_CHECKING:
    from bodytest.results import Results, Summary

SHEET_ENDINGS = (".xlsx", ".xlsm", ".ods", ".csv")
"""Endings by which a sheet is told from a results file."""


def is_sheet(name: str | Path) -> bool:
    """Say whether a file is a sheet by its ending."""
    return str(name).lower().endswith(SHEET_ENDINGS)


def as_typed(path: Path) -> str:
    """Return a path as it is typed in a command; a name that a shell would take for more than a name is quoted.

    >>> as_typed(Path("my trial.csv")), as_typed(Path("$(reboot).csv"))
    ('"my trial.csv"', "'$(reboot).csv'")
    """
    text = str(path)
    if re.fullmatch(r"[\w .,:+=@%/\\-]+", text):
        return f'"{text}"' if " " in text else text
    return shlex.quote(text)


def is_source(name: str | Path) -> bool:
    """Say whether a file is a sheet or a results file by its ending."""
    return is_sheet(name) or str(name).lower().endswith(".json")


def read_measured(sources: list[Path]) -> "Summary":
    """Return what was measured, from one results file, or from all files analysed together; findings are told.

    Raises:
        UnusableRequest: no file is named.
        UnreadableResults: a results file cannot be used.
    """
    from bodytest.errors import UnusableRequest

    if not sources:
        raise UnusableRequest("no-source")
    return _measure(sources) if len(sources) > 1 or is_sheet(sources[0]) else _read_file(sources[0])


def _measure(paths: list[Path]) -> "Results":
    """Summarise sheets; responses to firing take their time and planning does not use them."""
    sheets = console.read_bars(paths)
    from dataclasses import replace

    from bodytest.analysis.analysing import summarise
    from bodytest.analysis.pieces import compare_pieces

    with console.working("computing"):
        results = summarise(sheets)
        compared = compare_pieces(results, sheets.pieces, confidence=results.confidence)
    console.print_summary(results.findings)
    return replace(results, pieces=compared)


def _read_file(path: Path) -> "Summary":
    from bodytest.export.reader import read_summary

    summary = read_summary(path)
    console.print_findings((f for f in summary.findings if f.code == "results-later-read"), to_stderr=True)
    return summary
