"""The command ``bodytest``: its commands are registered here, in the order in which a user needs them."""

import gc
import os
import sys
from functools import partial
from typing import Annotated

import typer

from bodytest import __version__
from bodytest.cli.check import check
from bodytest.cli.compare import compare
from bodytest.cli.console import say
from bodytest.cli.demo import demo
from bodytest.cli.ending import guarded, pass_over_full_disk
from bodytest.cli.form import form
from bodytest.cli.howmany import howmany
from bodytest.cli.import_ import import_
from bodytest.cli.kit import kit
from bodytest.cli.manner import answers, goes_on, keeps_watching, reads_sheets
from bodytest.cli.match import match
from bodytest.cli.open_ import open_
from bodytest.cli.pieces import pieces
from bodytest.cli.plain_help import PlainCommand
from bodytest.cli.plan import plan
from bodytest.cli.release import release
from bodytest.cli.report import report
from bodytest.cli.results import results
from bodytest.cli.ruler import ruler
from bodytest.cli.sheet import sheet
from bodytest.cli.size import size
from bodytest.cli.timeline import timeline
from bodytest.cli.verify import verify
from bodytest.cli.watch import watch

app = typer.Typer(
    name="bodytest",
    help="Test bars of a clay body: how big to make it wet, where to fire, is it tight, how sure is all this.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit code: 0 done; 1 done, but a STOP was found; 2 wrong usage, or a file that cannot be read or written; "
    "3 a fault of the program; 130 stopped with Ctrl-C; 141 the reader of the output went away.",
)


def _show_version(wanted: bool) -> None:
    if wanted:
        say(f"bodytest {__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", "-V", callback=_show_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Take the options that stand before a command."""


command = partial(app.command, cls=PlainCommand)

command(short_help="Plan a test: firings, loads, batches and bars.")(answers(plan))
command(short_help="Write a blank, numbered, guided workbook.")(answers(sheet))
command(short_help="Print forms, labels and a template for the bench.")(reads_sheets(kit))
command(short_help="Make a page to type readings on a phone.")(reads_sheets(form))
command("import", short_help="Lay out a sheet of your own as a clean workbook.")(reads_sheets(import_))
command(short_help="Name each bad or odd cell of a sheet.")(reads_sheets(check))
command(short_help="Make the report, results.json and results.csv.")(reads_sheets(report))
command(short_help="Hold a batch against its limits: a certificate.")(reads_sheets(release))
command(short_help="Write results as JSON, CSV or a planner workbook.")(reads_sheets(results))
command(short_help="Compare batches, bodies, firings or positions.")(reads_sheets(compare))
command(
    short_help="How big to make it wet, and where it will finish.",
    context_settings={"ignore_unknown_options": True},  # a negative size is no option
)(reads_sheets(size))
command(short_help="Chance that pairs, lids or tiles agree.")(reads_sheets(match))
command(short_help="Did real pieces shrink as the bars predicted?")(reads_sheets(pieces))
command(short_help="Draw a shrinkage ruler to print, true to scale.")(reads_sheets(ruler))
command(short_help="Does the body stay the same from batch to batch?")(reads_sheets(timeline))
command(short_help="How many bars it takes to know enough.")(reads_sheets(howmany))
command("open", short_help="The same as pages in the browser.")(goes_on(open_))
command(short_help="Check and report again at each save.")(keeps_watching(watch))
command(short_help="Run published check values on this installation.")(answers(verify))
command(short_help="Make the invented demo sheets and their report.")(answers(demo))


_COLLECT_RARELY = (100_000, 50, 50)
"""Objects made between two collections of garbage: a command is short, and the usual 700 cost up to a tenth of it."""


def main() -> None:
    """Run the command line; errors end in a sentence and an exit code, never a traceback."""
    gc.set_threshold(*_COLLECT_RARELY)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices are small: more threads of numpy and scipy only wait
    if sys.unraisablehook is sys.__unraisablehook__:  # a program that set its own keeps it
        sys.unraisablehook = pass_over_full_disk
    guarded(lambda: app(standalone_mode=False))
