"""Results in, plans out: sizes, matches, masses of clay and capacities."""

from collections.abc import Iterable
from dataclasses import fields
from typing import Any, Unpack

from bodytest.errors import UnusableRequest
from bodytest.library.asked import Choice, shown, the_measured, the_number, the_text, the_texts, the_wanted, the_word
from bodytest.plan import amounts, matching
from bodytest.plan import sizes as planning
from bodytest.plan.matching import MOST_PIECES, Alike, Match, MatchPlan
from bodytest.results import Summary


def sizes(
    results: Summary,
    fired_sizes: str | Iterable[str],
    *,
    now: str = "fired",
    within: str | None = None,
    as_pieces: str | None = None,
    **choice: Unpack[Choice],
) -> tuple[planning.SizePlan, ...]:
    """Return for each finished size what to make it wet, leather-hard and dry, and the range it will finish in.

    Parameters:
        results: what `analyse` or `read_results` returned.
        fired_sizes: one size or several, with units, e.g. ``"200mm"`` or ``"height=7.5in"``.
        now: stage at which the sizes are given: ``fired`` for wanted finished sizes, else what the pieces measure now.
        within: allowed deviation of the finished size, with unit; then the chance is told.
        as_pieces: a dimension of the Pieces table whose shrinkage is taken in place of the bars'.
        choice: body, programme, firing, direction, batch, load; see `bodytest.library.asked.Choice`.

    Raises:
        NotMeasured: nobody measured that body, programme, firing, direction, batch or stage.
        UnusableRequest: a size, unit or choice that cannot be meant.
    """
    measured, texts = the_measured(results), the_texts(fired_sizes, "size")
    the_text(within, "within"), the_text(as_pieces, "as_pieces")
    if not isinstance(now, str):
        raise UnusableRequest("not-a-text", value=shown(now), what="now")
    wanted = the_wanted(choice)
    return planning.sizes(measured, texts, wanted=wanted, now=now, within=within, as_pieces=as_pieces)


class Wish(Choice, total=False):
    """What pieces are to agree in, besides the bars that the answer rests on."""

    pieces: int
    """How many are to agree; two when left out."""
    within: str | None
    """Largest difference between any two finished pieces, with unit."""
    clearance: str | None
    """How much smaller one of two is planned, finished, with unit."""
    made_within: str | None
    """Accuracy of making: 95 % of wet sizes are this close to what was meant; exact when left out."""
    batches: Alike
    """``same``, or ``different`` where each is of another batch."""
    loads: Alike
    """``same``, or ``different`` where each is fired in another load."""
    chance: float
    """The chance wanted, as a fraction; 0.95 when left out."""
    lost: float
    """Share of the pieces made that is lost, as a fraction; none when left out."""


def match(results: Summary, size: str, **wish: Unpack[Wish]) -> MatchPlan:
    """Return the chance that pieces of a finished size agree, from the scatter of bars and the accuracy of making.

    Raises:
        NotMeasured: nobody measured that.
        UnusableRequest: something that cannot be meant.
    """
    measured, (text,) = the_measured(results), the_texts([size], "size")
    given: dict[str, Any] = dict(wish)
    own = {one.name: given.pop(one.name) for one in fields(Match) if one.name in given}
    wanted = the_wanted(given, Wish)
    for name in ("within", "clearance", "made_within"):
        the_text(own.get(name), name)
    for name in ("batches", "loads"):
        the_word(own.get(name, "same"), name, ("same", "different"))
    the_number(own.get("pieces"), "pieces", 2, MOST_PIECES), the_number(own.get("chance"), "chance", 0.5, 0.9999)
    the_number(own.get("lost"), "lost", 0.0, 0.9999)
    return matching.match(measured, Match(text, **own), wanted=wanted)


def clay_masses(
    results: Summary, fired_masses: str | Iterable[str], **choice: Unpack[Choice]
) -> tuple[amounts.MassPlan, ...]:
    """Return the mass of wet clay that becomes each finished mass, given with units; choices as for `sizes`.

    Raises:
        NotMeasured: that body was not weighed dry and fired.
        UnusableRequest: a mass, unit or choice that cannot be meant.
    """
    measured, texts = the_measured(results), the_texts(fired_masses, "mass")
    return amounts.clay_masses(measured, texts, wanted=the_wanted(choice))


def wet_capacities(
    results: Summary,
    fired_capacities: str | Iterable[str],
    *,
    height_direction: str | None = None,
    **choice: Unpack[Choice],
) -> tuple[amounts.CapacityPlan, ...]:
    """Return the capacity to make wet for each finished one, given with units; choices as for `sizes`.

    ``height_direction`` is the direction of the bars that shows how height shrinks; None: as width does.

    Raises:
        NotMeasured: nobody measured that.
        UnusableRequest: a capacity, unit or choice that cannot be meant.
    """
    measured, texts = the_measured(results), the_texts(fired_capacities, "capacity")
    wanted, height = the_wanted(choice), the_text(height_direction, "height_direction")
    return amounts.wet_capacities(measured, texts, wanted=wanted, height_direction=height)
