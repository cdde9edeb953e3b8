"""Everything that the page of one body shows, as finished strings."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from bodytest.report.charts.bars import bar_chart
from bodytest.report.charts.response import response_chart
from bodytest.report.charts.shares import share_chart
from bodytest.report.charts.svg import Chart
from bodytest.report.charts.timeline import timeline_chart
from bodytest.report.choice import Choice, answer_group
from bodytest.report.fired import fired_groups, firing_dates
from bodytest.report.sections.answer import Answer, answer
from bodytest.report.sections.audit import AuditSection, audit_section, report_number
from bodytest.report.sections.bars import BarSection, bar_section
from bodytest.report.sections.batches import BatchSection, batch_section
from bodytest.report.sections.certainty import CertaintySection, certainty_section
from bodytest.report.sections.comparisons import ComparisonSection, comparison_section
from bodytest.report.sections.firings import fired_count, firing_table, firings_message
from bodytest.report.sections.method import MethodSection, method_section
from bodytest.report.sections.next_steps import next_steps
from bodytest.report.sections.pieces import piece_table
from bodytest.report.sections.quantities import quantity_table
from bodytest.report.sections.response import ResponseSection, response_section
from bodytest.report.sections.sizes import SizeHelper, size_helper
from bodytest.report.sections.timeline import TimelineSection, timeline_section
from bodytest.report.table import Table
from bodytest.report.wording import Voice
from bodytest.results import FiringResponse, Group, Results

if TYPE_CHECKING:
    import pandas as pd

    from bodytest.tables import CheckedSheets


@dataclass(frozen=True)
class BodyPage:
    """The page of one body."""

    body: str
    """Name of the body."""
    file_name: str
    """Name of the page's file."""
    summary_line: str
    """Bars, firings, batches and dates in one line."""
    workshop: str
    """Who tested, ``""`` when the sheets do not say."""
    number: str
    """Number of the report."""
    date: str
    """Date of the report, ISO."""
    answer: Answer
    """The answer and its figures."""
    helper: SizeHelper | None
    """Size helper."""
    response: ResponseSection | None
    """Response to firing."""
    response_chart: Chart | None
    """Its chart."""
    response_absent: str
    """Why there is none."""
    firings_message: str
    """What the table by firing says."""
    firings: Table
    """Table by firing."""
    batches: BatchSection | None
    """Batches."""
    timeline: TimelineSection | None
    """Batches over time."""
    timeline_chart: Chart | None
    """Its chart."""
    comparisons: ComparisonSection | None
    """Batches, directions and places compared."""
    pieces: Table | None
    """Pieces compared with bars."""
    piece_sentences: tuple[str, ...]
    """What the pieces say."""
    bars: BarSection
    """Every bar."""
    bar_charts: tuple[Chart, ...]
    """Its charts."""
    certainty: CertaintySection | None
    """What limits the certainty."""
    certainty_chart: Chart | None
    """Its chart."""
    next_steps: tuple[str, ...]
    """What to do next."""
    method: MethodSection
    """Method."""
    quantities: Table
    """Every quantity with all its intervals."""
    audit: AuditSection
    """Findings, provenance, checklist."""


@dataclass(frozen=True)
class BodyPart:
    """The part of the results that is about one body."""

    body: str
    """Its name."""
    groups: tuple[Group, ...]
    """Its groups, coolest firing first."""
    choice: Choice
    """The group that answers for it."""
    bars: "pd.DataFrame"
    """Its bars, with ``place``: position of their group among its groups."""
    responses: tuple[FiringResponse, ...]
    """Its responses to firing, that of the answer's direction first."""


def body_parts(results: Results) -> tuple[BodyPart, ...]:
    """Split the results by body, in the order of the groups."""
    return tuple(_part(results, body) for body in dict.fromkeys(group.body for group in results.groups))


def _part(results: Results, body: str) -> BodyPart:
    places = [place for place, group in enumerate(results.groups) if group.body == body]
    groups = tuple(results.groups[place] for place in places)
    mine = results.bars[results.bars["group"].isin(places)]
    bars = mine.assign(place=mine["group"].map({place: number for number, place in enumerate(places)}))
    choice = answer_group(groups, str(mine["direction"].iloc[0]) if len(mine) else None)
    answering = choice.group.direction
    responses = sorted((r for r in results.responses if r.body == body), key=lambda r: r.direction != answering)
    return BodyPart(body, groups, choice, bars.reset_index(drop=True), tuple(responses))


def body_page(
    voice: Voice, results: Results, sheets: "CheckedSheets", part: BodyPart, *, file_name: str, today: date
) -> BodyPage:
    """Put together the page of one body."""
    choice = part.choice
    response = response_section(voice, part.responses, results.confidence)
    certainty = certainty_section(voice, choice)
    timeline = timeline_section(voice, results, choice.group)
    pieces = tuple(piece for piece in results.pieces if piece.body == part.body)
    return BodyPage(
        body=part.body,
        file_name=file_name,
        summary_line=summary_line(voice, part),
        workshop=results.lab.workshop or "",
        number=report_number(results, part.body),
        date=today.isoformat(),
        answer=answer(voice, choice, results.confidence),
        helper=size_helper(voice, part.groups, choice, results.confidence),
        response=response,
        response_chart=(
            response_chart(voice, part.responses, part.groups, part.bars, response.message) if response else None
        ),
        response_absent=voice.say("response.absent", firings=voice.count("firing", fired_count(part.groups))),
        firings_message=firings_message(voice, part.groups),
        firings=firing_table(voice, part.groups, results.confidence),
        batches=batch_section(voice, part.groups, choice, results.confidence),
        timeline=timeline,
        timeline_chart=timeline_chart(voice, timeline) if timeline else None,
        comparisons=comparison_section(voice, results, choice.group),
        pieces=piece_table(voice, pieces),
        piece_sentences=tuple(piece.sentence for piece in pieces),
        bars=bar_section(voice, part.groups, part.bars),
        bar_charts=_bar_charts(voice, part),
        certainty=certainty,
        certainty_chart=share_chart(voice, certainty, choice.group) if certainty else None,
        next_steps=next_steps(voice, choice, part.groups, part.responses, results.findings),
        method=method_section(voice, results, part.groups, choice.group),
        quantities=quantity_table(voice, part.groups, results.confidence),
        audit=audit_section(voice, results, sheets, part.groups, today),
    )


def _bar_charts(voice: Voice, part: BodyPart) -> tuple[Chart, ...]:
    keys = ["total_shrinkage", "absorption"]
    if not any("total_shrinkage" in group.quantities for group in part.groups):
        keys[0] = "drying_shrinkage"
    charts = [bar_chart(voice, part.groups, part.bars, key) for key in keys]
    return tuple(made for made in charts if made is not None)


def summary_line(voice: Voice, part: BodyPart) -> str:
    """Return ``118 bars · 4 firings · 3 batches · last fired 2026-02-10``."""
    firings = {group.firing for group in fired_groups(part.groups)}
    batches = {batch for group in part.groups for batch in group.batches if batch}
    dates = firing_dates(part.groups)
    parts = [voice.count("bar", len(part.bars))]
    parts += [voice.count("firing", len(firings))] if firings else []
    parts += [voice.count("batch", len(batches))] if batches else []
    parts += [voice.say("page.last_fired", date=dates[-1])] if dates else []
    return " · ".join(parts)
