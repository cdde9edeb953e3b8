"""What answers for a body: the programme that `bodytest.results.Answer` names, as the top of its page speaks of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

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
    if answer is None or programme is None:
        furthest = max(tested, key=lambda one: (len(one.quantities), one.bars))
        return Choice(furthest, "only" if "total_shrinkage" in furthest.quantities else "unfired")
    swollen = dict.fromkeys(one.overfired for one in results.programmes if one.body == body and one.overfired)
    if answer.known:
        return Choice(programme, answer.reason, overfired=tuple(swollen))
    without = replace(programme, wet_size_factor=None, wet_size_factor_low=None, wet_size_factor_high=None)
    return Choice(without, answer.reason, answer.sentence, tuple(swollen))
