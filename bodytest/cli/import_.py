"""``bodytest import``: sheets as people keep them in, clean workbooks of our layout out."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bodytest.cli import console
from bodytest.cli.sources import SHEET_ENDINGS
from bodytest.cli.telling import reads_sheets, told

if TYPE_CHECKING:
    from bodytest.cleaning import Cleaned

_ASKED = ("heading-in-doubt", "column-splits-bars")


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

    Example: bodytest import old-tests.xlsx --out clean.xlsx --as "Fired to=cone"

    Exit code: 0, or 1 when a finding of the level STOP cost some value, or 2 when a sheet holds no bars that can be
    told.
    """
    from bodytest.files.outputs import refuse_output

    sheets = [path for given in files for path in _sheets_in(given)]
    several = len(sheets) > 1 or any(given.is_dir() for given in files)
    worst = 0
    for sheet in sheets:
        target = out / f"{sheet.stem}-clean.xlsx" if several else out
        refuse_output(target, sheets)
        cleaned = _cleaned(sheet, like)
        console.print_findings((f for f in cleaned.findings if f.level != "note"), to_stderr=True)
        worst = max(worst, _write(cleaned, sheet, target))
    if worst:
        raise typer.Exit(worst)


def _sheets_in(given: Path) -> list[Path]:
    if not given.is_dir():
        return [given]
    return sorted(p for p in given.iterdir() if p.suffix.lower() in SHEET_ENDINGS and not p.name.startswith((".", "~")))


def _cleaned(sheet: Path, like: Path | None) -> "Cleaned":
    """Read one sheet, and again with each answer given at a terminal."""
    from bodytest.cleaning import answers_of, clean
    from bodytest.intake.layouts.said import said_by

    columns, units = map(list, told())
    if like is not None:
        earlier, earlier_units = answers_of(like)
        columns, units = [*earlier, *columns], [*earlier_units, *units]
    with console.working("reading the sheet"):
        cleaned = clean(sheet, said_by(columns, units))
    if sys.stdin.isatty():
        asked = {f.value: f for f in cleaned.findings if f.code in _ASKED and f.value}
        answers = [f"{heading}={answer}" for heading, found in asked.items() if (answer := _ask(found.sentence))]
        if answers:
            return clean(sheet, said_by([*columns, *answers], units))
    return cleaned


def _ask(sentence: str) -> str:
    console.tell(sentence)
    answer: str = typer.prompt("Which of our columns is it? (- passes it over)", default="", err=True)
    return answer.strip()


def _write(cleaned: "Cleaned", sheet: Path, target: Path) -> int:
    """Write a clean workbook and say so in one line; return the exit code."""
    from bodytest.cleaning import clean_workbook
    from bodytest.files.writing import make_folder, write_whole
    from bodytest.findings import worst_level

    if not cleaned.tables:
        console.tell(f"{sheet.name}: no bars that could be told, nothing was written.")
        return console.EXIT_USAGE
    make_folder(target.parent)
    write_whole(target, clean_workbook(cleaned))
    bars = len(cleaned.tables["Bars"]) - 1
    console.say(f"{sheet.name}: {bars} rows of bars → {target}. Next: bodytest check {target}")
    return console.EXIT_STOP if worst_level(cleaned.findings) == "stop" else 0
