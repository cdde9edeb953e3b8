"""What was asked → one function of the package → the answer; errors become a page with their sentence."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, QueryParams
from starlette.formparsers import MultiPartParser
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from bodytest import __version__
from bodytest.export.envelope import enveloped, json_text
from bodytest.findings import Finding
from bodytest.report.render import filled
from bodytest.report.wording import Voice, english

if TYPE_CHECKING:
    from bodytest.app.folder import Folder, Sheet
    from bodytest.app.remembered import Remembered
    from bodytest.results import Results

OF_A_SHEET: tuple[tuple[str, str], ...] = (
    ("check", "Check"),
    ("readings", "Readings"),
    ("answer", "Answer"),
    ("plan", "Plan"),
)
"""The pages about one sheet, ending of the address and name, in the order of the work."""
LABELS = {
    "body": "Clay body", "direction": "Direction", "batch": "Batch", "as-pieces": "Pieces measured",
    "mass": "Finished weight", "made-within": "You make them within",
    "within": "They may differ by", "lost": "Lost to cracks and warps, %",
}  # fmt: skip
"""What is an option for a command is a field on the page."""
_ELSEWHERE = (
    (r'(, as in|:) --as "[^"]*"', " on the page Check"),
    (r', --as "[^"]*" ends the question', ", nothing needs to be done"),
    ("made with: bodytest sheet FILE", "made on the start page"),
    (r"the command and(.*) With \w+=1 set .*", r"what you did and\1"),
)
"""What is a command, or an option of all commands, is done on another page."""
_STATUS = {"sheet-gone": 404, "no-such-page": 404, "unexpected-fault": 500}
Typed = QueryParams | FormData


@dataclass(frozen=True)
class Asked:
    """What the browser asked for."""

    folder: "Folder"
    """The folder that was opened."""
    known: "Remembered"
    """What was read and computed before."""
    where: Mapping[str, str]
    """Parts of the address, as ``key``."""
    query: QueryParams
    """What stands behind the question mark."""
    form: FormData
    """What a form sent; blank for a page that is read."""

    @property
    def sheet(self) -> "Sheet":
        """The sheet that the address names; see `Folder.sheet`."""
        return self.folder.sheet(self.where["key"])

    def results(self) -> "Results":
        """Return the analysis of the sheet; see `Remembered.results`."""
        return self.known.results(self.sheet)

    def text(self, name: str) -> str:
        """Return what was typed into a field of the form, ``""`` when nothing was."""
        typed = self.form.get(name)
        return typed.strip() if isinstance(typed, str) else ""

    def texts(self, name: str) -> list[str]:
        """Return all that was typed or chosen under one name, without blanks."""
        typed = (one.strip() for one in self.form.getlist(name) if isinstance(one, str))
        return [one for one in typed if one]


class _KeptInMemory(MultiPartParser):
    """A reader of forms that lays nothing down outside the folder; how much comes is bounded before."""

    spool_max_size = 1 << 40


def route(path: str, answer: Callable[[Asked], Response], *, form: bool = False) -> Route:
    """Return the route of a page, or of what a form sends; ``answer`` runs beside the server."""

    async def endpoint(request: Request) -> Response:
        typed = await _typed(request) if form else FormData()
        state = request.app.state
        asked = Asked(state.folder, state.known, request.path_params, request.query_params, typed)
        return await run_in_threadpool(answer, asked)

    return Route(path, endpoint, methods=["POST"] if form else ["GET"])


async def _typed(request: Request) -> FormData:
    if request.headers.get("content-type", "").startswith("multipart/form-data"):
        return await _KeptInMemory(request.headers, request.stream()).parse()
    return await request.form()


def shown(template: str, *, status: int = 200, sheet: "Sheet | None" = None, **page: object) -> HTMLResponse:
    """Return a page; every string in it is escaped. ``sheet`` is the one that it is about."""
    links = [(name, f"/sheet/{sheet.key}/{ending}") for ending, name in OF_A_SHEET] if sheet else []
    text = filled(
        "bodytest.app", template, Voice(english()), sheet=sheet, links=links, software=f"bodytest {__version__}", **page
    )
    return HTMLResponse(text, status)


def on_page(sentence: str, labels: Mapping[str, str] = LABELS) -> str:
    """Return a sentence with the fields of the page in place of the command's options, ``labels`` by their names.

    >>> on_page('Say that it does not matter: --as "Glaze=-", or use a blank workbook made with: bodytest sheet FILE.')
    'Say that it does not matter on the page Check, or use a blank workbook made on the start page.'
    >>> on_page('If it is the body, --as "Torvan=body" ends the question; else add a column “body”.')
    'If it is the body, nothing needs to be done; else add a column “body”.'
    >>> on_page("Give more shelves (--shelves 2), or leave --batch out.", {**LABELS, "shelves": "Shelves in one load"})
    'Give more shelves (“Shelves in one load”: 2), or leave “Batch” out.'
    """
    for command, here in _ELSEWHERE:
        sentence = re.sub(command, here, sentence)
    option = r"--([a-z-]+)( (?=\d))?"
    return re.sub(option, lambda one: f"“{labels.get(one[1], one[1])}”{': ' if one[2] else ''}", sentence)


def told(found: Finding, *, status: int | None = None) -> HTMLResponse:
    """Return a page that says one thing and what to do about it."""
    status = status or _STATUS.get(found.code, 422)
    return shown("told.html", status=status, sentence=on_page(found.sentence), remedy=on_page(found.remedy))


def as_json(what: str, found: Mapping[str, object]) -> Response:
    """Return the document that a command prints with ``--json``, ``what`` being what it holds."""
    return Response(json_text({**enveloped(what), **found}), media_type="application/json")


def paper_of(typed: Typed) -> str:
    """Return the paper that was chosen."""
    return "Letter" if typed.get("paper") == "Letter" else "A4"


def as_pdf(content: bytes, name: str) -> Response:
    """Return pages to print at full size; ``name`` is that of the file, where somebody saves it."""
    shown_beside = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(content, media_type="application/pdf", headers=shown_beside)


def led_to(address: str) -> RedirectResponse:
    """Return the answer after which the browser reads another page, so that reloading sends no form again."""
    return RedirectResponse(address, status_code=303)
