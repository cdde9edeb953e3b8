"""What answers for a body: the programme that `bodytest.results.Answer` names, as the top of its page speaks of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bodytest.analysis.response_levels import celsius_of
from bodytest.report.fired import Tested
from bodytest.results import Programme, Results


@dataclass(frozen=True)
class Choice:
    """The bars that a body's answer rests on, and why these."""

    group: Tested
    """Them: all loads of a programme; without a size factor where there is a doubt."""
    reason: str
    """Key of the sentence that says why."""
    doubt: str | None = None
    """Why no size can be planned with, in a sentence; None where it can."""
    overfired: tuple[str, ...] = ()
    """Sentences on the firings at which the body has begun to swell."""

    @property
    def programme(self) -> Programme | None:
        """The programme of the bars; None for bars not fired yet."""
        return self.group if isinstance(self.group, Programme) else None


def answering(results: Results, body: str) -> Choice | None:
    """Return what answers for a body by the answer of the results; None where they name none."""
    answer = next((one for one in results.answers if one.body == body), None)
    programme = next((one for one in results.programmes if answer and one.id == answer.programme), None)
    if answer is None or programme is None:
        return None
    swollen = dict.fromkeys(one.overfired for one in results.programmes if one.body == body and one.overfired)
    if answer.known:
        return Choice(programme, answer.reason, overfired=tuple(swollen))
    without = replace(programme, wet_size_factor=None, wet_size_factor_low=None, wet_size_factor_high=None)
    return Choice(without, answer.reason, answer.sentence, tuple(swollen))


def answer_group(groups: Sequence[Tested], direction: str | None = None) -> Choice:
    """Choose among the groups of one body, coolest firing first, where the results name no answer.

    With a limit on absorption: the coolest firing that meets it, else the one with the least absorption. Without a
    limit: the hottest firing. Among the directions of that firing: the one with the most bars; of equals ``direction``,
    then the first.
    """
    groups = sorted(groups, key=lambda group: group.direction != direction)
    return _chosen(sorted(groups, key=_temperature))


def _temperature(group: Tested) -> tuple[bool, float]:
    celsius = celsius_of(group)
    return celsius is None, celsius or 0.0


def _chosen(groups: list[Tested]) -> Choice:
    fired = [group for group in groups if "total_shrinkage" in group.quantities]
    if not fired:
        return Choice(max(groups, key=lambda group: (len(group.quantities), group.bars)), "unfired")
    tight = [group for group in fired if _decision(group) == "meets"]
    limited = [group for group in fired if _decision(group) is not None]
    if len({group.firing for group in fired}) == 1:
        return Choice(_most_bars(fired), "only")
    if tight:
        return Choice(_most_bars([group for group in tight if group.firing == tight[0].firing]), "coolest_tight")
    if limited:
        best = min(limited, key=_absorbed)
        return Choice(_most_bars([group for group in limited if group.firing == best.firing]), "least_absorption")
    return Choice(_most_bars([group for group in fired if group.firing == fired[-1].firing]), "hottest")


def _decision(group: Tested) -> str | None:
    absorption = group.quantities.get("absorption")
    return absorption.decision if absorption else None


def _absorbed(group: Tested) -> float:
    mean = group.quantities["absorption"].mean
    return float("inf") if mean is None else mean


def _most_bars(groups: list[Tested]) -> Tested:
    """Return the group with the most bars whose shrinkage was measured; the first of equals."""
    return max(groups, key=lambda group: group.quantities["total_shrinkage"].n)
