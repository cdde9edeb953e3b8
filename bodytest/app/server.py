"""All pages together behind the guard, and the server that hands them out until the last one was closed."""

import asyncio
import os
import socket
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib.resources import files
from threading import Thread

import uvicorn
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from bodytest.app import answer_page, check_page, plan_page, start_page, trial_page, typing_page
from bodytest.app.folder import Folder
from bodytest.app.page import told
from bodytest.app.remembered import Remembered
from bodytest.app.security import ENTRANCE, HOST, Guard, Keys
from bodytest.errors import BodytestError, UnusableRequest
from bodytest.findings import finding

AFTER_LAST_PAGE_S = 60.0
"""A page that was closed may be one that is loading anew."""
AFTER_SILENCE_S = 12 * 3600.0
"""Where no page says that it was closed (no JavaScript, a browser that was killed), as long a silence ends it [s]."""
_LONGEST_ID = 64


@dataclass
class Presence:
    """The pages that said they are open and have not said that they were closed."""

    open_pages: set[str] = field(default_factory=set)
    """What they call themselves."""
    any_seen: bool = False
    """Has any page ever said that it is open?"""
    last_heard: float = field(default_factory=time.monotonic)
    """When anything was last asked [s]."""

    def is_over(self, now: float) -> bool:
        """Say whether nobody is there any more."""
        left = self.any_seen and not self.open_pages
        return now - self.last_heard > (AFTER_LAST_PAGE_S if left else AFTER_SILENCE_S)

    def heard(self, page: str = "", *, closed: bool = False) -> None:
        """Note that something was asked, by a page that is open or was just closed."""
        self.last_heard = time.monotonic()
        if closed:
            self.open_pages.discard(page)
        elif page:
            self.any_seen = True
            self.open_pages.add(page)


async def _note_presence(request: Request) -> Response:
    page = request.query_params.get("page", "")[:_LONGEST_ID]
    request.app.state.presence.heard(page, closed="closed" in request.query_params)
    return Response(status_code=204)


PAGES = (start_page, check_page, typing_page, answer_page, plan_page, trial_page)
"""Modules with ``ROUTES``."""
_STATIC = {
    "page.css": ("bodytest.report", "text/css"),
    "typing.css": ("bodytest.report", "text/css"),
    "typed_checks.js": ("bodytest.report", "text/javascript"),
    "typing.js": ("bodytest.report", "text/javascript"),
    "app.css": ("bodytest.app", "text/css"),
    "app.js": ("bodytest.app", "text/javascript"),
}
"""Style sheets and scripts: the package and kind of each."""
_LOOK_S = 1.0


def pages_of(folder: Folder, presence: Presence) -> Starlette:
    """Return the pages, unguarded."""
    routes = [one for module in PAGES for one in module.ROUTES]
    app = Starlette(
        routes=[*routes, Route("/presence", _note_presence, methods=["POST"]), Route("/static/{name}", _static)],
        exception_handlers={BodytestError: _refused, HTTPException: _no_page, Exception: _fault},
    )
    app.state.folder, app.state.known, app.state.presence = folder, Remembered(), presence
    return app


def guarded_pages(folder: Folder, port: int, keys: Keys, presence: Presence) -> ASGIApp:
    """Return the pages behind the guard; whatever comes through it tells that somebody is there.

    What other pages need is imported in the background when the first one has been read.
    """
    pages = pages_of(folder, presence)
    imports = Thread(target=_import_slow, daemon=True, name="imports")

    async def heard(scope: Scope, receive: Receive, send: Send) -> None:
        presence.heard()
        await pages(scope, receive, send)
        if imports.ident is None:
            imports.start()

    return Guard(heard, port, keys)


def listening(port: int = 0) -> socket.socket:
    """Return a socket that listens to this machine alone, at a free port where none is named.

    Raises:
        UnusableRequest: the port is taken or not ours to take.
    """
    try:
        return socket.create_server((HOST, port))
    except (OSError, OverflowError) as error:
        reason = os.strerror(error.errno) if isinstance(error, OSError) and error.errno else str(error)
        raise UnusableRequest("port-taken", value=port, reason=reason) from error


def serve(folder: Folder, listener: socket.socket, *, keep: bool, on_ready: Callable[[str], None]) -> None:
    """Hand out the pages until the last one was closed, or for ever where they are to ``keep``.

    ``on_ready`` is told the address with the secret as soon as a socket of `listening` answers.
    """
    port, keys, presence = listener.getsockname()[1], Keys(), Presence()
    config = uvicorn.Config(
        guarded_pages(folder, port, keys, presence), log_level="critical", access_log=False, log_config=None,
        server_header=False, lifespan="off", timeout_graceful_shutdown=2, ws="none",
    )  # fmt: skip
    server = uvicorn.Server(config)
    on_ready(f"http://{HOST}:{port}{ENTRANCE}?secret={keys.entrance}")
    asyncio.run(_until_over(server, listener, None if keep else presence))


async def _until_over(server: uvicorn.Server, listener: socket.socket, presence: Presence | None) -> None:
    serving = asyncio.ensure_future(server.serve(sockets=[listener]))
    while not serving.done():
        await asyncio.wait([serving], timeout=_LOOK_S)
        if presence is not None and presence.is_over(time.monotonic()):
            server.should_exit = True
    await serving


def _import_slow() -> None:
    import bodytest.analysis.analysing
    import bodytest.report.pages  # noqa: F401


def _static(request: Request) -> Response:
    known = _STATIC.get(request.path_params["name"])
    if known is None:
        raise HTTPException(404)
    package, kind = known
    content = files(package).joinpath("templates", request.path_params["name"]).read_bytes()
    return Response(content, media_type=kind)


def _refused(_: Request, error: Exception) -> Response:
    assert isinstance(error, BodytestError)
    return told(error.finding)


def _no_page(_: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 404
    return told(finding("no-such-page"), status=status)


def _fault(_: Request, error: Exception) -> Response:
    return told(finding("unexpected-fault", value=type(error).__name__, variable="BODYTEST_TRACE"))
