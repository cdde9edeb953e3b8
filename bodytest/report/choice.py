"""Which group answers for a body: one firing and direction that the top of its page speaks of."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from bodytest.results import Group

Reason = Literal["only", "coolest_tight", "least_absorption", "hottest", "unfired"]


@dataclass(frozen=True)
class Choice:
    """The group that a body's answer rests on, and why this one."""

    group: Group
    """The group."""
    reason: Reason
    """Key of the sentence that says why."""


def answer_group(groups: Sequence[Group], direction: str | None = None) -> Choice:
    """Choose among the groups of one body, coolest firing first.

    With a limit on absorption: the coolest firing that meets it, else the one with the least absorption. Without a
    limit: the hottest firing. Among the directions of that firing: the one with the most bars; of equals ``direction``,
    then the first.
    """
    groups = sorted(groups, key=lambda group: group.direction != direction)
    return _chosen(sorted(groups, key=_temperature))


def _temperature(group: Group) -> tuple[bool, float]:
    celsius = group.peak_temperature_c if group.peak_temperature_c is not None else group.nominal_temperature_c
    return celsius is None, celsius or 0.0


def _chosen(groups: list[Group]) -> Choice:
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


def _decision(group: Group) -> str | None:
    absorption = group.quantities.get("absorption")
    return absorption.decision if absorption else None


def _absorbed(group: Group) -> float:
    mean = group.quantities["absorption"].mean
    return float("inf") if mean is None else mean


def _most_bars(groups: list[Group]) -> Group:
    """Return the group with the most bars whose shrinkage was measured; the first of equals."""
    return max(groups, key=lambda group: group.quantities["total_shrinkage"].n)
