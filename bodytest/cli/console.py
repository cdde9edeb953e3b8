"""What every command shares: findings as text, exit codes, progress, and the one place that catches errors."""

import io
import os
import sys
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext, redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

from bodytest.findings import Finding, worst_level
from bodytest.shown import Shown, clipped, shown, visible, visible_json

if TYPE_CHECKING:
    from bodytest.errors import BodytestError
    from bodytest.results import Results
    from bodytest.tables import CheckedSheets

EXIT_STOP = 1
"""Exit code when a ``stop`` was found."""
EXIT_USAGE = 2
"""Exit code for wrong usage or a file that cannot be used at all."""
EXIT_FAULT = 3
"""Exit code for a fault of the program itself."""
EXIT_STOPPED = 130
"""Exit code when the user stopped it with Ctrl-C, as shells count it (128 + SIGINT)."""
EXIT_UNREAD = 141
"""Exit code when nobody read the output to its end, as shells count it (128 + SIGPIPE); nothing is said."""
SHOW_TRACE = "BODYTEST_TRACE"
"""Variable of the environment that shows where in the program an unexpected fault arose."""
_LEVEL_WORDS = {"stop": "STOP", "ask": "ASK ", "note": "NOTE"}
_LEVEL_COLOURS = {"stop": "red", "ask": "yellow", "note": "blue"}


_WIDEST_CELL = 60
"""Signs of the longest cell of a table that are printed."""
_STOPS_SHOWN = 10
"""A command that computes shows no more of them; ``bodytest check`` shows all."""


def say(*lines: str) -> None:
    """Print lines to standard output; whatever they hold is shown and makes no further line (see `bodytest.shown`)."""
    _print(lines)


def tell(*lines: str) -> None:
    """Print lines to standard error, for what is not the command's result."""
    _print(lines, to_stderr=True)


def say_blocks(blocks: Iterable[Iterable[str]], *, blank_lines: int = 1) -> None:
    """Print blocks of lines with blank lines between them."""
    lines: list[str] = []
    for block in blocks:
        lines += [*([""] * blank_lines if lines else ()), *block]
    say(*lines)


def say_json(document: object) -> None:
    """Print a document as JSON, in plain ASCII where the output is not UTF-8, so that no sign is lost."""
    import json

    utf8 = (getattr(sys.stdout, "encoding", None) or "").lower().replace("-", "") == "utf8"
    typer.echo(visible_json(json.dumps(document, ensure_ascii=not utf8, indent=2, allow_nan=False)))


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
    typer.echo("\n".join(map(shown, lines)), err=to_stderr)


def finding_lines(found: Finding) -> tuple[Shown, Shown]:
    """Return a finding as two lines: level, place and sentence; what to do and the code."""
    level = typer.style(_LEVEL_WORDS[found.level], fg=_LEVEL_COLOURS[found.level], bold=True)
    place = f"{found.place}: " if found.place and found.place not in found.sentence else ""
    return Shown(f"{level} {shown(f'{place}{found.sentence}')}"), shown(f"     → {found.remedy} [{found.code}]")


def print_findings(findings: Iterable[Finding], *, to_stderr: bool = False) -> None:
    """Print each finding."""
    for found in findings:
        _print(finding_lines(found), to_stderr=to_stderr)


def count_words(findings: Iterable[Finding]) -> str:
    """Return ``2 to mend, 1 to look at, 3 notes`` for the levels stop, ask and note."""
    levels = [f.level for f in findings]
    stop, ask, note = (levels.count(level) for level in ("stop", "ask", "note"))
    return f"{stop} to mend, {ask} to look at, {note} {'note' if note == 1 else 'notes'}"


@contextmanager
def beside(output: Path | None) -> Iterator[None]:
    """Send what is said to standard error where the output itself goes to standard output."""
    from bodytest.files.outputs import is_standard_output

    with redirect_stdout(sys.stderr) if output and is_standard_output(output) else nullcontext():
        yield


