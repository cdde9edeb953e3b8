"""The page Answer: what to plan with, body by body, and the pages of the report, remade when the sheet was saved."""

import re
from base64 import b64encode
from collections.abc import Mapping
from datetime import date
from functools import cache
from hashlib import sha256
from importlib.resources import files

from starlette.responses import HTMLResponse, Response

from bodytest.app.page import Asked, route, shown
from bodytest.app.security import POLICY
from bodytest.errors import UnusableRequest
from bodytest.report.file_names import BENCH_ENDING, CERTIFICATE_ENDING, RESULTS_CSV, RESULTS_JSON, beside
from bodytest.report.render import filled
from bodytest.report.wording import Voice, english
from bodytest.results import Results

_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
_BODY = re.compile(r"<body[^>]*>")


def answer(asked: Asked) -> HTMLResponse:
    """Return what is planned with for each body, with the ways to its page, bench sheet and certificate."""
    from bodytest.report.pages import page_names

    results = asked.results()
    pages = _pages(asked, results)
    programmes = {one.id: one for one in results.programmes}
    of_bodies = {one.body: one for one in results.answers}
    bodies = []
    for body, page in page_names(results).items():
        found = of_bodies.get(body)
        certificate = beside(page, CERTIFICATE_ENDING)
        planned = programmes.get(found.programme or "") if found and found.known else None
        bodies.append({
            "name": body, "sentence": found.sentence if found else "", "page": page,
            "bench": beside(page, BENCH_ENDING), "certificate": certificate if certificate in pages else "",
            "factor": planned.wet_size_factor if planned else None,
            "scope": planned.speaks_of.words() if planned else "",
        })  # fmt: skip
    doubts, asks = (sum(found.level == level for found in results.findings) for level in ("stop", "ask"))
    return shown("answer.html", sheet=asked.sheet, here="Answer", bodies=bodies, doubts=doubts, asks=asks)


def page(asked: Asked) -> Response:
    """Return one page of the report, with a way back."""
    results = asked.results()
    text = _pages(asked, results).get(asked.where["name"])
    if text is None:
        raise UnusableRequest("no-such-page")
    top = filled("bodytest.app", "back.html", Voice(english()), sheet=asked.sheet)
    return HTMLResponse(
        _BODY.sub(lambda found: f"{found.group()}\n{top}", text, count=1),
        headers={"Content-Security-Policy": _policy(text)},
    )


def results_json(asked: Asked) -> Response:
    """Return the document that ``bodytest results`` prints."""
    from bodytest.export.document import json_chunks

    return Response(b"".join(json_chunks(asked.results())), media_type="application/json", headers=_saved(RESULTS_JSON))


def results_csv(asked: Asked) -> Response:
    """Return the table that ``bodytest results --format csv`` prints."""
    from bodytest.export.csv_tables import to_csv

    return Response(to_csv(asked.results()), media_type="text/csv", headers=_saved(RESULTS_CSV))


def _pages(asked: Asked, results: Results) -> Mapping[str, str]:
    from bodytest.report.pages import report_pages

    return asked.known.once("pages", asked.sheet, lambda: report_pages(results, date.today()))


def _policy(text: str) -> str:
    """Return the policy of a page that has style and scripts inside it: ours, told by their hash, and no other."""
    scripts = [one for one in _SCRIPT.findall(text) if one.strip() in _own_scripts()]
    hashes = " ".join(f"'sha256-{b64encode(sha256(one.encode()).digest()).decode()}'" for one in scripts)
    own = POLICY.replace("script-src 'self'", f"script-src 'self' {hashes}".rstrip())
    return own.replace("style-src 'self'", "style-src 'self' 'unsafe-inline'")


@cache
def _own_scripts() -> frozenset[str]:
    """Return the scripts of the report, so that none that came in with the words of a sheet is ever allowed."""
    templates = files("bodytest.report").joinpath("templates").iterdir()
    return frozenset(one.read_text(encoding="utf-8").strip() for one in templates if one.name.endswith(".js"))


def _saved(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}


ROUTES = (
    route("/sheet/{key}/answer", answer),
    route(f"/sheet/{{key}}/answer/{RESULTS_JSON}", results_json),
    route(f"/sheet/{{key}}/answer/{RESULTS_CSV}", results_csv),
    route("/sheet/{key}/answer/{name}", page),
)
