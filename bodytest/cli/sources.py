"""Where commands take their figures from: sheets and results files, read and analysed on the spot, or as they are."""

import re
import shlex
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from bodytest.cli import console
from bodytest.cli.manner import said, told, wants_json
from bodytest.cli.progress import working
from bodytest.files.inputs import STANDARD, is_results, is_sheet

if TYPE_CHECKING:
    from bodytest.findings import Finding
    from bodytest.grids.notebook import Notebook
    from bodytest.grids.opening import Source, Workbook
    from bodytest.results import Results, Summary
    from bodytest.tables import CheckedSheets


_STOPS_SHOWN = 10
"""A command that computes shows no more of them; ``bodytest check`` shows all."""
_NAMES_SHOWN = 20
"""More sheets than these are not named one by one."""


def as_typed(path: Path | str) -> str:
    """Return a word as it is typed in a command; one that a shell would take for more than a word is quoted.

    >>> as_typed(Path("my trial.csv")), as_typed(Path("$(reboot).csv"))
    ('"my trial.csv"', "'$(reboot).csv'")
    """
    text = str(path)
    if re.fullmatch(r"[\w .,:+=@%/\\()…-]+", text):
        return f'"{text}"' if re.search(r"[ ()]", text) else text
    return shlex.quote(text)


def as_given(paths: Sequence[Path | str], *, but: Collection[str | None] = ()) -> str:
    """Return the sheets with what was said of them behind ``--as`` and ``--unit``, as they are typed in a command.

    What was said of the headings in ``but`` is left out.
    """
    headings, units = told()
    kept = [one for one in headings if one.rpartition("=")[0].strip() not in but]
    options = (("--as", one) for one in kept), (("--unit", one) for one in units)
    return " ".join([*map(as_typed, paths), *(f"{name} {as_typed(one)}" for name, one in chain(*options))])


def tell_findings(findings: "Iterable[Finding]", paths: Sequence[Path]) -> None:
    """Print the first ``stop`` findings and a line that counts all of them, to standard error; nothing beside JSON."""
    found = list(findings)
    stops = [f for f in found if f.level == "stop"]
    if wants_json():
        return
    console.print_findings(stops[:_STOPS_SHOWN])
    if len(stops) > _STOPS_SHOWN:
        console.tell(f"… and {len(stops) - _STOPS_SHOWN} more to mend.")
    if found:
        console.mention(_counted(found, paths))


def _counted(found: "list[Finding]", paths: Sequence[Path]) -> str:
    names = as_given(paths) if len(paths) <= _NAMES_SHOWN else "SHEET..."
    return f"Findings: {console.count_words(found)}. See them all with: bodytest check {names}"


def is_source(text: str) -> bool:
    """Say whether a word is meant as a sheet or a results file: by its ending, or ``-`` for standard input.

    So is what lies there, a folder by mistake, unless it begins with a number as sizes do.

    >>> is_source("trial.ods"), is_source("-"), is_source("7.5in")
    (True, True, False)
    """
    path = Path(text)
    is_there = bool(text) and not text[0].isnumeric() and path.exists()
    return path == STANDARD or is_sheet(path) or is_results(path) or is_there


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
    paths: Sequence[Path],
    confidence: float | None = None,
    *,
    borrow: bool = False,
    whole: bool = True,
    without_other_tabs: bool = False,
) -> "Results":
    """Read the sheets and analyse them; leave with exit code 2 when there is not one bar to go by.

    Not ``whole`` leaves out what is drawn from the groups: responses to firing, comparisons, timelines and the like.
    """
    sheets = read_bars(paths)
    from bodytest.analysis.analysing import analyse, summarise

    with working("computing"):
        results = (analyse if whole else summarise)(sheets, confidence=confidence, borrow=borrow)
    if without_other_tabs:
        from bodytest.export.document import with_read_tabs_only

        return with_read_tabs_only(results)
    return results


def read_and_summarise(paths: Sequence[Path], confidence: float | None = None) -> "Results":
    """Read the sheets and compute all but the responses to firing, which take their time; tell what was found."""
    results = read_and_analyse(paths, confidence, whole=False)
    tell_findings(results.findings, paths)
    return results


def read_measured(paths: Sequence[Path], confidence: float | None = None) -> "Summary":
    """Return what was measured: as one results file has it, or by analysing all files together.

    Another confidence than a results file's is reached by analysing the sheets that it keeps.

    Raises:
        UnusableRequest: no file is named.
        UnreadableResults: a results file cannot be used.
    """
    if len(paths) == 1 and is_results(paths[0]):
        from bodytest.export.reader import read_summary
        from bodytest.findings import worst_level

        summary = read_summary(paths[0])
        if confidence in {None, summary.confidence}:
            if worst_level(summary.findings) == "stop" and not wants_json():
                console.tell(_counted(list(summary.findings), paths))
            console.print_findings(f for f in summary.findings if f.code == "results-later-read")
            return summary
    sheets = read_bars(paths)
    from bodytest.analysis.analysing import summarise
    from bodytest.analysis.pieces import compare_pieces

    with working("computing"):
        results = summarise(sheets, confidence=confidence)
        pieces = compare_pieces(results, sheets.pieces, confidence=results.confidence)
    tell_findings(results.findings, paths)
    return replace(results, pieces=pieces)
