"""The size helper: what its script needs, and the ready-made sizes that also stand on paper."""

from dataclasses import dataclass

from bodytest.report.choice import Choice
from bodytest.report.fired import Tested
from bodytest.report.naming import direction_names, firing_name
from bodytest.report.table import Column, Table, table
from bodytest.report.wording import Voice
from bodytest.results import QuantityResult

_READY_MM = (25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0)


@dataclass(frozen=True)
class HelperDirection:
    """One direction of one firing."""

    name: str
    """Direction, or what stands for none."""
    mean: float
    """Mean total shrinkage, %."""
    low: float | None
    """Lower end of its confidence interval."""
    high: float | None
    """Upper end of it."""
    next_low: float | None
    """Lower end of the prediction interval for one further bar."""
    next_high: float | None
    """Upper end of it."""
    dry_to_fired: float | None
    """Mean firing shrinkage, %; None where it was not measured."""
    wet_length_mm: float | None
    """Mean wet length measured on the bars, mm."""


@dataclass(frozen=True)
class HelperFiring:
    """One firing to choose."""

    name: str
    """Code, cone and temperature."""
    directions: tuple[HelperDirection, ...]
    """Directions measured in it."""
    chosen: bool
    """True for the firing that answers for the body."""


@dataclass(frozen=True)
class SizeHelper:
    """The size helper of one body."""

    firings: tuple[HelperFiring, ...]
    """What can be chosen, coolest first."""
    sentences: dict[str, str]
    """Sentences of the script, with ``{blanks}``."""
    decimal_sign: str
    """Sign that the script writes numbers with."""
    ready: Table
    """Sizes worked out beforehand for the firing that answers for the body."""


def size_helper(voice: Voice, groups: tuple[Tested, ...], choice: Choice, confidence: float) -> SizeHelper | None:
    """Return the size helper of a body; None before anything is fired."""
    fired = [group for group in groups if group.wet_size_factor is not None]
    if not fired or choice.doubt:
        return None
    by_firing: dict[str, list[Tested]] = {}
    for group in fired:
        by_firing.setdefault(group.firing, []).append(group)
    firings = tuple(
        HelperFiring(
            firing_name(voice, some[0]),
            _directions(voice, _answering_first(some, choice.group)),
            some[0].firing == choice.group.firing,
        )
        for some in by_firing.values()
    )
    sentences = {name: voice.wording[f"helper.{name}"] for name in _SCRIPT_SENTENCES}
    sentences["level"] = voice.percent(confidence)
    return SizeHelper(firings, sentences, voice.decimal_sign, _ready_sizes(voice, choice.group))


_SCRIPT_SENTENCES = ("ask", "wrong", "wet", "finished_range", "mean_range", "no_range", "far", "dry", "about")


def _answering_first(groups: list[Tested], chosen: Tested) -> list[Tested]:
    return sorted(groups, key=lambda group: group is not chosen)


def _directions(voice: Voice, groups: list[Tested]) -> tuple[HelperDirection, ...]:
    return tuple(_direction(name, one) for name, one in zip(direction_names(voice, groups), groups, strict=True))


def _direction(name: str, group: Tested) -> HelperDirection:
    total, firing = group.quantities["total_shrinkage"], group.quantities.get("firing_shrinkage")
    return HelperDirection(
        name=name,
        mean=0.0 if total.mean is None else total.mean,
        low=total.low,
        high=total.high,
        next_low=total.next_low,
        next_high=total.next_high,
        dry_to_fired=firing.mean if firing else None,
        wet_length_mm=group.wet_length_mm,
    )


def _ready_sizes(voice: Voice, group: Tested) -> Table:
    total = group.quantities["total_shrinkage"]
    rows = [_ready_row(voice, fired, total) for fired in _READY_MM]
    columns = [
        Column(voice.say("helper.finished_heading"), numeric=True),
        Column(voice.say("helper.wet_heading"), numeric=True),
        Column(voice.say("helper.range_heading"), numeric=True),
    ]
    where = ", ".join(part for part in (firing_name(voice, group), group.direction) if part)
    return table(voice.say("helper.ready_caption", where=where), columns, rows, key="ready-sizes")


def _ready_row(voice: Voice, fired: float, total: QuantityResult) -> list[str]:
    wet = fired / (1 - (total.mean or 0.0) / 100)
    low, high = (None if s is None else wet * (1 - s / 100) for s in (total.next_high, total.next_low))
    return [voice.number(fired, 0), voice.number(wet, 1), voice.between(low, high, 1)]
