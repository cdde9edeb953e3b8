"""What every command prints with: lines, documents, findings, and the answer in words or as JSON."""

import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext, redirect_stdout
from pathlib import Path

import typer

from bodytest.cli.manner import is_quiet, wants_json
from bodytest.export.envelope import enveloped, json_text
from bodytest.findings import LEVELS, Finding
from bodytest.rounding import counted
from bodytest.shown import Shown, clipped, shown, visible, visible_json

EXIT_STOP = 1
"""Exit code when a ``stop`` was found."""
EXIT_USAGE = 2
"""Exit code for wrong usage or a file that cannot be used at all."""
_LEVEL_WORDS = {"stop": "STOP", "ask": "ASK ", "note": "NOTE"}
_LEVEL_COLOURS = {"stop": "red", "ask": "yellow", "note": "blue"}


_WIDEST_CELL = 60
"""Signs of the longest cell of a table that are printed."""


def say(*lines: str) -> None:
    """Print lines to standard output; whatever they hold is shown and makes no further line (see `bodytest.shown`)."""
    _print(lines)


def tell(*lines: str) -> None:
    """Print lines to standard error: what went wrong, and questions."""
    _print(lines, to_stderr=True)


def mention(*lines: str) -> None:
    """Print lines to standard error that nobody needs who wants the answer alone."""
    if not (is_quiet() or wants_json()):
        _print(lines, to_stderr=True)


def hint(*lines: str) -> Sequence[str]:
    """Return lines that stand beside the answer, none where nobody wants them."""
    return () if is_quiet() else lines


def spaced(blocks: Iterable[Iterable[str]], *, blank_lines: int = 1) -> list[str]:
    """Return the lines of all blocks, with blank lines between the blocks.

    >>> spaced([["one", "more"], ["two"]])
    ['one', 'more', '', 'two']
    """
    lines: list[str] = []
    for block in blocks:
        lines += [*([""] * blank_lines if lines else ()), *block]
    return lines


def say_json(document: object) -> None:
    """Print a document as JSON, in plain ASCII where the output is not UTF-8, so that no sign is lost."""
    utf8 = (getattr(sys.stdout, "encoding", None) or "").lower().replace("-", "") == "utf8"
    typer.echo(json_text(document, only_ascii=not utf8))


def say_data(pieces: Iterable[bytes], *, is_json: bool) -> None:
    """Write a document to standard output; in JSON, and on a terminal, signs that cannot be seen are written out."""
    readable = visible_json if is_json else visible if sys.stdout.isatty() else None
    typer.get_binary_stream("stdout").writelines(
        piece if readable is None else readable(piece.decode("utf-8")).encode("utf-8") for piece in pieces
    )


def aligned(rows: Sequence[Sequence[str]]) -> list[str]:
    """Return the rows of a table as lines, its columns as wide as they need to be; long cells are clipped."""
    cells = [[clipped(visible(cell), _WIDEST_CELL) for cell in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in cells]


def _print(lines: Iterable[str], *, to_stderr: bool = False) -> None:
    if text := [*map(shown, lines)]:
        typer.echo("\n".join(text), err=to_stderr)


def finding_lines(found: Finding) -> tuple[Shown, Shown]:
    """Return a finding as two lines: level, place and sentence; what to do and the code."""
    level = typer.style(_LEVEL_WORDS[found.level], fg=_LEVEL_COLOURS[found.level], bold=True)
    place = f"{found.place}: " if found.place and found.place not in found.sentence else ""
    return Shown(f"{level} {shown(f'{place}{found.sentence}')}"), shown(f"     → {found.remedy} [{found.code}]")


def print_findings(findings: Iterable[Finding]) -> None:
    """Print each finding to standard error."""
    for found in findings:
        tell(*finding_lines(found))


def count_words(findings: Iterable[Finding]) -> str:
    """Return ``2 to mend, 1 to look at, 3 notes`` for the levels stop, ask and note."""
    levels = [f.level for f in findings]
    stop, ask, note = (levels.count(level) for level in LEVELS)
    return f"{stop} to mend, {ask} to look at, {counted(note, 'note')}"


@contextmanager
def beside(output: Path | None) -> Iterator[None]:
    """Send what is said to standard error where the output itself goes to standard output."""
    from bodytest.files.outputs import is_standard_output

    with redirect_stdout(sys.stderr) if output and is_standard_output(output) else nullcontext():
        yield


def answer(
    what: str,
    document: Callable[[], dict[str, object]],
    lines: Callable[[], Iterable[str]],
    findings: Iterable[Finding] = (),
    code: int = 0,
) -> None:
    """Print a command's answer as text, or as a document in the envelope of all; leave with its exit code.

    Parameters:
        what: what the document holds, as its format names it.
        document: makes the document's own fields.
        lines: makes the answer in words.
        findings: those that stand behind the answer; the exit code is at least 1 where one is a ``stop``.
        code: the exit code for what the answer says.
    """
    stops = [found for found in findings if found.level == "stop"]
    code = max(code, EXIT_STOP) if stops else code
    if wants_json():
        say_json(enveloped(what, code, stops) | document())
    else:
        say(*lines())
    if code:
        raise typer.Exit(code)


def refuse(findings: Iterable[Finding], code: int, in_words: Iterable[str] = ()) -> None:
    """Tell why there is no answer: on standard error, or as a document where one is wanted.

    ``in_words`` stands in place of the findings where people read.
    """
    if wants_json():
        say_json(enveloped("error", code, findings))
    elif in_words:
        tell(*in_words)
    else:
        print_findings(findings)
