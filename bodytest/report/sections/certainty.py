"""What limits the certainty: the shares of the variance of a mean, and what would help."""

from collections.abc import Mapping, Sequence

from bodytest.budget import Certainty
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.body_part import Choice
from bodytest.report.table import Column, Table, table
from bodytest.report.tested import group_name
from bodytest.report.wording import Voice

_SHOWN = ("total_shrinkage", "absorption", "drying_shrinkage", "bulk_density")
_MOST_SHOWN = 2
WORTH_SHOWING = 0.005
"""Shares below this are left out of the table."""


def certainty_section(voice: Voice, choice: Choice, steps: Sequence[str]) -> dict[str, object] | None:
    """Return the shares for the group that answers and what no step advises; None where no mean is uncertain."""
    quantities = choice.group.quantities
    every = [(key, quantities[key].certainty) for key in _SHOWN if key in quantities]
    known = dict([(key, one) for key, one in every if one][:_MOST_SHOWN])
    if not known:
        return None
    first = next(iter(known))
    return {
        "message": _message(voice, first, known[first]),
        "shares": _shares(voice, known, group_name(voice, choice.group)),
        "advice": [
            voice.say("certainty.advice", quantity=QUANTITY_BY_KEY[key].name, advice=one.advice)
            for key, one in known.items()
            if one.advice and one.advice not in steps
        ],
    }


def _message(voice: Voice, key: str, certainty: Certainty) -> str:
    largest = certainty.shares[0]
    part = voice.number(100 * largest.share, 0, "%")
    source = voice.say(f"source.{largest.source.replace(' ', '_')}")
    return voice.say("certainty.message", source=source, part=part, quantity=QUANTITY_BY_KEY[key].name.lower())


def _shares(voice: Voice, known: Mapping[str, Certainty], where: str) -> Table:
    columns = [
        Column(voice.say("certainty.source")),
        *(Column(voice.say("certainty.column", quantity=QUANTITY_BY_KEY[key].name), numeric=True) for key in known),
    ]
    rows = []
    for source in dict.fromkeys(share.source for one in known.values() for share in one.shares):
        shares = [sum(share.share for share in one.shares if share.source == source) for one in known.values()]
        if any(share >= WORTH_SHOWING for share in shares):
            label = voice.say(f"source.{source.replace(' ', '_')}")
            rows.append([label[:1].upper() + label[1:], *(voice.number(100 * share, 0) for share in shares)])
    return table(voice.say("certainty.caption", where=where), columns, rows, key="certainty-shares")
