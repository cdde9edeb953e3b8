"""The part of the results that is about one body."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bodytest.report.choice import Choice, answer_group, answering
from bodytest.responses import FiringResponse
from bodytest.results import Group, Results

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class BodyPart:
    """The part of the results that is about one body."""

    body: str
    """Its name."""
    groups: tuple[Group, ...]
    """Its groups, coolest firing first."""
    choice: Choice
    """The bars that answer for it."""
    bars: "pd.DataFrame"
    """Its bars, with ``place``: position of their group among its groups."""
    responses: tuple[FiringResponse, ...]
    """Its responses to firing, that of the answer's direction first."""

    @property
    def planned(self) -> tuple[Group, ...]:
        """What can be planned with: all loads of the answering programme together, then each load."""
        together = self.choice.programme is not None and len(self.choice.programme.loads) > 1
        return (self.choice.group, *self.groups) if together else self.groups


def body_parts(results: Results) -> tuple[BodyPart, ...]:
    """Split the results by body, in the order of the groups."""
    return tuple(_part(results, body) for body in dict.fromkeys(group.body for group in results.groups))


def _part(results: Results, body: str) -> BodyPart:
    places = [place for place, group in enumerate(results.groups) if group.body == body]
    groups = tuple(results.groups[place] for place in places)
    mine = results.bars[results.bars["group"].isin(places)]
    bars = mine.assign(place=mine["group"].map({place: number for number, place in enumerate(places)}))
    direction = str(mine["direction"].iloc[0]) if len(mine) else None
    choice = answering(results, body, groups) or answer_group(groups, direction)
    answering_in = choice.group.direction
    responses = sorted((r for r in results.responses if r.body == body), key=lambda r: r.direction != answering_in)
    return BodyPart(body, groups, choice, bars.reset_index(drop=True), tuple(responses))
