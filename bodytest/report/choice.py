"""What answers for a body: the programme that `bodytest.results.Answer` names, as the top of its page speaks of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bodytest.analysis.response_levels import heat_of
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


def answering(results: Results, body: str, tested: Sequence[Tested]) -> Choice:
    """Return what answers for a body by the answer of the results; where they name none, the bars measured furthest.

    Parameters:
        results: of an analysis.
        body: name of the body.
        tested: its programmes, and its bars without a firing.
    """
    answer = next((one for one in results.answers if one.body == body), None)
    programme = next((one for one in results.programmes if answer and one.id == answer.programme), None)
    swollen = dict.fromkeys(one.overfired for one in results.programmes if one.body == body and one.overfired)
    if answer is None or programme is None:
        furthest = _without_sizes(tested)
        reason = "only" if "total_shrinkage" in furthest.quantities else "unfired"
        return Choice(furthest, reason, overfired=tuple(swollen))
    if answer.known:
        return Choice(programme, answer.reason, overfired=tuple(swollen))
    without = replace(programme, wet_size_factor=None, wet_size_factor_low=None, wet_size_factor_high=None)
    return Choice(without, answer.reason, answer.sentence, tuple(swollen))


def _without_sizes(tested: Sequence[Tested]) -> Tested:
    """Return the coolest that meets its limit, else the one with the least absorption, else the most measured."""
    soaked = [one for one in tested if isinstance(one, Programme) and "absorption" in one.quantities and one.bars > 1]
    sound = [one for one in soaked if not one.overfired] or soaked
    ware = sorted([one for one in sound if one.purpose in (None, "final")] or sound, key=heat_of)
    if not ware:
        return max(tested, key=lambda one: (len(one.quantities), one.bars))
    tight = [one for one in ware if one.quantities["absorption"].decision == "meets"]
    return tight[0] if tight else min(ware, key=lambda one: one.quantities["absorption"].mean or 0.0)
