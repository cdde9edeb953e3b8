"""Batches over time: the mean of each batch in its order, and what it says."""

from dataclasses import dataclass, replace

from bodytest.analysis.timeline import FEWEST_BATCHES, Timeline, timelines
from bodytest.report.naming import firing_code
from bodytest.report.wording import Voice
from bodytest.results import Group, Results

_QUANTITY = "total_shrinkage"


@dataclass(frozen=True)
class TimelineSection:
    """Batches over time of one body."""

    timeline: Timeline
    """The series drawn."""
    message: str
    """First sentence of what it says."""
    further: str
    """The rest of it."""
    notes: tuple[str, ...]
    """Rules, and what to bear in mind."""


def timeline_section(voice: Voice, results: Results, group: Group) -> TimelineSection | None:
    """Return the batches over time, fired as the group that answers; None with fewer than three batches."""
    if "total_shrinkage" not in group.quantities:
        return None
    bars = results.bars
    own = bars[(bars["body"] == group.body) & (bars["direction"] == group.direction)]
    if own.loc[own["batch"] != "", "batch"].nunique() < FEWEST_BATCHES:
        return None
    found = [t for t in timelines(replace(results, bars=own), _QUANTITY) if len(t.points) >= FEWEST_BATCHES]
    if not found:
        return None
    chosen = max(found, key=lambda t: (len(t.points), any(group.firing in point.firings for point in t.points)))
    message, _, further = chosen.summary.partition(". ")
    rules = voice.say("timeline.rules", rules="; ".join(chosen.rules), where=chosen.fired or firing_code(voice, group))
    return TimelineSection(chosen, f"{message.removesuffix('.')}.", further, (rules, *chosen.notes))
