"""Picks what was measured of a body, programme, direction and batch; never goes beyond it.

What is planned with is the programme that answers for the body, over all its loads and batches, unless another
programme, one load or one batch is named.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from bodytest.cones import firings_called, parse_cone
from bodytest.errors import NotMeasured
from bodytest.names import same_name
from bodytest.plan.stages import Change, change, relative_variance, usable
from bodytest.results import Group, Programme, QuantityResult, Summary
from bodytest.scope import SpeaksOf, loads_seen, speaks_of

NEW = "new"
"""Stands for a batch or a load that nobody has tested yet."""
Bars = Group | Programme
"""Bars of one load, or of all loads of a programme."""
_Some = TypeVar("_Some", bound=Bars)


@dataclass(frozen=True)
class Wanted:
    """What a user asked for; None where only one thing was measured anyway."""

    body: str | None = None
    """Name of the body."""
    firing: str | None = None
    """Code of one load, or a programme by the shorter word; None: the programme that answers."""
    direction: str | None = None
    """Direction of the measured length."""
    batch: str | None = None
    """Name of a batch, or ``new`` for one not tested yet; None: the only one tested, or a new one after several."""
    programme: str | None = None
    """Name or cone of a programme; None: the one that answers for the body."""
    load: str | None = None
    """Code of one load, or ``new`` for one not fired yet; None: a new one after several, else the one there is."""


ONLY_ONE = Wanted()
"""Nothing named: the only body and direction there is, in the programme that answers for it."""


@dataclass(frozen=True)
class Basis:
    """The bars on which an answer rests."""

    group: Bars
    """Their load or programme."""
    batch: str | None
    """Name of their batch, ``""`` where it has none; None for a new batch."""
    quantities: dict[str, QuantityResult]
    """Their figures."""
    notes: tuple[str, ...]
    """What has to be known about them, in sentences."""
    on_direction: tuple[str, ...] = ()
    """Of which direction a length is told, where nobody chose among several."""

    @property
    def firing(self) -> str:
        """The programme, or the one load, in words."""
        code = self.group.firing or "(blank)"
        return code if isinstance(self.group, Programme) else f"firing {code}"

    @property
    def of(self) -> str:
        """Body and firing in words."""
        return fired_in_words(self.group)

    def change(self, start: str, end: str, confidence: float) -> Change | None:
        """Return how a length changes between two stages, None when no measured way leads there."""
        group, known = self.group, None
        if isinstance(group, Programme) and self.quantities is group.quantities:
            ratios = {stage: one.ratio_to_wet for stage, one in group.stages.items()}
            known = relative_variance(ratios, group.stage_covariance, start, end)
        return change(self.quantities, start, end, confidence, known)

    @property
    def speaks_of(self) -> SpeaksOf:
        """Which batches and loads the ranges hold for: any where several were tested."""
        if self.batch is not None and len(self.group.batches) > 1:
            return speaks_of(1, loads_seen(self.quantities))
        return speaks_of(len(self.group.batches), len(self.group.loads))

    @property
    def told(self) -> dict[str, Any]:
        """What every plan tells of its bars: body, firing, batch, and whom they speak of."""
        whom = self.speaks_of
        return {"body": self.group.body, "firing": self.firing, "speaks_of": whom, "batch": self.batch}


def fired_in_words(bars: Bars) -> str:
    """Return a body with where it was fired, in words."""
    joined = "to" if isinstance(bars, Programme) else "in"
    return f"{bars.body} fired {joined} {bars.firing}" if bars.firing else bars.body


def choose(measured: Summary, wanted: Wanted) -> Basis:
    """Return the bars that answer what is wanted.

    Raises:
        NotMeasured: there are none, or there are several and the user has to say which.
    """
    fired = [group for group in measured.groups if reaches_fired(group.quantities)]
    if not fired:
        named = [group.body for group in measured.groups if group.body]
        raise NotMeasured("no-fired-bars", bodies=listed(named) or "any body")
    of_body: Sequence[Group] = _narrow(fired, "body", wanted.body, lambda group: group.body)
    found = _in_kiln(measured, of_body, wanted)
    where = fired_in_words(found[0])
    found, taken = _in_direction(measured, found, wanted.direction, where)
    chosen = max(found, key=lambda one: one.bars)
    notes = (*_method_notes(found, chosen), *_scope_notes(measured, chosen, wanted))
    return replace(_of_batch(chosen, wanted.batch, notes), on_direction=taken)


def _in_kiln(measured: Summary, of_body: Sequence[Group], wanted: Wanted) -> Sequence[Bars]:
    """Return the bars of the one load that is named, else those of one programme; what is named has to agree."""
    body = where = of_body[0].body
    programmes = [one for one in measured.programmes if one.body == body and reaches_fired(one.quantities)]
    codes = [wanted.firing, wanted.load]
    if not programmes:  # a results file of an early version, or bars without a firing
        codes.insert(0, wanted.programme)
    elif wanted.programme is not None:
        called = [one for one in programmes if is_called(one, wanted.programme)]
        programmes = _only_programme(called or programmes, wanted.programme, known=bool(called))
        of_body, where = _fired_with(of_body, programmes), fired_in_words(programmes[0])
    found: Sequence[Bars] = programmes
    for code in codes:
        if code is not None and not same_name(code, NEW):
            found = _called(code, of_body, programmes, where)
            of_body, programmes, where = _fired_with(of_body, found), [], fired_in_words(found[0])
    if found is not programmes or (found and wanted.programme is not None):
        return found
    if not found:
        return _one_load(of_body, None, where)
    answering = {answer.programme for answer in measured.answers}
    names = [one.programme for one in programmes if one.id in answering] or [programmes[0].programme]
    return [one for one in programmes if one.programme == names[0]]


def _called(code: str, groups: Sequence[Group], programmes: list[Programme], where: str) -> Sequence[Bars]:
    """Return the bars of the load that is meant by a code or a cone, else those of the programme."""
    of_cone = [one for one in programmes if is_called(one, code)]
    cones = {group.firing: "" if of_cone else group.cone or "" for group in groups}
    if codes := firings_called(code, cones):
        return _one_load([group for group in groups if group.firing in codes], None, where)
    return _only_programme(of_cone, code) if of_cone else _one_load(groups, code, where)


def _fired_with(groups: Sequence[Group], found: Sequence[Bars]) -> Sequence[Group]:
    """Return the groups of the loads in which bars were fired."""
    loads = {load for one in found for load in one.loads}
    return [group for group in groups if group.firing in loads]


def _one_load(groups: Sequence[Group], code: str | None, where: str) -> Sequence[Group]:
    return _narrow(groups, "firing", code, lambda group: group.firing, where)


def _in_direction(
    measured: Summary, found: Sequence[Bars], wanted: str | None, where: str
) -> tuple[Sequence[Bars], tuple[str, ...]]:
    """Return the bars of the direction wanted, else of that in which the body is answered for, with a note."""
    answers = {one.programme for one in measured.answers}
    own = next((one.direction for one in measured.programmes if one.id in answers and one.body == found[0].body), None)
    there = list(dict.fromkeys(one.direction for one in found))
    if wanted is not None or len(there) < 2 or own not in there:
        return _narrow(found, "direction", wanted, lambda one: one.direction, where), ()
    others = " or ".join(f"--direction {name}" for name in there if name not in {own, ""})
    note = f"Bars were measured {listed(there)}; this is for {own or '(blank)'}, as in the report."
    return [one for one in found if one.direction == own], (f"{note} Otherwise say {others}." if others else note,)


def is_called(one: Programme, name: str) -> bool:
    """Say whether a programme is meant by a name, the shortest one that tells it apart, or a spelling of its cone."""
    return any(same_name(known, name) for known in (one.programme, one.called, one.cone or "")) or (
        one.cone is not None and parse_cone(name) == one.cone
    )


def _only_programme(found: list[Programme], asked: str, *, known: bool = True) -> list[Programme]:
    there = listed(one.called for one in found)
    if not known:
        raise NotMeasured("programme-not-measured", value=asked, there=there, of=f" of {found[0].body}")
    if len({one.programme for one in found}) > 1:
        raise NotMeasured("choose-programme", value=asked, there=listed(one.programme for one in found))
    return found


def direction_for(measured: Summary, name: str | None, given: dict[str, str]) -> str | None:
    """Return the direction for a named size: as given for that name, else the bars' own direction of that name.

    ``given`` maps names to directions; under ``""`` stands the one for all others.
    """
    for one, direction in given.items():
        if name is not None and same_name(one, name):
            return direction
    directions = {group.direction for group in measured.groups}
    own = next((one for one in sorted(directions) if name is not None and same_name(one, name)), None)
    return own if own is not None else given.get("")


def reaches_fired(quantities: dict[str, QuantityResult]) -> bool:
    """Say whether wet or dry length was measured together with the fired one."""
    return usable(quantities.get("total_shrinkage")) or usable(quantities.get("firing_shrinkage"))


def listed(names: Iterable[str]) -> str:
    """Return names once each, as ``A, B and C``; a blank one is ``(blank)``.

    >>> listed(["along", "", "along", "across"])
    'along, (blank) and across'
    """
    unique = [name or "(blank)" for name in dict.fromkeys(names)]
    return " and ".join([", ".join(unique[:-1]), unique[-1]]) if len(unique) > 1 else "".join(unique)


def _narrow(
    groups: Sequence[_Some], what: str, wanted: str | None, name_of: Callable[[_Some], str], where: str | None = None
) -> Sequence[_Some]:
    there = listed(name_of(group) for group in groups)
    of = f" of {where}" if where else ""
    if wanted is None:
        if len({name_of(group) for group in groups}) > 1:
            raise NotMeasured(f"choose-{what}", there=there, of=of)
        return groups
    found = [group for group in groups if same_name(name_of(group), wanted)]
    if not found:
        raise NotMeasured(f"{what}-not-measured", value=wanted, there=there, of=of)
    return found


def _method_notes(groups: Sequence[Bars], chosen: Bars) -> tuple[str, ...]:
    if len(groups) == 1:
        return ()
    methods = listed(group.absorption_method or "" for group in groups)
    used = chosen.absorption_method or "(blank)"
    return (f"Bars of different absorption methods ({methods}) are apart; the larger group ({used}) is used.",)


def _of_batch(group: Bars, wanted: str | None, notes: tuple[str, ...]) -> Basis:
    named = [batch for batch in group.batches if batch]
    if wanted is not None and not same_name(wanted, NEW):
        for batch in group.by_batch:
            if same_name(batch.batch, wanted) and reaches_fired(batch.quantities):
                return Basis(group, batch.batch, batch.quantities, notes)
        of = f" of {fired_in_words(group)}"
        raise NotMeasured("batch-not-measured", value=wanted, there=listed(named) or "no named batch", of=of)
    if len(group.batches) > 1:
        return Basis(group, None, group.quantities, notes)
    if wanted is not None:
        return Basis(group, None, group.quantities, (*notes, _ONE_BATCH))
    return Basis(group, "".join(group.batches), group.quantities, notes)


_ONE_BATCH = (
    "Only one batch was tested, so how far a new batch may lie from it is not known and the range leaves it out."
)


def _scope_notes(measured: Summary, chosen: Bars, wanted: Wanted) -> Iterator[str]:
    """Yield whom the answer speaks of where that is less than a reader would take it for, and if it is only stated."""
    total = chosen.quantities.get("total_shrinkage")
    if total is not None and total.stated:
        yield "The sheet states this shrinkage; no readings give it."
    if not isinstance(chosen, Programme):
        several = any(len(one.loads) > 1 and chosen.firing in one.loads for one in measured.programmes)
        if several:
            yield f"The load {chosen.firing} only; without --firing the answer is for any load of its programme."
        return
    if len(chosen.loads) == 1:
        yield f"Only one load to {chosen.called} was tested, so how far the next may lie from it is not known."
    same = (one for one in measured.programmes if (one.body, one.programme) == (chosen.body, chosen.programme))
    yield from dict.fromkeys(one.overfired for one in same if one.overfired)
    if wanted.batch is None or same_name(wanted.batch, NEW) or len(chosen.batches) < 2:
        yield from (one.sentence for one in measured.answers if one.programme == chosen.id and not one.known)
