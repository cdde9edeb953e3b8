"""Bars that one mean speaks for: whether they were fired, and what they are called on the pages."""

from collections.abc import Iterable, Sequence
from typing import TypeVar

from bodytest.quantities import QUANTITIES
from bodytest.report.wording import Voice
from bodytest.responses import FiringResponse
from bodytest.results import Group, Programme
from bodytest.rounding import NO_BREAK

Tested = Group | Programme
"""Bars that one mean speaks for: those of a programme over all its loads, of one load, or not fired yet."""

_One = TypeVar("_One", Tested, FiringResponse)
_NEED_FIRING = {q.key for q in QUANTITIES if q.needs_firing and all(r.stage != "bisque" for r in q.readings)}


def is_fired(one: Tested) -> bool:
    """Say whether there is at least one value that only fired bars have."""
    return bool(one.firing) and bool(_NEED_FIRING & set(one.quantities))


def firing_dates(groups: Iterable[Group]) -> list[str]:
    """Return the ISO dates of the firings that took place, earliest first."""
    return sorted({group.date for group in groups if group.date and is_fired(group)})


def firing_details(voice: Voice, group: Tested, *, atmosphere: bool = True) -> str:
    """Return ``cone 6, 1224 °C, oxidation``, whatever of it is known and not told by the name of a programme."""
    parts = []
    if group.cone and not group.firing.startswith(voice.say("name.cone", cone=group.cone)):
        parts.append(cone_name(voice, group.cone))
    if group.peak_temperature_c is not None:
        parts.append(voice.temperature(group.peak_temperature_c))
    elif group.nominal_temperature_c is not None:
        parts.append(voice.say("name.nominal", temperature=voice.temperature(group.nominal_temperature_c)))
    if atmosphere and group.atmosphere:
        parts.append(group.atmosphere)
    return ", ".join(parts)


def fired_words(voice: Voice, group: Tested) -> str:
    """Return ``fired to cone 6 (1221 °C)``, or ``fired in K6 (1224 °C)`` where loads share nothing that is known."""
    alone = not isinstance(group, Programme) or group.loads == (group.programme,)
    return voice.say("name.fired_in" if alone else "name.fired_to", firing=firing_name(voice, group))


def cone_name(voice: Voice, cone: str) -> str:
    """Return ``cone 6``, never broken at the end of a line."""
    return voice.say("name.cone", cone=cone).replace(" ", NO_BREAK)


def firing_name(voice: Voice, group: Tested) -> str:
    """Return ``K6 (cone 6, 1224 °C)``; a sentence part for bars without a firing."""
    if not group.firing:
        return voice.say("name.no_firing")
    details = firing_details(voice, group, atmosphere=False)
    return f"{firing_code(voice, group)} ({details})" if details else firing_code(voice, group)


def firing_code(voice: Voice, group: Tested) -> str:
    """Return the firing's code alone, or what the programme is called."""
    unbroken = cone_name(voice, group.cone or "")
    return group.firing.replace(unbroken.replace(NO_BREAK, " "), unbroken, 1) or voice.say("name.no_firing")


def group_name(voice: Voice, group: Tested) -> str:
    """Return ``K6, along``."""
    return ", ".join(part for part in (firing_code(voice, group), group.direction) if part)


def named_groups(voice: Voice, groups: Sequence[Tested]) -> list[tuple[str, Tested]]:
    """Return each group of one body behind its name, made distinct by the method where needed."""
    return _apart([group_name(voice, group) for group in groups], groups)


def body_name(voice: Voice, body: str) -> str:
    """Return the name of a body, or what stands for none."""
    return body or voice.say("name.no_body")


def batch_name(voice: Voice, batch: str) -> str:
    """Return the name of a batch, or what stands for none."""
    return batch or voice.say("name.no_batch")


def named_by_direction(voice: Voice, some: Sequence[_One]) -> list[tuple[str, _One]]:
    """Return each group or response of one body behind its direction, with its method where they share one."""
    return _apart([one.direction or voice.say("name.no_direction") for one in some], some)


def _apart(names: list[str], some: Sequence[_One]) -> list[tuple[str, _One]]:
    methods = [one.absorption_method if names.count(name) > 1 else "" for name, one in zip(names, some, strict=True)]
    told = (f"{name}, {method}" if method else name for name, method in zip(names, methods, strict=True))
    return list(zip(told, some, strict=True))
