"""Picks what was measured of a body, firing, direction and batch; never goes beyond it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Protocol

from bodytest.errors import NotMeasured
from bodytest.plan.stages import usable
from bodytest.results import Group, PieceComparison, QuantityResult

NEW_BATCH = "new"
"""Stands for a batch that nobody has tested yet."""


class Measured(Protocol):
    """What planning needs of results; `bodytest.results.Results` has it."""

    @property
    def confidence(self) -> float:
        """Confidence of the intervals, as a fraction."""

    @property
    def groups(self) -> tuple[Group, ...]:
        """Groups of bars."""

    @property
    def pieces(self) -> tuple[PieceComparison, ...]:
        """Pieces compared with bars."""


@dataclass(frozen=True)
class Wanted:
    """What a user asked for; None where only one thing was measured anyway."""

    body: str | None = None
    """Name of the body."""
    firing: str | None = None
    """Code of the firing."""
    direction: str | None = None
    """Direction of the measured length."""
    batch: str | None = None
    """Name of a batch, or ``new`` for one not tested yet; None: the only one tested, or a new one after several."""


ONLY_ONE = Wanted()
"""Nothing named: the only body, firing and direction there is."""


@dataclass(frozen=True)
class Basis:
    """The bars on which an answer rests."""

    group: Group
    """Their group."""
    batch: str | None
    """Name of their batch, ``""`` where it has none; None for a new batch."""
    quantities: dict[str, QuantityResult]
    """Their figures."""
    notes: tuple[str, ...]
    """What has to be known about them, in sentences."""


def choose(measured: Measured, wanted: Wanted) -> Basis:
    """Return the bars that answer what is wanted.

    Raises:
        NotMeasured: there are none, or there are several and the user has to say which.

    """
    fired = [group for group in measured.groups if reaches_fired(group.quantities)]
    if not fired:
        named = [group.body for group in measured.groups if group.body]
        raise NotMeasured("no-fired-bars", bodies=listed(named) or "any body")
    groups = _narrow(fired, "body", wanted.body, lambda group: group.body)
    where = groups[0].body
    groups = _narrow(groups, "firing", wanted.firing, lambda group: group.firing, where)
    where += f" fired in {groups[0].firing}" if groups[0].firing else ""
    groups = _narrow(groups, "direction", wanted.direction, lambda group: group.direction, where)
    group = max(groups, key=lambda one: one.bars)
    return _of_batch(group, wanted.batch, _method_notes(groups, group))


def direction_for(measured: Measured, name: str | None, given: dict[str, str]) -> str | None:
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


def same_name(one: str, other: str) -> bool:
    """Say whether two names are alike but for capitals and spacing."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def _narrow(
    groups: list[Group], what: str, wanted: str | None, name_of: Callable[[Group], str], where: str | None = None
) -> list[Group]:
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


def _method_notes(groups: list[Group], chosen: Group) -> tuple[str, ...]:
    if len(groups) == 1:
        return ()
    methods = listed(group.absorption_method or "" for group in groups)
    used = chosen.absorption_method or "(blank)"
    return (f"Bars of different absorption methods ({methods}) are apart; the larger group ({used}) is used.",)


def _of_batch(group: Group, wanted: str | None, notes: tuple[str, ...]) -> Basis:
    named = [batch for batch in group.batches if batch]
    if wanted is not None and not same_name(wanted, NEW_BATCH):
        for batch in group.by_batch:
            if same_name(batch.batch, wanted) and reaches_fired(batch.quantities):
                return Basis(group, batch.batch, batch.quantities, notes)
        of = f" of {group.body} fired in {group.firing}"
        raise NotMeasured("batch-not-measured", value=wanted, there=listed(named) or "no named batch", of=of)
    if len(group.batches) > 1:
        return Basis(group, None, group.quantities, notes)
    if wanted is not None:
        return Basis(group, None, group.quantities, (*notes, _ONE_BATCH))
    return Basis(group, "".join(group.batches), group.quantities, notes)


_ONE_BATCH = (
    "Only one batch was tested, so how far a new batch may lie from it is not known and the range leaves it out."
)
