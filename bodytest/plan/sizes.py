"""How big to make a piece at each stage, and the range in which the finished piece will fall."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from bodytest.errors import NotMeasured, UnusableRequest
from bodytest.plan.measured import ONLY_ONE, Basis, Wanted, choose, listed
from bodytest.plan.measures import Asked, parse_size
from bodytest.plan.stages import STAGES, Change
from bodytest.plan.trial_pieces import piece_notes, with_pieces
from bodytest.results import Programme, Summary
from bodytest.rounding import counted
from bodytest.scope import SpeaksOf
from bodytest.units import LENGTH_DECIMALS, LENGTH_IN_MM

FAR = 3.0
"""Sizes beyond the bars' length times this, or below it by as much, get a note (common practice, no source)."""


@dataclass(frozen=True)
class StageSize:
    """Size of the piece at one stage."""

    stage: str
    """wet, leather-hard, dry, bisque or fired."""
    size_mm: float
    """Size there, mm."""
    low_mm: float | None
    """Lower end of the interval from the uncertainty of the mean shrinkage, mm."""
    high_mm: float | None
    """Upper end of it, mm."""


@dataclass(frozen=True)
class SizePlan:
    """One size through all measured stages."""

    name: str | None
    """Name of the size or part, where one was given."""
    asked: str
    """Size as typed."""
    unit: str
    """Unit typed: mm, cm or in."""
    now: str
    """Stage at which the size was given; ``fired`` for a wanted finished size."""
    made_at: str
    """Stage at which the piece is given that size: ``now``, or the first one measured for a wanted finished size."""
    body: str
    """Name of the body."""
    firing: str
    """The programme by its shortest name, or the code of the one load."""
    programme: str | None
    """Id of the programme; None for one load."""
    speaks_of: SpeaksOf
    """Which batches and loads the ranges hold for."""
    direction: str
    """Direction of the bars that it rests on, or the dimension of the pieces."""
    batch: str | None
    """Batch that it rests on, ``""`` where it has no name; None for a new batch."""
    rests_on: str
    """``bars`` or ``pieces``."""
    bars: int
    """Bars or pieces that the finished size rests on."""
    confidence: float
    """Confidence of all ranges, as a fraction."""
    stages: tuple[StageSize, ...]
    """Each measured stage, in order."""
    fired_mm: float
    """Finished size expected, mm."""
    next_low_mm: float | None
    """Lower end of the range in which the finished piece will fall when made exactly so, mm."""
    next_high_mm: float | None
    """Upper end of it, mm."""
    within_mm: float | None
    """Allowed deviation from the wanted size, mm."""
    chance_within: float | None
    """Chance that the finished piece is within it, 0 to 1."""
    why_no_range: str | None
    """A sentence, when there is no range."""
    notes: tuple[str, ...]
    """What has to be known about the answer, in sentences."""

    def at(self, stage: str) -> StageSize | None:
        """Return the size at a stage, None when that stage was not measured."""
        return next((one for one in self.stages if one.stage == stage), None)


def sizes(
    measured: Summary,
    fired_sizes: str | Iterable[str],
    *,
    wanted: Wanted = ONLY_ONE,
    now: str = "fired",
    within: str | None = None,
    as_pieces: str | None = None,
) -> tuple[SizePlan, ...]:
    """Return a plan for each size; see `bodytest.library.plans.sizes`."""
    basis = choose(measured, wanted)
    if as_pieces is None:
        notes, kind = (*basis.on_direction, *basis.notes, *piece_notes(measured, basis)), "bars"
    else:
        basis = with_pieces(measured, basis, as_pieces)
        notes, kind = basis.notes, "pieces"
    allowed = None if within is None else parse_size(within).value
    way = _way_to_fired(basis, now, measured.confidence)
    notes = (*notes, *_borrowed_notes(basis, way))
    texts = [fired_sizes] if isinstance(fired_sizes, str) else fired_sizes
    plans = (_plan(basis, parse_size(text), way, measured.confidence, allowed) for text in texts)
    return tuple(replace(plan, rests_on=kind, notes=(*notes, *plan.notes)) for plan in plans)


