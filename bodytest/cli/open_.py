"""``bodytest open``: the same program as pages in the browser, on this machine only."""

from contextlib import suppress
from pathlib import Path
from typing import Annotated

import typer

from bodytest.cli import console


def open_(
    folder: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="Folder with your sheets.", show_default="this folder")
    ] = Path(),
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port to listen to.", show_default="a free one")] = 0,
    keep: Annotated[bool, typer.Option("--keep", help="Stay when the last page was closed, until Ctrl-C.")] = False,
    browser: Annotated[bool, typer.Option(help="Open the page in the browser.")] = True,
) -> None:
    """Show a folder of sheets as pages in the browser: check them, read the answer, plan sizes.

    Example: bodytest open trials

    The pages are served to this machine alone. The program ends a minute after its last page was closed, or with
    Ctrl-C. A sheet is never changed.
    """
    from bodytest.app.folder import Folder
    from bodytest.app.server import listening, serve
    from bodytest.errors import UnusableRequest

    if not folder.is_dir():
        raise UnusableRequest("no-such-folder", value=str(folder))
    listener = listening(port)

    def ready(address: str) -> None:
        console.say(f"Open in your browser: {address}", *console.hint("Close the page, or press Ctrl-C here, to end."))
        if browser:
            import webbrowser

            webbrowser.open(address)

    with suppress(KeyboardInterrupt):
        serve(Folder(folder.resolve()), listener, keep=keep, on_ready=ready)
    console.say(*console.hint("Closed."))
