"""The part of the results that is about one body, and the programme that answers for it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import pandas as pd

from bodytest.analysis.loads import holds
from bodytest.analysis.response_levels import heat_of
from bodytest.findings import Finding
from bodytest.report.tested import Tested, firing_dates
from bodytest.responses import FiringResponse
from bodytest.results import BeforeFiring, Group, Programme, Results


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

    ``tested`` are its programmes, and its bars without a firing.
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
    def batches(self) -> set[str]:
        """Names of its batches."""
        return {batch for group in self.groups for batch in group.batches if batch}

    @property
    def last_fired(self) -> str:
        """Date of its last firing, ISO; ``""`` where none is known."""
        return max(firing_dates(self.groups), default="")

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


_ROW_OF_BARS = re.compile(r"Bars![A-Z]+(\d+)$")


def findings_by_body(results: Results) -> dict[str, tuple[Finding, ...]]:
    """Return, for each body, what was found in its bars, or is said of it by name, and what is of no body."""
    bodies = list(dict.fromkeys(group.body for group in results.groups))
    names = {body: re.compile(rf"(?<!\w){re.escape(body)}(?!\w)") for body in bodies if body}
    columns = (results.bars[name] for name in ("sheet", "row", "body"))
    of_row = {(sheet, f"{row}"): body for sheet, row, body in zip(*columns, strict=True)}
    found: dict[str, list[Finding]] = {body: [] for body in bodies}
    for one in results.findings:
        if row := _ROW_OF_BARS.match(one.cell or ""):
            of_bar = of_row.get((one.sheet or "", row[1]))
            concerned = bodies if of_bar is None else [of_bar]
        else:
            concerned = [body for body, name in names.items() if name.search(one.sentence)] or bodies
        for body in concerned:
            found.setdefault(body, []).append(one)
    return {body: tuple(of_body) for body, of_body in found.items()}


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
