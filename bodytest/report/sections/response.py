"""The response to firing in words and figures."""

from bodytest.report.body_part import BodyPart
from bodytest.report.charts.response import response_chart
from bodytest.report.sections.firings import fired_count
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import Tested, named_by_direction
from bodytest.report.wording import Voice
from bodytest.responses import CrossingTemperature, FiringResponse

FEWEST_FIRINGS = 3
"""Fewer temperatures show no response."""


def response_section(voice: Voice, part: BodyPart, confidence: float) -> dict[str, object] | None:
    """Return the responses of one body, drawn and told; None where too few temperatures were tested."""
    responses = part.responses
    if not responses:
        return None
    named = named_by_direction(voice, responses)
    messages = [_message(voice, name, response, len(responses)) for name, response in named]
    columns = "; ".join(dict.fromkeys(group.nominal_from for group in part.groups if group.nominal_from))
    note = voice.say("response.nominal_note", columns=columns) if columns else ""
    return {
        "chart": response_chart(voice, part, messages[0]),
        "further": messages[1:],
        "temperatures": _temperatures(voice, responses, voice.percent(confidence), note),
    }


def _message(voice: Voice, name: str, response: FiringResponse, count: int) -> str:
    """Return what a response says, with its direction where there are several."""
    if count == 1:
        return response.summary
    return voice.say("response.of_direction", direction=name[:1].upper() + name[1:], summary=response.summary)


def response_absent(voice: Voice, groups: tuple[Tested, ...]) -> str:
    """Say why there is no response to show."""
    if fired_count(groups) < FEWEST_FIRINGS:
        return voice.say("response.absent", programmes=voice.count("programme", fired_count(groups)))
    return voice.say("response.no_temperatures")


def safe_window_text(voice: Voice, response: FiringResponse | None) -> str:
    """Return the safe window, or that none is known."""
    if response is None:
        return "–"
    if response.safe_window is None:
        return voice.say("response.range_unknown")
    low, high = map(voice.degrees, response.safe_window)
    return voice.interval(low, high, voice.temperature_unit, otherwise=0)


def _temperatures(voice: Voice, responses: tuple[FiringResponse, ...], level: str, note: str) -> Table:
    columns = columns_of(voice, "response", ("firings.direction", "at_limit", "densest", "range"))
    rows: list[list[Cell | str]] = [
        [
            name,
            *(_crossing(voice, one) for one in (response.at_limit, response.densest)),
            safe_window_text(voice, response),
        ]
        for name, response in named_by_direction(voice, responses)
    ]
    caption = voice.say("response.caption", level=level)
    return table(caption, columns, rows, note=note, key="temperatures")


def _crossing(voice: Voice, crossing: CrossingTemperature | None) -> Cell:
    if crossing is None:
        return Cell("–")
    if crossing.celsius is None:
        return Cell((crossing.note or voice.say("response.not_reached")).partition(":")[0])
    return Cell(voice.temperature(crossing.celsius), small=_interval(voice, crossing))


def _interval(voice: Voice, crossing: CrossingTemperature) -> str:
    low, high = (voice.number(voice.degrees(end), 0) for end in (crossing.low, crossing.high))
    ends = {"low": low, "high": high}
    if crossing.low is None and crossing.high is None:
        return voice.say("response.open")
    if crossing.low is None:
        return voice.say("response.at_most", **ends)
    return voice.say("page.interval" if crossing.high is not None else "response.at_least", **ends)
