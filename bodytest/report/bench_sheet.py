"""The bench sheet of a body: one page to print and hang over the bench, as finished strings."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass

from bodytest.lab.shrinkage import wet_size_factor
from bodytest.report.bench_drawing import absorption_strip, firing_strip, outlines, ruler
from bodytest.report.body_page import BodyPage
from bodytest.report.sections.sizes import READY, HelperBatch, HelperDirection, SizeHelper, finishes
from bodytest.report.table import Cell, Column, Table, columns_of, table
from bodytest.report.tested import fired_words, is_fired
from bodytest.report.wording import Voice
from bodytest.rounding import column_decimals
from bodytest.shown import clipped
from bodytest.units import LENGTH_DECIMALS, LENGTH_IN_MM

MOST_OWN_SIZES = 8
"""More would not fit on the page."""
_MOST_FACTORS, _MOST_COLUMNS, _MOST_STEPS = 9, 3, 3
"""Directions and dimensions with their factor, those with a column of sizes, and next steps that fit on the page."""
_NAME_SIGNS, _STEP_SIGNS, _SCOPE_SIGNS = 28, 230, 620


@dataclass(frozen=True)
class OwnSize:
    """A finished size that the user asked for."""

    name: str
    """Name typed in front, of a direction or dimension where there is one; ``""`` without."""
    mm: float
    """Finished size, mm."""
    unit: str
    """Unit typed: mm, cm or in."""


def bench_sheet(voice: Voice, page: BodyPage, own: Sequence[OwnSize]) -> dict[str, object]:
    """Return the bench sheet of a body from what its page tells already; ``own`` are sizes that the user asked for."""
    directions = _directions(page.helper)
    choice, responses = page.part.choice, page.part.responses
    absorbed = choice.group.quantities.get("absorption")
    factor, _, absorption = page.answer.figures
    marked = [absorption.value, absorption.mark.words] if absorption.mark else [absorption.value]
    return {
        "title": clipped(page.body, 60),
        "fired": clipped(fired_words(voice, choice.group), 70) if is_fired(choice.group) else "",
        "factor": factor.value,
        "known": bool(directions),
        "sentence": "" if directions else clipped(choice.doubt or page.answer.sentence, 400),
        "factors": _factors(voice, directions, page.helper, page.pieces_note) if page.helper else None,
        "sizes": _sizes(voice, directions, page.helper.unit) if directions and page.helper else None,
        "own": _own_sizes(voice, directions, own) if directions else None,
        "outlines": outlines(voice, [_factor(one) for one in directions[:2]], [_short(d.name) for d in directions[:2]]),
        "firing": firing_strip(voice, responses[0]) if responses else None,
        "firing_words": clipped(responses[0].summary if responses else page.response_absent, 440),
        "absorption": absorption_strip(voice, absorbed),
        "absorption_words": (": ".join(marked), absorption.meaning),
        "ruler": ruler(voice, _factor(directions[0]) if directions else None),
        "steps": tuple(clipped(step, _STEP_SIGNS) for step in page.next_steps[:_MOST_STEPS]),
        "scope": clipped(page.answer.footing, _SCOPE_SIGNS),
        "script": _script(voice, directions),
    }


def _directions(helper: SizeHelper | None) -> tuple[HelperDirection, ...]:
    """Return the directions and dimensions at the firing that answers for the body, that of the answer first."""
    return next((one.directions for one in helper.firings if one.chosen), ()) if helper else ()


def _short(name: str) -> str:
    return clipped(name, _NAME_SIGNS)


def _any_batch(one: HelperDirection) -> HelperBatch:
    return one.batches[0]


def _factor(one: HelperDirection) -> float:
    return float(wet_size_factor(_any_batch(one).mean))


def _factors(voice: Voice, directions: Sequence[HelperDirection], helper: SizeHelper, pieces_note: str) -> Table:
    shown = directions[:_MOST_FACTORS]
    means = [(_any_batch(one).low, _any_batch(one).high) for one in shown]
    ends = [[None if end is None else float(wet_size_factor(end)) for end in both] for both in means]
    halves = [None if low is None or high is None else (high - low) / 2 for low, high in ends]
    decimals = column_decimals(halves, otherwise=3)
    rows: list[list[Cell | str]] = []
    for one, (low, high) in zip(shown, ends, strict=True):
        factor, shrinks = voice.number(_factor(one), decimals), voice.number(_any_batch(one).mean, 1)
        rows.append([_short(one.name), factor, voice.between(low, high, decimals), shrinks])
    numeric = ("factor", "sure", "shrinks")
    columns = columns_of(voice, "bench", ("direction", *numeric), numeric, level=helper.sentences["level"])
    more = len(directions) - len(shown)
    notes = [voice.say("bench.more_directions", n=more)] if more else []
    notes += [pieces_note] if pieces_note else []
    return table(voice.say("bench.factors_caption"), columns, rows, note=" ".join(notes), key="factors")


def _sizes(voice: Voice, directions: Sequence[HelperDirection], unit: str) -> Table:
    ready, decimals, shown = READY[unit], LENGTH_DECIMALS[unit], directions[:_MOST_COLUMNS]
    several = len(shown) > 1
    columns = [Column(voice.say("bench.finished"), numeric=True)]
    rows: list[list[Cell | str]] = [[voice.number(size, 0)] for size in ready]
    for place, one in enumerate(shown):
        heading = voice.say("bench.wet_in", direction=_short(one.name)) if several else voice.say("bench.wet")
        columns += [Column(heading, numeric=True)]
        for size, row in zip(ready, rows, strict=True):
            row.append(voice.number(size * _factor(one), decimals))
        if place == 0:
            columns += [Column(voice.say("bench.finishes"), numeric=True)]
            for size, row in zip(ready, rows, strict=True):
                row.append(voice.between(*finishes(size * _factor(one), _any_batch(one)), decimals))
    return table(voice.say("bench.sizes_caption", unit=unit), columns, rows, key="sizes")


def _own_sizes(voice: Voice, directions: Sequence[HelperDirection], own: Sequence[OwnSize]) -> Table:
    columns = columns_of(voice, "bench", ("finished", "direction", "wet", "finishes"))
    rows = [list(_own_row(voice, directions, one)) for one in own]
    return table(voice.say("bench.own_caption"), columns, rows, key="own-sizes", whole=True)


def _own_row(voice: Voice, directions: Sequence[HelperDirection], one: OwnSize) -> Iterator[str]:
    plain = [direction.name.casefold().partition(" (")[0] for direction in directions]
    place = plain.index(one.name.casefold()) if one.name.casefold() in plain else 0
    direction, decimals, size = directions[place], LENGTH_DECIMALS[one.unit], one.mm / LENGTH_IN_MM[one.unit]
    wet = size * _factor(direction)
    named = f"{_short(one.name)} " if one.name and one.name.casefold() not in plain else ""
    yield named + voice.plain(size, one.unit)
    yield _short(direction.name)
    yield voice.number(wet, decimals, one.unit)
    yield voice.between(*finishes(wet, _any_batch(direction)), decimals)


def _script(voice: Voice, directions: Sequence[HelperDirection]) -> dict[str, object]:
    return {
        "directions": [asdict(_any_batch(one)) | {"name": one.name, "short": _short(one.name)} for one in directions],
        "sign": voice.decimal_sign,
        "decimals": LENGTH_DECIMALS,
        "most": MOST_OWN_SIZES,
        "wrong": voice.wording["bench.own_wrong"],
        "many": voice.say("bench.own_many", most=MOST_OWN_SIZES),
        "interval": voice.wording["page.interval"],
    }
