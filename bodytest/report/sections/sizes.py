"""The size helper: what its script needs, and the ready-made sizes that also stand on paper."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bodytest.report.body_part import Choice
from bodytest.report.table import Table, columns_of, table
from bodytest.report.tested import Tested, batch_name, firing_name, named_by_direction
from bodytest.report.wording import Voice
from bodytest.results import PieceComparison, QuantityResult
from bodytest.units import LENGTH_DECIMALS

READY = {"mm": (25, 50, 75, 100, 150, 200, 250, 300), "in": (1, 2, 3, 4, 6, 8, 10, 12)}
"""Finished sizes that stand ready-made, by their unit."""
_TOTAL = "total_shrinkage"


@dataclass(frozen=True)
class HelperBatch:
    """What one batch did, or any of several."""

    name: str
    """Name of the batch, or that any is meant."""
    mean: float
    """Mean total shrinkage, %."""
    low: float | None
    """Lower end of its confidence interval."""
    high: float | None
    """Upper end of it."""
    next_low: float | None
    """Lower end of the prediction interval for one further bar or piece."""
    next_high: float | None
    """Upper end of it."""
    dry_to_fired: float | None
    """Mean firing shrinkage, %; None where it was not measured."""


@dataclass(frozen=True)
class HelperDirection:
    """One direction of bars in one firing, or one dimension of real pieces that shrank otherwise than the bars."""

    name: str
    """Direction, or what stands for none; dimension with the number of pieces."""
    batches: tuple[HelperBatch, ...]
    """What can be chosen, all batches first."""
    wet_length_mm: float | None
    """Mean wet length measured on the bars or pieces, mm."""


@dataclass(frozen=True)
class HelperFiring:
    """One firing to choose."""

    name: str
    """Code, cone and temperature."""
    directions: tuple[HelperDirection, ...]
    """Directions and dimensions measured in it."""
    chosen: bool
    """True for the firing that answers for the body."""


@dataclass(frozen=True)
class SizeHelper:
    """The size helper of one body."""

    firings: tuple[HelperFiring, ...]
    """What can be chosen, coolest first."""
    sentences: dict[str, str]
    """Sentences of the script, with ``{blanks}``."""
    ready: Table
    """Sizes for the firing that answers for the body."""
    unit: str
    """Unit of these, and the first to choose: ``mm`` or ``in``."""


def size_helper(
    voice: Voice, groups: tuple[Tested, ...], choice: Choice, pieces: Sequence[PieceComparison], confidence: float
) -> SizeHelper | None:
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
            (*_directions(voice, sorted(some, key=lambda one: one is not choice.group)), *_pieces(voice, some, pieces)),
            some[0].firing == choice.group.firing,
        )
        for some in by_firing.values()
    )
    sentences = {name: voice.wording[f"helper.{name}"] for name in _SCRIPT_SENTENCES}
    sentences["level"] = voice.percent(confidence)
    return SizeHelper(firings, sentences, _ready_sizes(voice, choice.group), voice.length_unit)


_SCRIPT_SENTENCES = (
    "ask", "wrong", "wet", "finished_range", "mean_range", "no_range", "far", "dry", "about", "print", "print_size",
)  # fmt: skip


def _directions(voice: Voice, groups: list[Tested]) -> Iterator[HelperDirection]:
    for name, group in named_by_direction(voice, groups):
        several = len(group.batches) > 1
        all_of_them = voice.say("helper.any_batch") if several else batch_name(voice, "".join(group.batches))
        batches = [(all_of_them, group.quantities)]
        batches += [(batch_name(voice, one.batch), one.quantities) for one in group.by_batch] if several else []
        offered = (_batch(batch, own[_TOTAL], own.get("firing_shrinkage")) for batch, own in batches if _TOTAL in own)
        yield HelperDirection(name, tuple(offered), group.wet_length_mm)


def _pieces(voice: Voice, groups: list[Tested], pieces: Sequence[PieceComparison]) -> Iterator[HelperDirection]:
    """Yield the dimensions in which real pieces of these loads shrank otherwise than the bars."""
    loads = {load for one in groups for load in one.loads}
    for one in pieces:
        if one.differs and one.shrinkage and one.firing in loads:
            blanks = {"dimension": one.dimension, "pieces": voice.count("piece", one.pieces)}
            batch = _batch(voice.say("helper.these_pieces"), one.shrinkage, None)
            yield HelperDirection(voice.say("helper.dimension", **blanks), (batch,), one.wet_size_mm)


def _batch(name: str, total: QuantityResult, firing: QuantityResult | None) -> HelperBatch:
    return HelperBatch(
        name=name,
        mean=total.mean or 0.0,
        low=total.low,
        high=total.high,
        next_low=total.next_low,
        next_high=total.next_high,
        dry_to_fired=firing.mean if firing else None,
    )


def _ready_sizes(voice: Voice, group: Tested) -> Table:
    unit, total = voice.length_unit, group.quantities["total_shrinkage"]
    rows = [_ready_row(voice, fired, total) for fired in READY[unit]]
    names = ("finished_heading", "wet_heading", "range_heading")
    columns = columns_of(voice, "helper", names, names, unit=unit)
    where = ", ".join(part for part in (firing_name(voice, group), group.direction) if part)
    return table(voice.say("helper.ready_caption", where=where), columns, rows, key="ready-sizes")


def _ready_row(voice: Voice, fired: float, total: QuantityResult) -> list[str]:
    wet, decimals = fired / (1 - (total.mean or 0.0) / 100), LENGTH_DECIMALS[voice.length_unit]
    return [voice.number(fired, 0), voice.number(wet, decimals), voice.between(*finishes(wet, total), decimals)]


def finishes(wet: float, bars: HelperBatch | QuantityResult) -> tuple[float | None, float | None]:
    """Return where a further piece made in a wet size will finish, in the size's own unit."""
    low, high = (None if s is None else wet * (1 - s / 100) for s in (bars.next_high, bars.next_low))
    return low, high
