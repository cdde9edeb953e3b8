"""Everything that the page of one body shows, as finished strings."""

from dataclasses import dataclass
from datetime import date

from bodytest.report.body_part import BodyPart
from bodytest.report.charts.bars import bar_chart
from bodytest.report.charts.pairs import pair_chart
from bodytest.report.charts.response import response_chart
from bodytest.report.charts.stages import stage_chart
from bodytest.report.charts.svg import Chart
from bodytest.report.charts.timeline import timeline_chart
from bodytest.report.fired import firing_dates, is_fired
from bodytest.report.naming import body_name
from bodytest.report.sections.answer import Answer, answer
from bodytest.report.sections.audit import AuditSection, audit_section, report_number, report_title
from bodytest.report.sections.bars import BarSection, bar_section
from bodytest.report.sections.batches import BatchSection, batch_section
from bodytest.report.sections.certainty import CertaintySection, certainty_section
from bodytest.report.sections.comparisons import ComparisonSection, comparison_section
from bodytest.report.sections.firings import firing_table, firings_message
from bodytest.report.sections.loads import LoadSection, load_section
from bodytest.report.sections.method import MethodSection, method_section
from bodytest.report.sections.next_steps import next_steps
from bodytest.report.sections.pieces import PieceSection, piece_section
from bodytest.report.sections.quantities import quantity_table
from bodytest.report.sections.response import ResponseSection, response_absent, response_section
from bodytest.report.sections.sizes import SizeHelper, size_helper
from bodytest.report.sections.stages import StageSection, stage_section
from bodytest.report.sections.timeline import TimelineSection, timeline_section
from bodytest.report.table import Table
from bodytest.report.wording import Voice
from bodytest.results import Results


@dataclass(frozen=True)
class Head:
    """The head of one body's page."""

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


def head(voice: Voice, results: Results, part: BodyPart, file_name: str, today: date) -> Head:
    """Return the head of a body's page."""
    number = report_number(results, part.body)
    name = body_name(voice, part.body)
    return Head(name, file_name, summary_line(voice, part), results.lab.workshop or "", number, today.isoformat())


def summary_line(voice: Voice, part: BodyPart) -> str:
    """Return ``118 bars · 4 programmes · 6 loads · 3 batches · last fired 2026-02-10``."""
    programmes = {one.firing for one in part.programmes if is_fired(one)}
    loads = {group.firing for group in part.groups if is_fired(group)}
    batches = {batch for group in part.groups for batch in group.batches if batch}
    dates = firing_dates(part.groups)
    parts = [voice.count("bar", len(part.bars))]
    parts += [voice.count("programme", len(programmes))] if programmes else []
    parts += [voice.count("load", len(loads))] if loads else []
    parts += [voice.count("batch", len(batches))] if batches else []
    parts += [voice.say("page.last_fired", date=dates[-1])] if dates else []
    return " · ".join(parts)


@dataclass(frozen=True)
class Charts:
    """The charts of one body."""

    response: Chart | None
    """Shrinkage and absorption against temperature."""
    timeline: Chart | None
    """Batches over time."""
    bars: tuple[Chart, ...]
    """Every bar, one chart for each quantity, then one quantity against the other."""
    stages: Chart | None
    """Lengths from wet to fired."""


@dataclass(frozen=True)
class BodyPage:
    """The page of one body."""

    head: Head
    """Which body and which report."""
    answer: Answer
    """The answer and its figures."""
    helper: SizeHelper | None
    """Size helper."""
    helper_absent: str
    """Why there is none, where there is none."""
    response: ResponseSection | None
    """Response to firing."""
    response_absent: str
    """Why there is none, where there is none."""
    firings_message: str
    """What the table by programme says."""
    firings: Table
    """Table by programme."""
    loads: LoadSection | None
    """Loads of programmes fired more than once."""
    stages: StageSection | None
    """From wet to fired."""
    batches: BatchSection | None
    """Batches."""
    timeline: TimelineSection | None
    """Batches over time."""
    comparisons: ComparisonSection | None
    """Batches, directions and places compared."""
    pieces: PieceSection | None
    """Pieces compared with bars."""
    bars: BarSection
    """Every bar."""
    certainty: CertaintySection | None
    """What limits the certainty."""
    next_steps: tuple[str, ...]
    """What to do next."""
    method: MethodSection
    """Method."""
    quantities: Table
    """Every quantity with all its intervals."""
    audit: AuditSection
    """Findings, provenance, checklist."""
    charts: Charts
    """The charts."""


def body_page(voice: Voice, results: Results, part: BodyPart, *, file_name: str, today: date) -> BodyPage:
    """Put together the page of one body."""
    choice = part.choice
    response = response_section(voice, part.responses, part.groups, results.confidence)
    stages = stage_section(voice, choice, part.before_firing)
    timeline = timeline_section(voice, results, choice.group)
    pieces = tuple(piece for piece in results.pieces if piece.body == part.body)
    title = report_title(voice, results, part.body)
    method = method_section(voice, results, part.tested, choice.group)
    return BodyPage(
        head=head(voice, results, part, file_name, today),
        answer=answer(voice, choice, pieces, results.confidence, results.length_unit),
        helper=size_helper(voice, part.planned, choice, pieces, results),
        helper_absent=voice.say("helper.doubted" if choice.doubt else "helper.absent"),
        response=response,
        response_absent=response_absent(voice, part.tested),
        firings_message=firings_message(voice, part.tested),
        firings=firing_table(voice, part.tested, results.confidence),
        loads=load_section(voice, results, part),
        stages=stages,
        batches=batch_section(voice, part.tested, choice, results.confidence),
        timeline=timeline,
        comparisons=comparison_section(voice, results, choice.group),
        pieces=piece_section(voice, pieces),
        bars=bar_section(voice, part.tested, part.bars),
        certainty=certainty_section(voice, choice),
        next_steps=next_steps(voice, choice, part.tested, part.responses, results.findings),
        method=method,
        quantities=quantity_table(voice, part.tested, part.before_firing, results.confidence),
        audit=audit_section(voice, results, part.groups, today, title, departs=bool(method.deviations)),
        charts=_charts(voice, part, response, timeline, stages),
    )


def _charts(
    voice: Voice,
    part: BodyPart,
    response: ResponseSection | None,
    timeline: TimelineSection | None,
    stages: StageSection | None,
) -> Charts:
    return Charts(
        response_chart(voice, part, response.message) if response else None,
        timeline_chart(voice, timeline) if timeline else None,
        _bar_charts(voice, part),
        stage_chart(voice, stages) if stages else None,
    )


def _bar_charts(voice: Voice, part: BodyPart) -> tuple[Chart, ...]:
    fired = any("total_shrinkage" in group.quantities for group in part.tested)
    keys = ("total_shrinkage" if fired else "drying_shrinkage", "absorption")
    bars = part.bars.assign(place=part.bars["tested"])
    made = (*(bar_chart(voice, part.tested, bars, key) for key in keys), pair_chart(voice, part))
    return tuple(one for one in made if one is not None)
