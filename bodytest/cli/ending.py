"""How a run ends: its exit codes, and the one place that catches errors."""

import io
import os
import re
import sys
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import typer

from bodytest.cli import manner
from bodytest.cli.console import EXIT_USAGE, refuse, tell

if TYPE_CHECKING:
    from bodytest.errors import BodytestError


EXIT_FAULT = 3
"""Exit code for a fault of the program itself."""
EXIT_STOPPED = 130
"""Exit code when the user stopped it with Ctrl-C, as shells count it (128 + SIGINT)."""
EXIT_UNREAD = 141
"""Exit code when nobody read the output to its end, as shells count it (128 + SIGPIPE); nothing is said."""
SHOW_TRACE = "BODYTEST_TRACE"
"""Variable of the environment that shows where in the program an unexpected fault arose."""


def guarded(run: Callable[[], int | None]) -> None:
    """Run the whole program, which returns its exit code; turn its errors into one sentence and an exit code."""
    from bodytest.errors import BodytestError, SystemRefused, UnexpectedFault
    from bodytest.findings import finding

    _settle_streams()
    manner.begin(sys.argv[1:])
    try:
        if code := _run_to_end(run):
            raise SystemExit(code)
    except BodytestError as error:
        _leave(error, EXIT_USAGE)
    except (KeyboardInterrupt, typer.Abort):
        refuse([finding("stopped")], EXIT_STOPPED, in_words=["Stopped."])
        raise SystemExit(EXIT_STOPPED) from None
    except BrokenPipeError:
        _leave_unread()
    except OSError as error:
        named = f"{error.filename}: " if error.filename else ""
        refused = SystemRefused("system-refused", reason=f"{named}{error.strerror or error}")
        _drop_unfinished(error)
        _leave(refused, EXIT_USAGE)
    except Exception as error:
        if _is_wrong_usage(error):
            raise SystemExit(_explain(error)) from None
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
    refuse([error.finding], code)
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
    if code == EXIT_STOPPED:  # so the framework passes Ctrl-C on
        raise KeyboardInterrupt
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


_IN_OUR_WORDS = (
    (re.compile(r"Value error, "), ""),
    (
        re.compile(r"(Input should be a valid integer|Unable to parse input string as an integer).*"),
        "a whole number is needed.",
    ),
    (re.compile(r"Input should be greater than or equal to (\d+)"), r"it has to be \1 or more."),
    (re.compile(r"Input should be less than or equal to (\d+)"), r"it has to be \1 or less."),
    (re.compile(r"does not match the formats '%Y-%m-%d'"), "is no date; write it as 2026-03-09"),
)


def reword(message: str) -> str:
    """Return the framework's message in our words.

    >>> reword("Input should be a valid integer, unable to parse string as an integer")
    'a whole number is needed.'
    >>> reword("Value error, 'ft' is not one of 'mm', 'cm', 'in'.")
    "'ft' is not one of 'mm', 'cm', 'in'."
    """
    for pattern, ours in _IN_OUR_WORDS:
        message = pattern.sub(ours, message)
    return message


def _is_wrong_usage(error: Exception) -> bool:
    """Say whether the framework raised the error about what was typed after the command's name."""
    return hasattr(error, "format_message") and hasattr(error, "exit_code")


def _explain(error: Any) -> int:
    """Tell the usage and what is wrong with it; return the exit code."""
    from bodytest.findings import finding

    if isinstance(getattr(error, "message", None), str):
        error.message = reword(error.message)
    if type(error).__name__ == "NoArgsIsHelpError":
        tell(*error.format_message().splitlines())
        return int(error.exit_code)
    command, usage = "bodytest", []
    if error.ctx is not None:
        command = error.ctx.command_path
        usage = [*error.ctx.get_usage().splitlines(), f"Try '{command} --help' for help.", ""]
    wrong = finding("wrong-usage", value=error.format_message(), command=command)
    refuse([wrong], error.exit_code, in_words=[*usage, f"Error: {error.format_message()}"])
    return int(error.exit_code)
