"""From wet to fired: how long a piece of the wet clay is at each stage; and what firing cannot change."""

from collections.abc import Iterator

from bodytest.quantities import QUANTITIES
from bodytest.report.body_part import Choice
from bodytest.report.charts.stages import StageLength, stage_chart
from bodytest.report.table import Column, Table, columns_of, table
from bodytest.report.wording import Voice
from bodytest.results import BeforeFiring
from bodytest.units import PIECE

_SHRINKAGES = {"leather-hard": "leather_hard_shrinkage", "dry": "drying_shrinkage", "fired": "total_shrinkage"}
"""What tells the length at a stage where too few bars were measured at all of them."""
_EXPANDED = 2.0
"""Coverage factor of the intervals: two standard uncertainties, about 95 %."""


def stage_section(voice: Voice, choice: Choice, before: tuple[BeforeFiring, ...]) -> dict[str, object] | None:
    """Return the stages of what answers for a body; None where no length was read at a second stage."""
    lengths = tuple(_lengths(voice, choice, PIECE[voice.length_unit] / 2.0))
    if len(lengths) < 2:
        return None
    told = [voice.say("stages.is", length=voice.length(one.length), stage=one.name) for one in lengths[1:]]
    message = voice.say(
        "stages.message", wet=voice.plain(lengths[0].length, voice.length_unit), lengths=voice.joined(told)
    )
    chart = stage_chart(voice, lengths, message)
    return {"message": message, "chart": chart, "before_firing": _before_firing(voice, before)}


def _lengths(voice: Voice, choice: Choice, wet: float) -> Iterator[StageLength]:
    yield StageLength(voice.say("stages.wet"), wet, wet, wet)
    stages = choice.programme.stages if choice.programme else {}
    known = {stage: (one.ratio_to_wet, one.standard_uncertainty) for stage, one in stages.items()}
    for stage, key in _SHRINKAGES.items() if not known else ():
        shrunk = choice.group.quantities.get(key)
        if shrunk is not None and shrunk.mean is not None:
            known[stage] = (1 - shrunk.mean / 100, (shrunk.standard_uncertainty or 0.0) / 100)
    for name, (ratio, u) in known.items():
        length, half = wet * ratio, wet * _EXPANDED * u
        yield StageLength(voice.say(f"stages.{name.replace('-', '_')}"), length, length - half, length + half)


def _before_firing(voice: Voice, before: tuple[BeforeFiring, ...]) -> Table | None:
    """Return one row for each direction; None where nothing was read before the firing."""
    measured = {key for one in before for key in one.quantities}
    shown = [quantity for quantity in QUANTITIES if quantity.key in measured]
    if not shown:
        return None
    columns = [
        *columns_of(voice, "firings", ("direction", "bars", "batches"), {"bars", "batches"}),
        *(Column(f"{q.name}, {q.unit}" if q.unit else q.name, numeric=True) for q in shown),
    ]
    rows = [
        [one.direction or voice.say("name.no_direction"), str(one.bars), str(len(one.batches)), *own]
        for one, *own in zip(
            before, *(voice.means([one.quantities.get(q.key) for one in before], q.digits) for q in shown), strict=True
        )
    ]
    note = voice.say("firings.before_water" if "water_of_plasticity" in measured else "firings.before_note")
    return table(voice.say("firings.before_caption"), columns, rows, note=note, key="before-firing")
