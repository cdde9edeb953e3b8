"""What to do next: the few steps that would change the answer most, most pressing first."""

from collections.abc import Iterator

from bodytest.findings import Finding
from bodytest.report.body_part import Choice
from bodytest.report.sections.answer import all_left_out, further_words
from bodytest.report.sections.firings import fired_count
from bodytest.report.sections.response import FEWEST_FIRINGS
from bodytest.report.tested import Tested, fired_words, is_fired
from bodytest.report.wording import Voice
from bodytest.responses import FiringResponse
from bodytest.results import Programme

_FEW_BARS = 5
_MOST = 6


def next_steps(
    voice: Voice,
    choice: Choice,
    groups: tuple[Tested, ...],
    responses: tuple[FiringResponse, ...],
    findings: tuple[Finding, ...],
) -> tuple[str, ...]:
    """Return up to six sentences."""
    steps = [
        *_mending(voice, findings),
        *_finishing(voice, choice.group),
        *_deciding(voice, choice.group),
        *_testing(voice, choice.group),
        *_firing(voice, groups, responses),
        *_certainty(choice.group),
    ]
    return tuple(dict.fromkeys(steps))[:_MOST]


def _mending(voice: Voice, findings: tuple[Finding, ...]) -> Iterator[str]:
    stops = sum(finding.level == "stop" for finding in findings)
    flagged = sum(finding.level == "ask" for finding in findings)
    if stops:
        yield voice.say("next.mend", cells=voice.count("cell", stops))
    if flagged:
        yield voice.say("next.look", cells=voice.count("reading", flagged))


def _finishing(voice: Voice, group: Tested) -> Iterator[str]:
    if all_left_out(group):
        yield voice.say("next.left_out")
    elif "total_shrinkage" not in group.quantities and is_fired(group):
        yield voice.say("next.wet_lengths")
    elif "drying_shrinkage" not in group.quantities and "total_shrinkage" not in group.quantities:
        yield voice.say("next.dry")
    elif "total_shrinkage" not in group.quantities:
        yield voice.say("next.fire")
    elif "absorption" not in group.quantities:
        yield voice.say("next.boil")


def _deciding(voice: Voice, group: Tested) -> Iterator[str]:
    absorbed = group.quantities.get("absorption")
    if absorbed is None:
        return
    if absorbed.decision == "cannot tell yet":
        further = further_words(voice, absorbed)
        key = "next.decide" if further else "next.decide_unknown"
        yield voice.say(key, bars=further, fired=fired_words(voice, group), limit=voice.limit(absorbed))
    if absorbed.decision == "does not meet":
        too_dense = absorbed.lowest is not None and (absorbed.mean or 0.0) < absorbed.lowest
        yield voice.say("next.cooler" if too_dense else "next.hotter", limit=voice.limit(absorbed))
    if absorbed.decision is None:
        yield voice.say("next.state_limit")


def _testing(voice: Voice, group: Tested) -> Iterator[str]:
    total = group.quantities.get("total_shrinkage")
    if total is not None and total.n < _FEW_BARS:
        yield voice.say("next.more_bars", bars=voice.count("bar", total.n))
    if total is not None and len(group.batches) == 1:
        yield voice.say("next.another_batch")
    if total is not None and isinstance(group, Programme) and group.speaks_of.load == "this":
        yield voice.say("next.another_load", fired=fired_words(voice, group))


def _firing(voice: Voice, groups: tuple[Tested, ...], responses: tuple[FiringResponse, ...]) -> Iterator[str]:
    firings = fired_count(groups)
    if not responses and 0 < firings < FEWEST_FIRINGS:
        yield voice.say("next.three_firings", programmes=voice.count("programme", firings))
    for response in responses:
        if response.at_limit is not None and response.at_limit.celsius is None:
            yield voice.say("next.beyond_limit")
        if response.densest is not None and response.densest.celsius is None:
            yield voice.say("next.beyond_densest")


def _certainty(group: Tested) -> Iterator[str]:
    total = group.quantities.get("total_shrinkage")
    if total is not None and total.certainty is not None and total.certainty.advice:
        yield total.certainty.advice
