"""The page Plan: sizes to make, pairs and lids, clay to weigh out and a ruler, from the bars of a sheet."""

import re
from collections.abc import Callable, Iterable
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING, Any

from starlette.responses import HTMLResponse, Response

from bodytest.app.page import LABELS, Asked, as_json, as_pdf, on_page, paper_of, route, shown
from bodytest.errors import BodytestError, UnusableRequest

if TYPE_CHECKING:
    from bodytest.comparison import Comparison
    from bodytest.plan.amounts import MassPlan
    from bodytest.plan.matching import MatchPlan
    from bodytest.plan.measured import Wanted
    from bodytest.plan.sizes import SizePlan

_FIELDS = (
    "body", "direction", "batch", "pieces", "size", "within", "mass", "set", "agree", "clearance", "made-within", "lost"
)  # fmt: skip
"""Names of what can be typed and chosen."""
_OPTION = re.compile(r"(?:say )?--(direction|as-pieces) (\w+)")


def plan(asked: Asked) -> HTMLResponse:
    """Return the forms, each with its answer or with what keeps it from one."""
    from bodytest.plan.match_words import match_lines
    from bodytest.plan.size_words import mass_lines, size_lines
    from bodytest.quantities import QUANTITY_BY_KEY

    results = asked.results()
    bodies = list(dict.fromkeys(one.body for one in results.programmes))
    typed = {name: asked.query.get(name, "").strip() for name in _FIELDS}
    typed["body"] = typed["body"] or (bodies[0] if bodies else "")
    of_body = [group for group in results.groups if group.body == typed["body"]]
    return shown(
        "plan.html", sheet=asked.sheet, here="Plan", bodies=bodies, typed=typed, query=str(asked.query),
        directions=sorted({group.direction for group in of_body if group.direction}),
        batches=sorted({batch for group in of_body for batch in group.batches if batch}),
        dimensions=sorted({one.dimension for one in results.pieces if one.body == typed["body"] and one.dimension}),
        deliveries=[one for one in _deliveries(asked) if one.body == typed["body"]],
        names={key: quantity.name for key, quantity in QUANTITY_BY_KEY.items()},
        sizes=_told(bool(typed["size"]), lambda: size_lines(_sizes(asked))),
        masses=_told(bool(typed["mass"]), lambda: mass_lines(_masses(asked))),
        matches=_told(bool(typed["set"]), lambda: match_lines(_match(asked))),
    )  # fmt: skip


def sizes_json(asked: Asked) -> Response:
    """Return the document that ``bodytest size --json`` prints."""
    found: dict[str, list[Any]] = {"sizes": [asdict(one) for one in _sizes(asked)], "masses": [], "capacities": []}
    return as_json("sizes", found)


def match_json(asked: Asked) -> Response:
    """Return the document that ``bodytest match --json`` prints."""
    return as_json("match", asdict(_match(asked)))


def deliveries_json(asked: Asked) -> Response:
    """Return the document that ``bodytest compare --by batch --json`` prints."""
    from bodytest.export.document import plain

    return as_json("comparison", {"comparisons": plain(_deliveries(asked))})


def ruler(asked: Asked) -> Response:
    """Return the shrinkage ruler of ``bodytest ruler``, to print at full size."""
    from bodytest.plan.drawing_pdf import to_pdf
    from bodytest.plan.ruler import ruler as planned
    from bodytest.plan.ruler_pages import ruler_pages

    drawn = planned(asked.results(), made_on=date.today(), wanted=_wanted(asked))
    return as_pdf(to_pdf(ruler_pages(drawn, length_mm=None, paper=paper_of(asked.query))), "ruler.pdf")


def _told(is_asked: bool, lines: Callable[[], Iterable[str]]) -> dict[str, Any]:
    """Return the lines of an answer, or what keeps from it."""
    if not is_asked:
        return {"lines": [], "refusal": ""}
    try:
        here = [_OPTION.sub(lambda one: f"choose “{one[2]}” under {LABELS[one[1]]}", line) for line in lines()]
        return {"lines": here, "refusal": ""}
    except BodytestError as error:
        return {"lines": [], "refusal": on_page(str(error))}


def _deliveries(asked: Asked) -> "tuple[Comparison, ...]":
    from bodytest.library.analysed import compare

    return asked.known.once("deliveries", asked.sheet, lambda: compare(asked.results()))


def _query(asked: Asked, name: str) -> str | None:
    return asked.query.get(name, "").strip() or None


def _wanted(asked: Asked) -> "Wanted":
    from bodytest.plan.measured import Wanted

    return Wanted(_query(asked, "body"), None, _query(asked, "direction"), _query(asked, "batch"), None, None)


def _sizes(asked: Asked) -> "tuple[SizePlan, ...]":
    from bodytest.plan.sizes import sizes

    texts = [text.strip() for text in (_query(asked, "size") or "").split(";") if text.strip()]
    if not texts:
        raise UnusableRequest("no-size")
    return sizes(
        asked.results(), texts, wanted=_wanted(asked), within=_query(asked, "within"), as_pieces=_query(asked, "pieces")
    )


def _masses(asked: Asked) -> "tuple[MassPlan, ...]":
    from bodytest.plan.amounts import clay_masses

    return clay_masses(asked.results(), [_query(asked, "mass") or ""], wanted=_wanted(asked))


def _match(asked: Asked) -> "MatchPlan":
    from bodytest.plan.matching import Match, match
    from bodytest.plan.measures import parse_percentage

    wish = Match(
        _query(asked, "set") or "", within=_query(asked, "agree"), clearance=_query(asked, "clearance"),
        made_within=_query(asked, "made-within"), lost=parse_percentage(_query(asked, "lost") or "0"),
    )  # fmt: skip
    return match(asked.results(), wish, wanted=_wanted(asked))


ROUTES = (
    route("/sheet/{key}/plan", plan),
    route("/sheet/{key}/plan/sizes.json", sizes_json),
    route("/sheet/{key}/plan/match.json", match_json),
    route("/sheet/{key}/plan/deliveries.json", deliveries_json),
    route("/sheet/{key}/plan/ruler.pdf", ruler),
)
