"""The chance that pieces meant to be alike agree, and what accuracy or clearance it would take."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from bodytest.errors import NotMeasured, UnusableRequest
from bodytest.plan.measured import ONLY_ONE, Basis, Wanted, choose
from bodytest.plan.measures import parse_size
from bodytest.plan.overmaking import pieces_to_make
from bodytest.plan.ranges import Scatter, chance_above, chance_of_range
from bodytest.plan.stages import usable
from bodytest.results import Programme, QuantityResult, Summary
from bodytest.scope import SpeaksOf

Alike = Literal["same", "different"]
_MADE_SIGMAS = 1.96
"""95 % of pieces are made within the stated accuracy: normal, so the accuracy is this many standard deviations."""
MOST_PIECES = 1000
"""More than these are not asked for."""


@dataclass(frozen=True)
class Match:
    """What pieces are meant to do."""

    size: str
    """Finished size with its unit."""
    pieces: int = 2
    """How many are to agree."""
    within: str | None = None
    """Largest difference between any two of them, with its unit."""
    clearance: str | None = None
    """How much smaller one of two is planned, so that it fits into the other, with its unit."""
    made_within: str | None = None
    """Accuracy of making: 95 % of wet sizes are within this of what was meant; exact when None."""
    batches: Alike = "same"
    """Whether all pieces are of one batch, or each of its own."""
    loads: Alike = "same"
    """Whether all pieces are fired in one load, or each in its own."""
    chance: float = 0.95
    """Chance that is wanted, as a fraction."""
    lost: float = 0.0
    """Share of the pieces made that is lost, to cracks and warps."""


@dataclass(frozen=True)
class MatchPlan:
    """The answer."""

    body: str
    """Name of the body."""
    firing: str
    """The programme or the one load, in words."""
    direction: str
    """Direction of the bars."""
    speaks_of: SpeaksOf
    """Which batches and loads it holds for."""
    batch: str | None
    """Batch that it rests on, ``""`` where it has no name; None for a new batch."""
    unit: str
    """Unit in which the size was typed."""
    size_mm: float
    """Finished size, mm."""
    wet_mm: float
    """Wet size, mm."""
    pieces: int
    """How many are to agree."""
    batches: Alike
    """Whether all pieces are of one batch, or each of its own."""
    loads: Alike
    """Whether all pieces are fired in one load, or each in its own."""
    bars: int
    """Bars that the scatter was seen on."""
    made_within_mm: float
    """Accuracy of making, mm wet."""
    piece_sd_mm: float
    """Standard deviation of one finished piece from firing and making, mm."""
    within_mm: float | None
    """Largest difference allowed, mm."""
    chance_within: float | None
    """Chance that all agree within it; it allows for the scatter being known from few bars."""
    chance_within_known_scatter: float | None
    """The same if the bars had shown the scatter exactly."""
    clearance_mm: float | None
    """Planned difference of two pieces, mm."""
    chance_fits: float | None
    """Chance that the smaller of two goes into the larger."""
    wanted_chance: float
    """Chance that is wanted, as a fraction."""
    within_needed_mm: float
    """Difference that has to be allowed for the wanted chance, mm."""
    clearance_needed_mm: float
    """Clearance that the wanted chance takes, mm."""
    made_within_needed_mm: float | None
    """Accuracy of making that the wanted chance takes, mm wet; None when none is asked or no accuracy is enough."""
    lost: float
    """Share of the pieces made that is lost, as a fraction."""
    make: int | None
    """How many to make, so that as many as are to agree are among them with the wanted chance; None where no
    difference is allowed or the most that are told of are not enough."""
    make_chance: float | None
    """Chance of that with so many, or with the most."""
    make_chance_error: float | None
    """Standard error of that chance from simulating it."""
    notes: tuple[str, ...]
    """What has to be known about the answer, in sentences."""


def match(measured: Summary, wish: Match, *, wanted: Wanted = ONLY_ONE) -> MatchPlan:
    """Return the chance that pieces agree, from the scatter of bars and the accuracy of making.

    The mean shrinkage is the same for all pieces, so its uncertainty does not count.
    """
    basis = choose(measured, wanted)
    total = _total(basis)
    _check(wish)
    size = parse_size(wish.size)
    left = 1.0 - (total.mean or 0.0) / 100.0
    typed = (wish.within, wish.clearance, wish.made_within)
    within, clearance, made = (None if text is None else parse_size(text).value for text in typed)
    scatter = scatter_of(basis, total, wish, size.value / left)
    whole = _with_making(scatter, made or 0.0, left)
    return MatchPlan(
        **basis.told,
        direction=basis.group.direction,
        unit=size.unit,
        size_mm=size.value,
        wet_mm=size.value / left,
        pieces=wish.pieces,
        batches=wish.batches,
        loads=wish.loads,
        bars=total.n,
        made_within_mm=made or 0.0,
        piece_sd_mm=whole.known(),
        within_mm=within,
        **_agreeing(whole, wish, within),
        clearance_mm=clearance,
        chance_fits=None if clearance is None else chance_above(whole, clearance),
        wanted_chance=wish.chance,
        within_needed_mm=_where_zero(lambda limit: chance_of_range(whole, wish.pieces, limit) - wish.chance),
        clearance_needed_mm=_where_zero(lambda limit: chance_above(whole, limit) - wish.chance),
        made_within_needed_mm=_making_needed(scatter, wish, left, within, clearance),
        lost=wish.lost,
        notes=_notes(basis, wish),
    )


def _total(basis: Basis) -> QuantityResult:
    total = basis.quantities.get("total_shrinkage")
    if total is None or not usable(total):
        raise NotMeasured("stage-not-measured", value="wet", of=basis.of, there="dry")
    if total.sd is None:
        raise NotMeasured("scatter-not-measured", of=basis.of)
    return total


def _check(wish: Match) -> None:
    if not 2 <= wish.pieces <= MOST_PIECES:
        raise UnusableRequest("bad-piece-count", value=wish.pieces, most=MOST_PIECES)
    if not 0.5 < wish.chance < 1.0:
        raise UnusableRequest("bad-chance", value=f"{100 * wish.chance:g}")
    if not 0.0 <= wish.lost < 1.0:
        raise UnusableRequest("bad-lost", value=f"{100 * wish.lost:g}")
    if wish.lost and wish.within is None:
        raise UnusableRequest("lost-without-within")
    if wish.clearance and wish.pieces != 2:
        raise UnusableRequest("clearance-of-two", value=wish.pieces)
    if wish.clearance and parse_size(wish.clearance).value >= parse_size(wish.size).value:
        raise UnusableRequest("clearance-too-wide", value=wish.clearance, size=wish.size)


def scatter_of(basis: Basis, total: QuantityResult, wish: Match, wet_mm: float) -> Scatter:
    """Return the scatter of finished sizes from shrinkage alone: of bars, and of batches and loads that differ.

    Where batches and loads changed together, the one scatter that both have counts once. The degrees of freedom are
    those of an interval for one piece at the wanted chance: Welch and Satterthwaite's let pieces of two loads agree in
    88 % where 95 % were told.
    """
    from bodytest.stats.variance_parts import Part, half_width, matching_freedom, total_variance

    group = basis.group
    seen = {
        "batches": (total.batch_sd, sum("total_shrinkage" in batch.quantities for batch in group.by_batch)),
        "loads": (total.load_sd, len(group.loads)),
    }
    together = _changed_together(basis)
    levels = [count for sd, count in seen.values() if sd is not None]
    lost = max(levels, default=1) if together else 1 + sum(count - 1 for count in levels)
    within = (total.bar_sd if total.bar_sd is not None else total.sd or 0.0) ** 2
    parts = [(within, max(total.n - lost, 1))]
    differ = [kind for kind, wanted in (("batches", wish.batches), ("loads", wish.loads)) if wanted == "different"]
    for kind in differ[:1] if together else differ:
        sd, count = seen[kind]
        if sd is None:
            raise NotMeasured(f"{kind}-not-measured", of=basis.of)
        own = within * count / total.n  # the mean of a batch or load still holds so much of its bars' scatter
        parts[0] = (max(parts[0][0] - own, 0.0), parts[0][1])
        parts.append((sd**2 + own, max(count - 1, 1)))
    known = [Part("bars", np.asarray(part), freedom) for part, freedom in parts]
    variance = float(total_variance(known))
    freedom = float(matching_freedom(half_width(known, wish.chance), math.sqrt(variance), wish.chance))
    return Scatter(variance * (wet_mm / 100.0) ** 2, freedom, 0.0)


def _changed_together(basis: Basis) -> bool:
    return isinstance(basis.group, Programme) and basis.group.design == "confounded"


def _notes(basis: Basis, wish: Match) -> tuple[str, ...]:
    told = _changed_together(basis) and "different" in (wish.batches, wish.loads)
    further = (*((_TOGETHER,) if told else ()), *((_LOST_ALONE,) if wish.lost else ()))
    return (*basis.on_direction, *basis.notes, *further)


_TOGETHER = (
    "Each batch stood in a load of its own, so batches cannot be told from loads: what both do together is counted."
)

_LOST_ALONE = "Pieces are counted as lost one by one; a whole load that cracks is not counted."


def _agreeing(scatter: Scatter, wish: Match, within: float | None) -> dict[str, Any]:
    """Return the chances that pieces agree, and how many to make, by field of the plan."""
    if within is None:
        names = ("chance_within", "chance_within_known_scatter", "make", "make_chance", "make_chance_error")
        return dict.fromkeys(names)
    making = pieces_to_make(scatter, wish.pieces, within, lost=wish.lost, chance=wish.chance)
    return {
        "chance_within": chance_of_range(scatter, wish.pieces, within),
        "chance_within_known_scatter": chance_of_range(
            replace(scatter, degrees_of_freedom=math.inf), wish.pieces, within
        ),
        "make": making.made,
        "make_chance": making.chance,
        "make_chance_error": making.standard_error,
    }


def _with_making(scatter: Scatter, made_mm: float, left: float) -> Scatter:
    return replace(scatter, given=(made_mm / _MADE_SIGMAS * left) ** 2)


def _making_needed(
    scatter: Scatter, wish: Match, left: float, within: float | None, clearance: float | None
) -> float | None:
    """Return the accuracy of making at which the wanted chance is just reached."""

    def chance(made_mm: float) -> float:
        whole = _with_making(scatter, made_mm, left)
        agree = [] if within is None else [chance_of_range(whole, wish.pieces, within)]
        return min(agree if clearance is None else [*agree, chance_above(whole, clearance)])

    if (within is None and clearance is None) or chance(0.0) < wish.chance:
        return None
    return _where_zero(lambda made_mm: wish.chance - chance(made_mm))


def _where_zero(rising: Callable[[float], float]) -> float:
    """Return where a rising function crosses zero, 0 where it begins above."""
    from scipy.optimize import brentq

    high = 1.0
    while rising(high) < 0.0:
        high *= 2.0
    return float(brentq(rising, 0.0, high)) if rising(0.0) < 0.0 else 0.0
