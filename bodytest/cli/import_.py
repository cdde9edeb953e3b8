"""``bodytest import``: sheets as people keep them in, clean workbooks of our layout out."""

import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from itertools import chain, count
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.choices import Sheets, option
from bodytest.cli.manner import told, wants_json
from bodytest.cli.progress import working
from bodytest.cli.sources import as_typed
from bodytest.files.inputs import WORKBOOK_ENDINGS, name_of, stands_as_sheet
from bodytest.findings import OF_COLUMNS
from bodytest.rounding import counted

if TYPE_CHECKING:
    from bodytest.cleaning import Cleaned
    from bodytest.findings import Finding

_ASKED = (*OF_COLUMNS, "unit-missing")


def import_(
    sheets: Sheets,
    out: Annotated[Path, option("--out")],
    like: Annotated[Path | None, typer.Option(metavar="SHEET", help="Answer as in this clean workbook.")] = None,
) -> None:
    """Lay sheets out anew as bodytest's own workbook, with a table Sources that says where each column came from.

    What cannot be known is asked at a terminal, or taken from --as, --unit and --like. The originals stay as they are.
    For several files a summary tells rows of bars, questions left and where each was written.

    Example: bodytest import old-tests.xlsx --out clean.xlsx --as "Fired to=cone"

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when a sheet holds no bars that can be
    told.
    """
    from bodytest.errors import UnusableRequest
    from bodytest.files.outputs import refuse_all, refuse_stream

    files = [path for given in sheets for path in _sheets_in(given)]
    if not files:
        raise UnusableRequest("no-sheet-in-folder" if sheets else "no-source", value=", ".join(map(str, sheets)))
    several = len(files) > 1 or sheets[0].is_dir()
    if several:
        refuse_stream(out)
        if out.is_file() or (out.suffix.lower() in WORKBOOK_ENDINGS and not out.is_dir()):
            raise UnusableRequest("import-needs-folder", value=out)
    targets = _targets(files, out) if several else [out]
    refuse_all(targets, files)
    answers = _Answers.given(like)
    laid_out = []
    for file, target in zip(files, targets, strict=True):
        cleaned = answers.cleaned(file)
        laid_out.append(_write(cleaned, file, target))
        if not wants_json():
            console.print_findings(f for f in cleaned.findings if f.level != "note")
    not_there = answers.not_there()
    console.print_findings(not_there)
    with console.beside(out):
        console.answer(
            "import",
            lambda: {"sheets": [asdict(one) for one in laid_out]},
            lambda: _summary(laid_out, out) if several else [laid_out[0].line()],
            [found for one in laid_out for found in one.questions],
            console.EXIT_USAGE if any(one.written is None for one in laid_out) else len(not_there[:1]),
        )


@dataclass(frozen=True)
class _LaidOut:
    """What became of one sheet."""

    sheet: str
    """Name of the file."""
    rows: int | None
    """Rows of bars; None where there are none that can be told."""
    questions: "tuple[Finding, ...]"
    """What is to be mended or looked at."""
    written: str | None
    """The clean workbook."""

    def line(self) -> str:
        """Return it in words."""
        if self.written is None:
            return f"{self.sheet}: no bars that could be told, nothing was written."
        next_step = "".join(
            console.hint(f" Next: bodytest check {as_typed(self.written)}") if self.written != "-" else ()
        )
        return f"{self.sheet}: {counted(self.rows or 0, 'row')} of bars → {self.written}.{next_step}"


def _summary(laid_out: list[_LaidOut], out: Path) -> list[str]:
    rows = [
        (
            one.sheet,
            "none" if one.rows is None else f"{one.rows}",
            f"{len(one.questions)}",
            Path(one.written).name if one.written else "nothing",
        )
        for one in laid_out
    ]
    table = console.aligned([("file", "rows of bars", "questions left", "written"), *rows])
    return [*table, *console.hint(f"Written to {out}. Next: bodytest check {as_typed(out / 'FILE')}")]


def _sheets_in(given: Path) -> list[Path]:
    if not given.is_dir():
        return [given]
    return sorted(p for p in given.iterdir() if stands_as_sheet(p))


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
        with working("reading the sheet"):
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
                console.print_findings([refused.finding])
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


def _write(cleaned: "Cleaned", sheet: Path, target: Path) -> _LaidOut:
    """Write a clean workbook and return what became of the sheet."""
    from bodytest.cleaning import clean_workbook
    from bodytest.files.writing import make_folder, write_whole

    questions = tuple(f for f in cleaned.findings if f.level != "note")
    if not cleaned.tables:
        return _LaidOut(name_of(sheet), None, questions, None)
    make_folder(target.parent)
    write_whole(target, clean_workbook(cleaned))
    return _LaidOut(name_of(sheet), len(cleaned.tables["Bars"]) - 1, questions, f"{target}")
