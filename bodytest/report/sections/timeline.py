"""Batches over time: the mean of each batch in its order, and what it says."""

from bodytest.analysis.timeline import FEWEST_BATCHES
from bodytest.over_time import Timeline
from bodytest.report.charts.timeline import timeline_chart
from bodytest.report.table import Table, columns_of, table
from bodytest.report.tested import Tested
from bodytest.report.wording import Voice
from bodytest.results import Programme, Results

_QUANTITY = "total_shrinkage"


def timeline_section(voice: Voice, results: Results, group: Tested) -> dict[str, object] | None:
    """Return the batches over time, fired to one programme, that of the answer where it has as many as any.

    None with fewer than three batches; of the control body, loads stand in place of batches.
    """
    if _QUANTITY not in group.quantities:
        return None
    found = [
        one
        for one in results.timelines
        if (one.body, one.quantity, one.direction) == (group.body, _QUANTITY, group.direction)
        and len(one.points) >= FEWEST_BATCHES
    ]
    if not found:
        return None
    mine = group.programme if isinstance(group, Programme) else group.firing
    chosen = max(found, key=lambda one: (len(one.points), one.fired == mine))
    rules = f"{voice.say('timeline.rules', where=chosen.fired)} {'; '.join(chosen.rules)}."
    uncorrected = [voice.say("timeline.no_control")] if chosen.kind == "clay" and chosen.load_sd is None else []
    corrections = _corrections(voice, chosen)
    apart = [voice.say("timeline.apart")] if corrections else []
    return {
        "chart": timeline_chart(voice, chosen),
        "further": chosen.summary.removeprefix(chosen.message).strip(),
        "notes": (*uncorrected, *apart, *chosen.notes, rules),
        "corrections": corrections,
    }


def _corrections(voice: Voice, shown: Timeline) -> Table | None:
    """Return the batches as measured and as corrected for their loads; None without control bars."""
    if all(point.corrected is None for point in shown.points):
        return None
    numeric = ("measured", "corrected")
    columns = columns_of(voice, "timeline", ("batches.batch", "loads.firing", *numeric), numeric)
    rows = [
        [
            point.batch,
            ", ".join(point.firings),
            _with_uncertainty(voice, point.mean, point.measured_uncertainty),
            _with_uncertainty(voice, point.corrected, point.corrected_uncertainty)
            if point.corrected is not None
            else voice.say("timeline.not_corrected"),
        ]
        for point in shown.points
    ]
    note = voice.say("timeline.corrections_note")
    return table(voice.say("timeline.corrections_caption"), columns, rows, note=note, key="corrections")


def _with_uncertainty(voice: Voice, mean: float | None, uncertainty: float | None) -> str:
    return voice.number(mean, 2) + ("" if uncertainty is None else f" ± {voice.number(2 * uncertainty, 2)}")
