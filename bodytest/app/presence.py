"""Who is still there: the program ends a while after its last page was closed."""

import time
from dataclasses import dataclass, field

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

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
            self.open_pages.add(page[:_LONGEST_ID])


async def _answer(request: Request) -> Response:
    page = request.query_params.get("page", "")[:_LONGEST_ID]
    request.app.state.presence.heard(page, closed="closed" in request.query_params)
    return Response(status_code=204)


ROUTES = (Route("/presence", _answer, methods=["POST"]),)
