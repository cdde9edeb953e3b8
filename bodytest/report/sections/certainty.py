"""What limits the certainty: the shares of the variance of a mean, and what would help."""

from collections.abc import Sequence

from bodytest.budget import Certainty
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.body_part import Choice
from bodytest.report.table import Column, Table, table
from bodytest.report.tested import group_name
from bodytest.report.wording import Voice
from bodytest.results import QuantityResult

_SHOWN = ("total_shrinkage", "absorption", "drying_shrinkage", "bulk_density")
_MOST_SHOWN = 2
WORTH_SHOWING = 0.005
"""Shares below this are left out of the table."""


def certainty_section(voice: Voice, choice: Choice, steps: Sequence[str]) -> dict[str, object] | None:
    """Return the shares for the group that answers and what no step advises; None where no mean is uncertain."""
    known = {key: result for key, result in choice.group.quantities.items() if result.certainty and key in _SHOWN}
    keys = [key for key in _SHOWN if key in known][:_MOST_SHOWN]
    if not keys:
        return None
    told = {key: certainty.advice or "" for key in keys if (certainty := known[key].certainty)}
    return {
        "message": _message(voice, keys[0], known[keys[0]]),
        "shares": _shares(voice, keys, known, group_name(voice, choice.group)),
        "advice": [
            voice.say("certainty.advice", quantity=QUANTITY_BY_KEY[key].name, advice=said)
            for key, said in told.items()
            if said not in ("", *steps)
        ],
    }


def _message(voice: Voice, key: str, result: QuantityResult) -> str:
    certainty = result.certainty or Certainty()
    largest = certainty.shares[0]
    part = voice.number(100 * largest.share, 0, "%")
    source = voice.say(f"source.{largest.source.replace(' ', '_')}")
    return voice.say("certainty.message", source=source, part=part, quantity=QUANTITY_BY_KEY[key].name.lower())


def _shares(voice: Voice, keys: list[str], known: dict[str, QuantityResult], where: str) -> Table:
    sources = list(dict.fromkeys(s.source for key in keys for s in (known[key].certainty or Certainty()).shares))
    columns = [
        Column(voice.say("certainty.source")),
        *(Column(voice.say("certainty.column", quantity=QUANTITY_BY_KEY[key].name), numeric=True) for key in keys),
    ]
    rows = []
    for source in sources:
        shares = [_share_of(known[key], source) for key in keys]
        if any(share >= WORTH_SHOWING for share in shares):
            label = voice.say(f"source.{source.replace(' ', '_')}")
            rows.append([label[:1].upper() + label[1:], *(voice.number(100 * share, 0) for share in shares)])
    return table(voice.say("certainty.caption", where=where), columns, rows, key="certainty-shares")


def _share_of(result: QuantityResult, source: str) -> float:
    """Return the share of one source in the variance of a mean, 0 to 1."""
    shares = result.certainty.shares if result.certainty else ()
    return sum(share.share for share in shares if share.source == source)