@contextmanager
def working(what: str) -> Iterator[None]:
    """Show a spinner on a terminal's standard error while something takes its time."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(f"{what} …"):
        yield


def read(paths: list[Path]) -> "CheckedSheets":
    """Read the sheets with a spinner."""
    from bodytest.cli.telling import said
    from bodytest.reading import read_sheets

    with working("reading the sheets"):
        return read_sheets(paths, said())


def read_bars(paths: list[Path]) -> "CheckedSheets":
    """Read the sheets with a spinner; leave with exit code 2 when there is not one bar to go by."""
    sheets = read(paths)
    if sheets.bars.empty:
        print_findings(sheets.findings, to_stderr=True)
        raise typer.Exit(EXIT_USAGE)
    return sheets


def read_and_analyse(
    paths: list[Path], confidence: float | None = None, *, borrow: bool = False
) -> "tuple[CheckedSheets, Results]":
    """Read the sheets and analyse them with a spinner; leave with exit code 2 when there is not one bar to go by."""
    sheets = read_bars(paths)
    from bodytest.analysis.analysing import analyse

    with working("computing"):
        return sheets, analyse(sheets, confidence=confidence, borrow=borrow)


def confidence_fraction(percent: float | None) -> float | None:
    """Return a confidence given in per cent as a fraction.

    Raises:
        UnusableRequest: it is not between 50 and 99.9 %.
    """
    from bodytest.errors import UnusableRequest

    if percent is None:
        return None
    if not 50.0 <= percent <= 99.9:
        raise UnusableRequest("bad-confidence", value=f"{percent:g}")
    return percent / 100.0


def print_summary(findings: Iterable[Finding]) -> None:
    """Print the first ``stop`` findings and a line that counts all of them, to standard error."""
    found = list(findings)
    stops = [f for f in found if f.level == "stop"]
    print_findings(stops[:_STOPS_SHOWN], to_stderr=True)
    if len(stops) > _STOPS_SHOWN:
        tell(f"… and {len(stops) - _STOPS_SHOWN} more to mend.")
    if found:
        tell(f"Findings: {count_words(found)}. See them all with: bodytest check SHEET")


def exit_for(findings: Iterable[Finding], *, computed: bool = True) -> None:
    """Leave with exit code 2 when nothing was computed, else with 1 when a ``stop`` was found."""
    if not computed:
        raise typer.Exit(EXIT_USAGE)
    if worst_level(findings) == "stop":
        raise typer.Exit(EXIT_STOP)


def guarded(run: Callable[[], int | None]) -> None:
    """Run the whole program, which returns its exit code; turn its errors into one sentence and an exit code."""
    from bodytest.cli import usage
    from bodytest.errors import BodytestError, SystemRefused, UnexpectedFault

    _settle_streams()
    try:
        if code := _run_to_end(run):
            raise SystemExit(code)
    except BodytestError as error:
        _leave(error, EXIT_USAGE)
    except (KeyboardInterrupt, typer.Abort):
        tell("Stopped.")
        raise SystemExit(EXIT_STOPPED) from None
    except BrokenPipeError:
        _leave_unread()
    except OSError as error:
        named = f"{error.filename}: " if error.filename else ""
        refused = SystemRefused("system-refused", reason=f"{named}{error.strerror or error}")
        _drop_unfinished(error)
        _leave(refused, EXIT_USAGE)
    except Exception as error:
        if usage.is_wrong_usage(error):
            raise SystemExit(usage.explain(error)) from None
        if os.environ.get(SHOW_TRACE):
            raise
        _leave(UnexpectedFault("unexpected-fault", value=_fault(error), variable=SHOW_TRACE), EXIT_FAULT)


def pass_over_full_disk(unraisable: "sys.UnraisableHookArgs") -> None:
    """Leave out what a library's half-written file says when it is thrown away; the error itself was told already."""
    if not isinstance(unraisable.exc_value, OSError):
        sys.__unraisablehook__(unraisable)


def _settle_streams() -> None:
    """Let output lack a sign that the terminal does not have, rather than fail; closed streams take nothing."""
    warnings.showwarning = lambda message, category, *_, **__: tell(f"{category.__name__}: {message}")
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115 (open until the program ends)
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _leave(error: "BodytestError", code: int) -> NoReturn:
    print_findings([error.finding], to_stderr=True)
    _drop_unfinished(error)
    raise SystemExit(code) from None


def _run_to_end(run: Callable[[], int | None]) -> int | None:
    """Run and hand over all that was said; the framework ends a broken pipe with 1, which is ours for a stop."""
    try:
        code = run()
        sys.stdout.flush()
    except SystemExit as left:
        if isinstance(left.__context__, BrokenPipeError):
            raise left.__context__ from None
        raise
    return code


def _leave_unread() -> NoReturn:
    """Leave without a word and without what the streams still hold."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for handle in (1, 2):
        os.dup2(nowhere, handle)
    raise SystemExit(EXIT_UNREAD) from None


def _drop_unfinished(error: BaseException) -> None:
    """Throw away what the failed calls still hold while complaints about it can be passed over."""
    import gc
    import traceback

    failed: BaseException | None = error
    while failed is not None:
        traceback.clear_frames(failed.__traceback__)
        failed = failed.__context__
    gc.collect()


def _fault(error: Exception) -> str:
    """Return an unexpected error in one line, with the place in the program where it arose."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    place = f" ({Path(trace.tb_frame.f_code.co_filename).name}, line {trace.tb_lineno})" if trace else ""
    return f"{type(error).__name__}: {' '.join(str(error).split())[:200]}{place}"
