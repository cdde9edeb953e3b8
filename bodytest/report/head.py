"""What stands over a page: which body, who tested it, and which report this is."""

from dataclasses import dataclass
from datetime import date

from bodytest.report.body_part import BodyPart
from bodytest.report.fired import firing_dates, is_fired
from bodytest.report.naming import body_name
from bodytest.report.sections.audit import report_number
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
