"""A shrinkage ruler: what it says, and how its marks are shared out over strips of paper."""

import math
from dataclasses import dataclass
from datetime import date

from bodytest.errors import NotMeasured, UnusableRequest
from bodytest.plan.measured import ONLY_ONE, Bars, Wanted, choose, listed
from bodytest.plan.stages import STAGES
from bodytest.plan.trial_pieces import with_pieces
from bodytest.results import Programme, Summary
from bodytest.rounding import counted, number_text
from bodytest.scope import SpeaksOf
from bodytest.units import degrees

PAPERS = {"A4": (297.0, 210.0), "Letter": (279.4, 215.9)}
"""Paper lying on its long side: width and height, mm."""
MARGIN = 15.0
"""Left and right of a strip, mm; printers cannot print to the edge."""
LONGEST_MM = 3000.0
"""No longer ruler is drawn."""


@dataclass(frozen=True)
class Ruler:
    """What a ruler rests on and says."""

    body: str
    """Name of the body."""
    firing: str
    """Code of the firing, with its cone or temperature."""
    direction: str
    """Direction of the bars, or dimension of the pieces."""
    speaks_of: SpeaksOf
    """Which batches and loads it holds for."""
    batch: str | None
    """Batch that it rests on, ``""`` where it has no name; None for a new batch."""
    stage: str
    """Stage of the clay that is measured with it."""
    factor: float
    """Distance on the ruler over finished size."""
    low: float | None
    """Lower end of the interval of the factor."""
    high: float | None
    """Upper end of it."""
    why_no_range: str | None
    """A sentence, when there is no interval."""
    confidence: float
    """Confidence of the interval, as a fraction."""
    rests_on: str
    """How many bars or pieces."""
    made_on: date
    """Date on it."""
    notes: tuple[str, ...] = ()
    """What has to be known about it, in sentences."""

    @property
    def origin(self) -> str:
        """Body, firing, direction, what it rests on, and date."""
        parts = (self.body, self.firing, self.direction, self.rests_on, self.made_on.isoformat())
        return " · ".join(" ".join(part.split()) for part in parts if part)

    @property
    def factor_text(self) -> str:
        """The factor with its range."""
        stage = f"{self.stage} = finished × {number_text(self.factor, 4)}"
        if self.low is None or self.high is None:
            return f"{stage} (no range: one {self.rests_on.split(' ')[-1].rstrip('s')})"
        percent = f"{100 * self.confidence:g} %"
        return f"{stage} ({number_text(self.low, 4)} to {number_text(self.high, 4)}, {percent})"

    @property
    def whom_text(self) -> str:
        """Which batches and loads it speaks of."""
        return f"speaks of {' '.join(self.speaks_of.words(self.batch).split())}"


@dataclass(frozen=True)
class Strip:
    """One strip: the finished sizes that it shows, in its unit."""

    start: int
    """First mark: whole centimetres or inches."""
    end: int
    """Last mark."""
    joins: tuple[tuple[int, str], ...]
    """Where it is laid on its neighbours: mark and letter."""


def ruler(
    measured: Summary,
    *,
    made_on: date,
    wanted: Wanted = ONLY_ONE,
    stage: str = "wet",
    as_pieces: str | None = None,
) -> Ruler:
    """Return the ruler for a body, firing and direction, for clay at a stage, usually wet or leather-hard.

    ``as_pieces`` is a dimension of the Pieces table whose shrinkage is taken in place of the bars'.

    Raises:
        NotMeasured: nobody measured that.
        UnusableRequest: no such stage.
    """
    basis = choose(measured, wanted)
    if as_pieces is not None:
        basis = with_pieces(measured, basis, as_pieces)
    stage = stage.strip().casefold().replace(" ", "-")
    if stage not in STAGES[:-1]:
        raise UnusableRequest("unknown-stage", value=stage, stages=listed(STAGES[:-1]))
    found = basis.change("fired", stage, measured.confidence)
    if found is None:
        there = listed(s for s in STAGES[:-1] if basis.change("fired", s, measured.confidence))
        raise NotMeasured("stage-not-measured", value=stage, there=there, of=basis.of)
    return Ruler(
        body=basis.group.body,
        firing=_firing(basis.group, measured.temperature_unit),
        direction=basis.group.direction,
        speaks_of=basis.speaks_of,
        batch=basis.batch,
        stage=stage,
        factor=found.ratio,
        low=found.low,
        high=found.high,
        why_no_range=found.why_no_range,
        confidence=measured.confidence,
        rests_on=counted(found.bars, "bar" if as_pieces is None else "piece"),
        made_on=made_on,
        notes=(*basis.on_direction, *basis.notes),
    )


def _firing(group: Bars, unit: str) -> str:
    if isinstance(group, Programme):
        return group.called
    heat = f"cone {group.cone}" if group.cone else ""
    if not heat and group.peak_temperature_c is not None:
        heat = f"{number_text(degrees(group.peak_temperature_c, unit), 0)} {unit}"
    return f"firing {group.firing} ({heat})" if heat and group.firing else heat or f"firing {group.firing}".rstrip()


def strips(longest: float | None, unit_on_paper: float, room: float) -> tuple[Strip, ...]:
    """Share marks from 0 to ``longest`` out over strips that overlap by two units and are joined in the middle.

    As few strips as possible, all about equally long.

    Parameters:
        longest: finished length wanted, in whole units or a part of one; None for one strip as long as the room.
        unit_on_paper: a unit as drawn, mm.
        room: length of a strip, mm.

    >>> strips(30, 11.0, 200.0)
    (Strip(start=0, end=16, joins=((15, 'A'),)), Strip(start=14, end=30, joins=((15, 'A'),)))
    >>> strips(None, 11.0, 200.0)
    (Strip(start=0, end=18, joins=()),)
    """
    most = int(room / unit_on_paper + 1e-9)
    last = most if longest is None else math.ceil(longest - 1e-9)
    if most < 3:
        raise UnusableRequest("strip-too-short", value=f"{unit_on_paper:.0f}")
    count = max(1, math.ceil((last - 2) / (most - 2)))
    each = math.ceil((last + 2 * (count - 1)) / count)
    starts = [number * (each - 2) for number in range(count)]
    return tuple(
        Strip(start, min(start + each, last), _joins(start, start + each, number, count))
        for number, start in enumerate(starts)
    )


def _joins(start: int, end: int, number: int, count: int) -> tuple[tuple[int, str], ...]:
    """Return the marks in the middle of both overlaps."""
    before = ((start + 1, _letter(number - 1)),) if number > 0 else ()
    after = ((end - 1, _letter(number)),) if number < count - 1 else ()
    return (*before, *after)


def _letter(number: int) -> str:
    """Return A, B … Z, AA, AB … for joins."""
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    return letters[number] if number < 26 else letters[number // 26 - 1] + letters[number % 26]
