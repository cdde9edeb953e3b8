"""What helps to choose a body: a picture of all, a row of dots for each, and what they are filtered by."""

from collections.abc import Iterator, Sequence

from bodytest.report.body_page import BodyPage
from bodytest.report.picture import Point, picture
from bodytest.report.tested import firing_name
from bodytest.report.wording import Voice, short_verdict_mark
from bodytest.rounding import NO_BREAK
from bodytest.shown import clipped

_SHOWN_FIRST = 6
"""So many bodies stand side by side before anybody ticks others."""
_MEASURED = ("total_shrinkage", "absorption")
_ORDER = ("meets", "cannot tell yet", None, "not tested", "does not meet")


def choosing(voice: Voice, compared: Sequence[BodyPage]) -> dict[str, object]:
    """Return picture, rows of dots and filters over all bodies; no picture where fewer than two have both figures."""
    points, missing = _points(compared)
    columns = list(_columns(voice, compared))
    marks = {one.decision or "": short_verdict_mark(voice, one.decision) for one in compared}
    return {
        "pictures": picture(voice, points) if len(points) > 1 else (),
        "missing": voice.say("choosing.missing", bodies=voice.joined(missing)) if missing else "",
        "scales": [scale for scale, _ in columns],
        "rows": _rows(voice, compared, [strips for _, strips in columns]),
        "verdicts": [(key, mark.words if mark else voice.say("choosing.no_limit")) for key, mark in marks.items()],
        "facts": {f"body-{k}": _facts(voice, one) for k, one in enumerate(compared)},
    }


Strip = dict[str, object]
"""A dot on a scale: its figure in words, place, uncertain or allowed range, and limits, in per cent of the width."""


def _rows(voice: Voice, compared: Sequence[BodyPage], columns: Sequence[Sequence[Strip]]) -> list[dict[str, object]]:
    """Return each body with its strips; ``first`` are those that stand side by side before anybody chose."""
    first = _shown_first(compared)
    return [
        {
            "key": f"body-{k}",
            "name": one.body,
            "link": one.file_name,
            "firing": firing_name(voice, one.part.choice.group),
            "mark": short_verdict_mark(voice, one.decision),
            "strips": [column[k] for column in columns],
            "first": k in first,
        }
        for k, one in enumerate(compared)
    ]


Figure = tuple[float, float | None, float | None, tuple[float, ...]]
"""Mean, low, high, limits."""


def _columns(voice: Voice, compared: Sequence[BodyPage]) -> Iterator[tuple[tuple[str, str, str], list[Strip]]]:
    """Yield for shrinkage, absorption and temperature the heading with the ends of its scale, and all strips."""
    for key, heading in zip(_MEASURED, ("shrinkage", "absorption"), strict=True):
        words = [said.replace(NO_BREAK, " ") for said in voice.means([one.measured(key) for one in compared])]
        yield _column(voice, heading, words, [_figure(one, key) for one in compared])
    words = [voice.number(voice.degrees(one.celsius), 0) for one in compared]
    yield _column(voice, "fired", words, [_fired(voice, one) for one in compared])


def _column(
    voice: Voice, heading: str, words: Sequence[str], figures: Sequence[Figure | None]
) -> tuple[tuple[str, str, str], list[Strip]]:
    """Return one column; its scale takes in all means and limits, and an interval far wider is cut."""
    ends = [end for figure in figures if figure for end in (figure[0], *figure[3])] or [0.0]
    room = max(0.08 * (max(ends) - min(ends)), 0.5)
    low, high = min(ends) - room, max(ends) + room
    strips = [_strip(said, figure, low, high) for said, figure in zip(words, figures, strict=True)]
    places = 0 if heading == "fired" else 1
    return (voice.say(f"choosing.{heading}"), voice.number(low, places), voice.number(high, places)), strips


def _strip(words: str, figure: Figure | None, start: float, end: float) -> Strip:
    if figure is None:
        return {"words": words, "dot": None, "line": None, "limits": ()}
    mean, low, high, limits = figure

    def at(value: float) -> float:
        return round(min(max(100 * (value - start) / (end - start), 0.0), 100.0), 1)

    line = None if low is None or high is None else (at(low), at(high))
    return {"words": words, "dot": at(mean), "line": line, "limits": [at(one) for one in limits]}


def _figure(one: BodyPage, key: str) -> Figure | None:
    found = one.measured(key)
    if found is None or found.mean is None:
        return None
    return found.mean, found.low, found.high, tuple(end for end in (found.lowest, found.limit) if end is not None)


def _fired(voice: Voice, one: BodyPage) -> Figure | None:
    degrees = voice.degrees(one.celsius)
    if degrees is None:
        return None
    low, high = next((response.safe_window for response in one.part.responses), None) or (None, None)
    return degrees, voice.degrees(low), voice.degrees(high), ()


def _facts(voice: Voice, one: BodyPage) -> dict[str, object]:
    group = one.part.choice.group
    batches = (batch for each in one.part.groups for batch in each.batches)
    words = (one.body, firing_name(voice, group), group.direction or "", group.atmosphere or "", *batches)
    fired = voice.degrees(one.celsius)
    return {"verdict": one.decision or "", "fired": fired, "words": " ".join(dict.fromkeys(words)).casefold()}


def _shown_first(compared: Sequence[BodyPage]) -> set[int]:
    """Return which bodies stand side by side at first: those that meet their limit before others."""
    order = sorted(range(len(compared)), key=lambda k: _ORDER.index(compared[k].decision))
    return set(order[:_SHOWN_FIRST])


def _points(compared: Sequence[BodyPage]) -> tuple[list[Point], list[str]]:
    """Return what the picture shows, and the bodies that lack shrinkage or absorption."""
    points, missing = [], []
    for k, one in enumerate(compared):
        across, up, absorbed = _figure(one, _MEASURED[0]), _figure(one, _MEASURED[1]), one.measured(_MEASURED[1])
        if across is None or up is None or absorbed is None:
            missing.append(clipped(one.body, 48))
            continue
        kinds = ((absorbed.lowest, "lowest"), (absorbed.limit, "limit"))
        bounds = tuple((bound, kind) for bound, kind in kinds if bound is not None)
        points.append(Point(f"body-{k}", one.body, across[:3], up[:3], bounds, one.decision or ""))
    return points, missing
