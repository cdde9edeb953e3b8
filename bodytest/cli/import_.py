"""``bodytest import``: sheets as people keep them in, clean workbooks of our layout out."""

import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import chain, count
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.sources import SHEET_ENDINGS
from bodytest.cli.telling import reads_sheets, told

if TYPE_CHECKING:
    from bodytest.cleaning import Cleaned
    from bodytest.findings import Finding

_ASKED = ("heading-in-doubt", "column-splits-bars", "heading-twice", "unit-missing")


@reads_sheets
def import_(
    files: Annotated[list[Path], typer.Argument(metavar="FILE", help="Sheets of your own, or folders of them.")],
    out: Annotated[
        Path, typer.Option("--out", "-o", help="The clean workbook; for several files, the folder for one each.")
    ],
    like: Annotated[
        Path | None, typer.Option("--like", metavar="EARLIER", help="Answer as in this earlier clean workbook.")
    ] = None,
) -> None:
    """Lay sheets out anew as bodytest's own workbook, with a table Sources that says where each column came from.

    What cannot be known is asked at a terminal, or taken from --as, --unit and --like. The originals stay as they are.
    For several files a summary tells rows of bars, questions left and where each was written.

    Example: bodytest import old-tests.xlsx --out clean.xlsx --as "Fired to=cone"

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when a sheet holds no bars that can be
    told.
    """
    from bodytest.errors import UnusableRequest
    from bodytest.files.outputs import refuse_all

    sheets = [path for given in files for path in _sheets_in(given)]
    if not sheets:
        raise UnusableRequest("no-sheet-in-folder", value=", ".join(map(str, files)))
    several = len(sheets) > 1 or files[0].is_dir()
    targets = _targets(sheets, out) if several else [out]
    refuse_all(targets, sheets)
    answers = _Answers.given(like)
    worst, summary = 0, [("file", "rows of bars", "questions left", "written")]
    for sheet, target in zip(sheets, targets, strict=True):
        cleaned = answers.cleaned(sheet)
        questions = [f for f in cleaned.findings if f.level != "note"]
        console.print_findings(questions, to_stderr=True)
        worst = max(worst, _write(cleaned, sheet, target, quietly=several))
        rows = str(len(cleaned.tables["Bars"]) - 1) if cleaned.tables else "none"
        summary.append((sheet.name, rows, str(len(questions)), target.name if cleaned.tables else "nothing"))
    if several:
        console.say(*console.aligned(summary), f"Written to {out}. Next: bodytest check {out / 'FILE'}")
    not_there = answers.not_there()
    console.print_findings(not_there, to_stderr=True)
    if worst or not_there:
        raise typer.Exit(max(worst, console.EXIT_STOP if not_there else 0))


def _sheets_in(given: Path) -> list[Path]:
    if not given.is_dir():
        return [given]
    return sorted(p for p in given.iterdir() if p.suffix.lower() in SHEET_ENDINGS and not p.name.startswith((".", "~")))


def _targets(sheets: Sequence[Path], folder: Path) -> list[Path]:
    """Return a name for each clean workbook, none twice."""
    targets: list[Path] = []
    for sheet in sheets:
        stems = chain((sheet.stem, f"{sheet.stem}-{sheet.suffix[1:]}"), (f"{sheet.stem}-{n}" for n in count(2)))
        taken = {target.name.casefold() for target in targets}
        names = (f"{stem}-clean.xlsx" for stem in stems)
        targets.append(folder / next(name for name in names if name.casefold() not in taken))
    return targets


@dataclass
class _Answers:
    """What is known of headings and units: from options, from an earlier import, and from questions at a terminal."""

    typed: list[str]
    """Pairs behind ``--as``."""
    columns: list[str]
    """All pairs, as behind ``--as``."""
    units: list[str]
    """Units, as behind ``--unit``."""
    asked: set[tuple[str, object]] = field(default_factory=set)
    """Code and value of the questions that were asked; an answer holds for every sheet."""
    found: set[str] = field(default_factory=set)
    """Plain headings of pairs that some sheet has."""

    @classmethod
    def given(cls, like: Path | None) -> "_Answers":
        """Return what was typed, and what an earlier clean workbook says where nothing was typed."""
        from bodytest.cleaning import answers_of

        typed, units = map(list, told())
        earlier, earlier_units = answers_of(like) if like is not None else ([], [])
        return cls(typed, [*earlier, *typed], [*earlier_units, *units])

    def cleaned(self, sheet: Path) -> "Cleaned":
        """Read one sheet, and again with each answer given at a terminal."""
        cleaned = self._clean(sheet)
        while sys.stdin.isatty() and (question := self._next(cleaned)):
            self.asked.add((question.code, question.value))
            if self._ask(question):
                cleaned = self._clean(sheet)
        return cleaned

    def _clean(self, sheet: Path) -> "Cleaned":
        from bodytest.cleaning import clean
        from bodytest.intake.layouts.said import said_by

        said = said_by(self.columns, self.units)
        with console.working("reading the sheet"):
            cleaned = clean(sheet, said)
        self.found |= said.found
        return cleaned

    def _next(self, cleaned: "Cleaned") -> "Finding | None":
        questions = (f for f in cleaned.findings if f.code in _ASKED)
        return next((f for f in questions if (f.code, f.value) not in self.asked), None)

    def _ask(self, question: "Finding") -> bool:
        """Ask until the answer can be meant; tell whether there was one."""
        from bodytest.errors import UnusableRequest
        from bodytest.intake.layouts.said import said_by

        console.tell(question.sentence)
        of_unit = question.code == "unit-missing"
        prompt = "Which unit is it?" if of_unit else "Which of our columns is it? (- passes it over)"
        while answer := typer.prompt(f"{prompt} Enter leaves it open", "", show_default=False, err=True).strip():
            columns, units = ([], [answer]) if of_unit else ([f"{question.value}={answer}"], [])
            try:
                said_by(columns, units)
            except UnusableRequest as refused:
                console.print_findings([refused.finding], to_stderr=True)
                continue
            self.columns += columns
            self.units += units
            return True
        return False

    def not_there(self) -> "list[Finding]":
        """Return what was typed of headings that no sheet has."""
        from bodytest.findings import finding
        from bodytest.intake.layouts.said import said_by

        said = said_by(self.typed, [])
        said.found.update(self.found)
        return [finding("as-not-there", value=heading) for heading in said.not_there()]


def _write(cleaned: "Cleaned", sheet: Path, target: Path, *, quietly: bool) -> int:
    """Write a clean workbook and, unless a summary does, say so in one line; return the exit code."""
    from bodytest.cleaning import clean_workbook
    from bodytest.files.writing import make_folder, write_whole
    from bodytest.findings import worst_level

    if not cleaned.tables:
        console.tell(f"{sheet.name}: no bars that could be told, nothing was written.")
        return console.EXIT_USAGE
    make_folder(target.parent)
    write_whole(target, clean_workbook(cleaned))
    if not quietly:
        bars = len(cleaned.tables["Bars"]) - 1
        console.say(f"{sheet.name}: {bars} rows of bars → {target}. Next: bodytest check {target}")
    return console.EXIT_STOP if worst_level(cleaned.findings) == "stop" else 0
