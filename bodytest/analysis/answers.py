"""Which firing programme answers for a body, and whether it is known well enough to plan with."""

from collections.abc import Sequence

from bodytest.analysis.response_levels import celsius_of, heat_of
from bodytest.results import Answer, Programme, QuantityResult

WIDEST_POINTS = 1.0
"""Half-width of the total shrinkage, percentage points, beyond which nobody can plan with it (our own bound)."""
WIDEST_TOLERANCES = 3.0
"""The same, in stated shrinkage tolerances."""
_SIZES = ("total_shrinkage", "firing_shrinkage")


def answers(programmes: Sequence[Programme], tolerance_points: float | None) -> tuple[Answer, ...]:
    """Return the answer of each body, in the order of the programmes.

    Parameters:
        programmes: of all bodies.
        tolerance_points: what difference in shrinkage matters here, percentage points; None where not stated.
    """
    bodies = dict.fromkeys(one.body for one in programmes)
    return tuple(_answer(body, [one for one in programmes if one.body == body], tolerance_points) for body in bodies)


def _answer(body: str, programmes: list[Programme], tolerance_points: float | None) -> Answer:
    sized = [one for one in programmes if any(_usable(one.quantities.get(key)) for key in _SIZES)]
    if not sized:
        of_body = f" of {body}" if body else ""
        sentence = (
            f"No bar{of_body} has a length from before the firing and one from after it, so no size can be given yet."
        )
        return Answer(body, None, False, "unfired", sentence)
    chosen, reason = _choose(sized)
    doubt = _doubt(chosen, tolerance_points)
    known = doubt is None
    sentence = doubt or _WHY[reason].format(body=body, programme=chosen.called)
    stated = any(chosen.quantities[key].stated for key in _SIZES if key in chosen.quantities)
    return Answer(body, chosen.id, known, reason, sentence + _STATED if stated else sentence)


_STATED = " It rests on shrinkages that the sheet states without readings."


def _usable(quantity: QuantityResult | None) -> bool:
    return quantity is not None and quantity.mean is not None


_WHY = {
    "only": "Planned with {programme}, the only firing of {body} so far.",
    "final": "Planned with {programme}, marked as the final firing of {body}.",
    "coolest_tight": "Planned with {programme}, the coolest firing at which {body} keeps its limits.",
    "densest": "Planned with {programme}, at which {body} was densest without swelling.",
    "least_absorption": "Planned with {programme}, at which {body} was densest; no firing is shown to keep its limits.",
}


def _choose(sized: list[Programme]) -> tuple[Programme, str]:
    """Return the programme that answers, of its directions the one with most bars, and the reason."""
    known = [one for one in sized if celsius_of(one) is not None] or sized
    if len({one.programme for one in sized}) == 1:
        return _most_bars(sized), "only"
    tried = [one for one in known if one.purpose != "bisque"] or known
    final = [one for one in tried if one.purpose == "final"]
    if final and not all(one.overfired for one in final):
        chosen, _ = _by_behaviour(final)
        return _of(final, chosen), "final"
    return _by_behaviour(tried)


def _by_behaviour(programmes: list[Programme]) -> tuple[Programme, str]:
    with_several_bars = [one for one in programmes if one.bars > 1]
    sound = _not_past_the_peak(with_several_bars or programmes)
    tight = [one for one in sound if one.would_meet == "meets"]
    if tight:
        return _of(tight, min(tight, key=heat_of)), "coolest_tight"
    limited = any(one.would_meet is not None for one in sound)
    densest = min(sound, key=_openness)
    return _of(sound, densest), "least_absorption" if limited else "densest"


def _not_past_the_peak(programmes: list[Programme]) -> list[Programme]:
    """Leave out firings at which the body has begun to swell, hotter than that of the greatest shrinkage.

    One that is seen to swell in one direction is left out in all, while there are others.
    """
    swollen = {one.programme for one in programmes if one.overfired}
    programmes = [one for one in programmes if one.programme not in swollen] or programmes
    kept: list[Programme] = []
    for direction in dict.fromkeys(one.direction for one in programmes):
        mine = [one for one in programmes if one.direction == direction]
        key = next(key for key in _SIZES if any(_usable(one.quantities.get(key)) for one in mine))
        measured = [one for one in mine if _usable(one.quantities.get(key))]
        peak = max(measured, key=lambda one: one.quantities[key].mean or 0.0)
        kept += [one for one in mine if heat_of(one) <= heat_of(peak)]
    return kept


def _openness(one: Programme) -> tuple[float, float]:
    """Sort the densest first: by absorption, without it by shrinkage."""
    absorbed = one.quantities.get("absorption")
    shrinkage = next((found.mean for key in _SIZES if (found := one.quantities.get(key))), None)
    return (absorbed.mean if absorbed and absorbed.mean is not None else 0.0, -(shrinkage or 0.0))


def _of(programmes: list[Programme], chosen: Programme) -> Programme:
    return _most_bars([one for one in programmes if one.programme == chosen.programme])


def _most_bars(programmes: list[Programme]) -> Programme:
    """Return the one with the most bars whose shrinkage was measured; the first of equals."""
    return max(programmes, key=lambda one: max(one.quantities[key].n for key in _SIZES if key in one.quantities))


def _doubt(one: Programme, tolerance_points: float | None) -> str | None:
    """Return why the size factor is not known well enough to plan with and what to do, None where it is."""
    total = one.quantities.get("total_shrinkage")
    half = total.half_width if total else None
    if half is None:
        return None
    allowed = min(WIDEST_POINTS, WIDEST_TOLERANCES * tolerance_points) if tolerance_points else WIDEST_POINTS
    if half <= allowed:
        return None
    more = "bars" if len(one.loads) * len(one.batches) == 1 else "loads or batches"
    return (
        f"How much {one.body} shrinks at {one.called} is known to ± {half:.1f} percentage points only, too little to"
        f" plan with (at most ± {allowed:.1f}). Look at the readings that stand apart, or test more {more}."
    )