def _borrowed_notes(basis: Basis, way: "_Way") -> Iterable[str]:
    """Yield what a piece may do in batches or loads that were not tested, by scatter known from elsewhere."""
    total = basis.quantities.get("total_shrinkage")
    if total is None or total.mean is None or total.borrowed is None or way.to_fired.keys != ("total_shrinkage",):
        return
    lent = total.borrowed
    ends = [
        (1.0 - shrinkage / 100.0) / (1.0 - total.mean / 100.0) - 1.0 for shrinkage in (lent.next_high, lent.next_low)
    ]
    known = {name: number for name, number in (("batch", lent.batches), ("load", lent.loads)) if number}
    other = " and ".join(f"any {name}" for name in known)
    rests = " and ".join(counted(number, name) for name, number in known.items())
    yield (
        f"For {other} by scatter known from elsewhere ({lent.from_}, {rests}), the finished piece may be"
        f" {100.0 * ends[0]:+.1f} to {100.0 * ends[1]:+.1f} % off.".replace("-", "\N{MINUS SIGN}")
    )


@dataclass(frozen=True)
class _Way:
    """From the stage at which the piece is given its size to the finished piece."""

    now: str
    made_at: str
    to_fired: Change


def _way_to_fired(basis: Basis, now: str, confidence: float) -> _Way:
    stage = now.strip().casefold().replace(" ", "-").replace("_", "-")
    if stage not in STAGES:
        raise UnusableRequest("unknown-stage", value=now, stages=listed(STAGES))
    there = [s for s in STAGES[:-1] if basis.change(s, "fired", confidence) is not None]
    made_at = there[0] if stage == "fired" else stage
    to_fired = basis.change(made_at, "fired", confidence)
    if to_fired is None:
        raise NotMeasured("stage-not-measured", value=stage, there=listed(there), of=basis.of)
    return _Way(stage, made_at, to_fired)


def _plan(basis: Basis, asked: Asked, way: _Way, confidence: float, within_mm: float | None) -> SizePlan:
    group = basis.group
    made_mm = asked.value / way.to_fired.ratio if way.now == "fired" else asked.value
    fired_mm = made_mm * way.to_fired.ratio
    next_low, next_high = _next_range(way.to_fired, made_mm, confidence)
    stages = tuple(_stage_sizes(basis, asked.value, way.now, confidence))
    return SizePlan(
        name=asked.name,
        asked=asked.text,
        unit=asked.unit,
        now=way.now,
        made_at=way.made_at,
        body=group.body,
        firing=group.firing,
        programme=group.id if isinstance(group, Programme) else None,
        speaks_of=basis.speaks_of,
        direction=group.direction,
        batch=basis.batch,
        rests_on="bars",
        bars=way.to_fired.bars,
        confidence=confidence,
        stages=stages,
        fired_mm=fired_mm,
        next_low_mm=next_low,
        next_high_mm=next_high,
        within_mm=within_mm,
        chance_within=_chance_within(way.to_fired, fired_mm, within_mm),
        why_no_range=way.to_fired.why_no_range,
        notes=_length_notes(stages, group.wet_length_mm, asked.unit),
    )


def _next_range(to_fired: Change, made_mm: float, confidence: float) -> tuple[float | None, float | None]:
    if to_fired.of_next is None:
        return None, None
    half = to_fired.of_next.half_width(confidence)
    return made_mm * max(to_fired.of_next.mean - half, 0.0), made_mm * (to_fired.of_next.mean + half)


def _stage_sizes(basis: Basis, given_mm: float, now: str, confidence: float) -> Iterable[StageSize]:
    for stage in STAGES:
        found = basis.change(now, stage, confidence)
        if found is not None:
            ends = [None if end is None else given_mm * end for end in (found.low, found.high)]
            yield StageSize(stage, given_mm * found.ratio, *ends)


def _chance_within(to_fired: Change, fired_mm: float, within_mm: float | None) -> float | None:
    """Return the chance that the finished piece is no further than ``within_mm`` from the expected size."""
    if within_mm is None or to_fired.of_next is None:
        return None
    made_mm = fired_mm / to_fired.ratio
    return to_fired.of_next.chance_between((fired_mm - within_mm) / made_mm, (fired_mm + within_mm) / made_mm)


def _length_notes(stages: tuple[StageSize, ...], bar_mm: float | None, unit: str) -> tuple[str, ...]:
    size_mm = stages[0].size_mm
    if bar_mm is None or bar_mm <= 0.0 or 1 / FAR <= size_mm / bar_mm <= FAR:
        return ()
    times = f"{size_mm / bar_mm:.1f} times" if size_mm > bar_mm else f"1/{bar_mm / size_mm:.0f} of"
    size, bar = (f"{mm / LENGTH_IN_MM[unit]:.{LENGTH_DECIMALS[unit] - 1}f} {unit}" for mm in (size_mm, bar_mm))
    return (
        f"{size} {stages[0].stage} is {times} the {bar} that were measured on the bars: nobody"
        " has tested whether a piece of that size shrinks as they did, so make one trial piece first.",
    )
