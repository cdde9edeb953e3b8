"""The command ``bodytest``: its commands are registered here, in the order in which a user needs them."""

from typing import Annotated

import typer

from bodytest import __version__
from bodytest.cli.check import check
from bodytest.cli.compare import compare
from bodytest.cli.console import guarded
from bodytest.cli.demo import demo
from bodytest.cli.howmany import howmany
from bodytest.cli.match import match
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
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"bodytest {__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Take the options that stand before a command."""


app.command()(sheet)
app.command()(check)
app.command()(report)
app.command()(results)
app.command()(compare)
app.command(context_settings={"ignore_unknown_options": True})(size)  # a negative size is no option
app.command()(match)
app.command()(ruler)
app.command()(timeline)
app.command()(howmany)
app.command()(watch)
app.command()(verify)
app.command()(demo)


def main() -> None:
    """Run the command line; errors end in a sentence and an exit code, never a traceback."""
    guarded(app)
