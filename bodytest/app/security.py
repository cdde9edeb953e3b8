"""What stands between the network and the pages: who may ask, how much may be sent, and what a page may do.

A page is handed out to who has the cookie. The cookie is given for the secret in the address that the command prints;
it is another secret, so that neither the history of the browser nor a log that holds the address opens anything once
the program has ended. Cookies do not tell ports apart and other sites can send forms, so Host and Origin are checked
besides, and what the browser says of where a request comes from.
"""

import hmac
import secrets
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders, QueryParams
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bodytest.app.page import told
from bodytest.app.remembered import MOST_BYTES
from bodytest.findings import finding

HOST = "127.0.0.1"
"""The only address that is listened to: this machine, unseen from any other."""
ENTRANCE = "/enter"
"""Address at which the secret is turned into the cookie."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self';"
    " form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
"""What a page may load and where it may send to; nothing leaves the machine."""
_READING = ("GET", "HEAD")


@dataclass(frozen=True)
class Keys:
    """The secrets of one run."""

    entrance: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    """Stands in the address that the command prints."""
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    """What a browser that came through the entrance has."""


@dataclass(frozen=True)
class Guard:
    """The layer in front of all pages."""

    pages: ASGIApp
    """What is guarded."""
    port: int
    """Port that is listened to."""
    keys: Keys
    """Secrets of this run."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or hand it on."""
        if scope["type"] != "http":
            return await self.pages(scope, receive, send)

        async def send_safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                _settle(MutableHeaders(raw=message.setdefault("headers", [])))
            await send(message)

        headers = Headers(scope=scope)
        answer = self._refusal(scope, headers) or self._entrance(scope) or self._locked(headers)
        if answer is None and (answer := _refuse_size(headers)) is not None:
            await _drained(receive)
        return await (answer or self.pages)(scope, receive, send_safely)

    @property
    def _cookie_name(self) -> str:
        return f"bodytest-{self.port}"

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        """Refuse what was sent to another name, or by a page that is not ours."""
        own = f"{HOST}:{self.port}"
        if headers.getlist("host") != [own]:
            return told(finding("page-of-other-host"), status=421)
        origins = headers.getlist("origin")
        foreign = origins != [f"http://{own}"] if scope["method"] not in _READING else any(
            origin != f"http://{own}" for origin in origins
        )  # fmt: skip
        from_where = headers.get("sec-fetch-site", "none")
        if scope["path"] != ENTRANCE and (foreign or from_where not in ("none", "same-origin")):
            return told(finding("page-asked-by-other"), status=403)
        return None

    def _entrance(self, scope: Scope) -> Response | None:
        """Turn the secret in the address into the cookie, and lead on to an address without it."""
        if scope["path"] != ENTRANCE or scope["method"] != "GET":
            return None
        given = QueryParams(scope["query_string"]).get("secret", "")
        if not _same(given, self.keys.entrance):
            return told(finding("page-locked"), status=403)
        onward = RedirectResponse("/", status_code=303, headers={"Referrer-Policy": "no-referrer"})
        onward.set_cookie(self._cookie_name, self.keys.cookie, httponly=True, samesite="strict")
        return onward

    def _locked(self, headers: Headers) -> Response | None:
        """Refuse whoever has not come through the entrance."""
        cookies: SimpleCookie = SimpleCookie()
        try:
            cookies.load(headers.get("cookie", ""))
        except CookieError:
            cookies.clear()
        given = cookies[self._cookie_name].value if self._cookie_name in cookies else ""
        return None if _same(given, self.keys.cookie) else told(finding("page-locked"), status=403)


def _same(given: str, secret: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", errors="replace"), secret.encode("utf-8"))


def _settle(headers: MutableHeaders) -> None:
    """Give an answer the headers that keep a page to itself; a page may bring a policy of its own."""
    headers.setdefault("Content-Security-Policy", POLICY)
    headers.setdefault("Referrer-Policy", "same-origin")  # with no-referrer, forms would tell no Origin
    headers.setdefault("Cache-Control", "no-store")
    headers["X-Content-Type-Options"] = "nosniff"
    headers["Cross-Origin-Resource-Policy"] = "same-origin"
    headers["Cross-Origin-Opener-Policy"] = "same-origin"


def _refuse_size(headers: Headers) -> Response | None:
    """Refuse a request that is too large, or that does not say how large it is, before anything of it is kept."""
    length = headers.get("content-length", "0")
    if "transfer-encoding" in headers or not length.isdigit():
        return told(finding("upload-too-large", most=MOST_BYTES >> 20), status=411)
    if int(length) > MOST_BYTES:
        return told(finding("upload-too-large", most=MOST_BYTES >> 20), status=413)
    return None


async def _drained(receive: Receive) -> None:
    """Let a refused upload come to its end, piece by piece into nothing; a browser shows no answer before."""
    more = True
    while more:
        message = await receive()
        more = message["type"] == "http.request" and message.get("more_body", False)
