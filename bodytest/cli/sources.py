"""Where commands take their figures from: sheets and results files, read and analysed on the spot, or as they are."""

import re
import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from bodytest.cli import console
from bodytest.cli.manner import said
from bodytest.cli.progress import working
from bodytest.files.inputs import STANDARD, is_results, is_sheet

if TYPE_CHECKING:
    from bodytest.grids.notebook import Notebook
    from bodytest.grids.opening import Source, Workbook
    from bodytest.results import Results, Summary
    from bodytest.tables import CheckedSheets


def as_typed(path: Path | str) -> str:
    """Return a word as it is typed in a command; one that a shell would take for more than a word is quoted.

    >>> as_typed(Path("my trial.csv")), as_typed(Path("$(reboot).csv"))
    ('"my trial.csv"', "'$(reboot).csv'")
    """
    text = str(path)
    if re.fullmatch(r"[\w .,:+=@%/\\-]+", text):
        return f'"{text}"' if " " in text else text
    return shlex.quote(text)


def is_source(text: str) -> bool:
    """Say whether a word is meant as a sheet or a results file: by its ending, or ``-`` for standard input.

    >>> is_source("trial.ods"), is_source("-"), is_source("7.5in")
    (True, True, False)
    """
    path = Path(text)
    return path == STANDARD or is_sheet(path) or is_results(path)


@dataclass(frozen=True)
class _Counted:
    """A workbook that is counted when it is opened."""

    source: "Source"
    count: Callable[[], None]

    @property
    def path(self) -> Path:
        return self.source.path

    def open(self, notes: "Notebook", is_heading: Callable[[str], bool]) -> "Workbook":
        self.count()
        return self.source.open(notes, is_heading)


def read(paths: Sequence[Path]) -> "CheckedSheets":
    """Read sheets and the sheets kept in results files, and tell how far it is.

    Raises:
        UnusableRequest: no file is named.
        UnreadableResults: a results file cannot be used.
    """
    from bodytest.errors import UnusableRequest
    from bodytest.reading import read_sources, sources_of

    if not paths:
        raise UnusableRequest("no-source")
    sources = [source for path in paths for source in sources_of(path)]
    with working("reading the sheets", len(sources)) as progress:
        return read_sources([_Counted(source, progress.count) for source in sources], said())


def read_bars(paths: Sequence[Path]) -> "CheckedSheets":
    """Read the sheets; leave with exit code 2 when there is not one bar to go by."""
    sheets = read(paths)
    if sheets.bars.empty:
        console.refuse(sheets.findings, console.EXIT_USAGE)
        raise typer.Exit(console.EXIT_USAGE)
    return sheets


def read_and_analyse(
    paths: Sequence[Path], confidence: float | None = None, *, borrow: bool = False, whole: bool = True
) -> "tuple[CheckedSheets, Results]":
    """Read the sheets and analyse them; leave with exit code 2 when there is not one bar to go by.

    Not ``whole`` leaves out what is drawn from the groups: responses to firing, comparisons, timelines and the like.
    """
    sheets = read_bars(paths)
    from bodytest.analysis.analysing import analyse, summarise

    with working("computing"):
        return sheets, (analyse if whole else summarise)(sheets, confidence=confidence, borrow=borrow)


def read_and_summarise(paths: Sequence[Path], confidence: float | None = None) -> "tuple[CheckedSheets, Results]":
    """Read the sheets and compute all but the responses to firing, which take their time; tell what was found."""
    sheets, results = read_and_analyse(paths, confidence, whole=False)
    console.print_summary(results.findings)
    return sheets, results


def read_measured(paths: Sequence[Path], confidence: float | None = None) -> "Summary":
    """Return what was measured: as one results file has it, or by analysing all files together.

    Another confidence than a results file's is reached by analysing the sheets that it keeps.

    Raises:
        UnusableRequest: no file is named.
        UnreadableResults: a results file cannot be used.
    """
    if len(paths) == 1 and is_results(paths[0]):
        from bodytest.export.reader import read_summary

        summary = read_summary(paths[0])
        if confidence in {None, summary.confidence}:
            console.print_findings(f for f in summary.findings if f.code == "results-later-read")
            return summary
    sheets, results = read_and_summarise(paths, confidence)
    from bodytest.analysis.pieces import compare_pieces

    return replace(results, pieces=compare_pieces(results, sheets.pieces, confidence=results.confidence))
