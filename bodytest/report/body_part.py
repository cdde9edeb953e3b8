"""The part of the results that is about one body."""

from dataclasses import dataclass

import pandas as pd

from bodytest.analysis.loads import holds
from bodytest.report.choice import Choice, answering
from bodytest.report.fired import Tested
from bodytest.responses import FiringResponse
from bodytest.results import BeforeFiring, Group, Programme, Results


@dataclass(frozen=True)
class BodyPart:
    """The part of the results that is about one body."""

    body: str
    """Its name."""
    groups: tuple[Group, ...]
    """Its groups load by load, coolest firing first."""
    tested: tuple[Tested, ...]
    """Its programmes over all their loads, coolest first, then bars not fired yet."""
    before_firing: tuple[BeforeFiring, ...]
    """What firing cannot change, direction by direction."""
    choice: Choice
    """The bars that answer for it."""
    bars: pd.DataFrame
    """Its bars, with ``place``: position of their group among ``groups``, and ``tested``: position in ``tested``."""
    responses: tuple[FiringResponse, ...]
    """Its responses to firing, that of the answer's direction first."""

    @property
    def programmes(self) -> tuple[Programme, ...]:
        """Its programmes."""
        return tuple(one for one in self.tested if isinstance(one, Programme))

    @property
    def planned(self) -> tuple[Tested, ...]:
        """What can be planned with: programmes, then single loads of those fired more than once."""
        return (*self.tested, *(g for one in self.programmes if len(one.loads) > 1 for g in self.loads_of(one)))

    @property
    def absorption_limit(self) -> float | None:
        """The limit on absorption that is stated for it, %; of several that of the coolest firing."""
        absorbed = (group.quantities.get("absorption") for group in self.groups)
        return next((one.limit for one in absorbed if one and one.limit is not None), None)

    def loads_of(self, programme: Programme) -> tuple[Group, ...]:
        """Return the bars of a programme load by load."""
        return tuple(group for group in self.groups if holds(programme, group))


def body_parts(results: Results) -> tuple[BodyPart, ...]:
    """Split the results by body, in the order of the groups."""
    return tuple(_part(results, body) for body in dict.fromkeys(group.body for group in results.groups))


def _part(results: Results, body: str) -> BodyPart:
    places = [place for place, group in enumerate(results.groups) if group.body == body]
    groups = tuple(results.groups[place] for place in places)
    programmes = tuple(one for one in results.programmes if one.body == body)
    holder = {k: one for one in programmes for k, group in enumerate(groups) if holds(one, group)}
    tested: tuple[Tested, ...] = (*programmes, *(group for k, group in enumerate(groups) if k not in holder))
    mine = results.bars[results.bars["group"].isin(places)]
    place = mine["group"].map({place: number for number, place in enumerate(places)})
    within = [tested.index(holder.get(k, group)) for k, group in enumerate(groups)]
    bars = mine.assign(place=place, tested=place.map(dict(enumerate(within)))).reset_index(drop=True)
    choice = answering(results, body, tested)
    direction = choice.group.direction
    responses = sorted((r for r in results.responses if r.body == body), key=lambda r: r.direction != direction)
    before = tuple(one for one in results.before_firing if one.body == body)
    return BodyPart(body, groups, tested, before, choice, bars, tuple(responses))
