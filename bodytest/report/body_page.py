"""Everything that the page of one body shows, as finished strings."""

from dataclasses import dataclass
from datetime import date

from bodytest.analysis.response_levels import celsius_of
from bodytest.report.body_part import BodyPart
from bodytest.report.sections.answer import Answer, answer
from bodytest.report.sections.audit import audit_section, report_number
from bodytest.report.sections.bars import bar_section
from bodytest.report.sections.certainty import certainty_section
from bodytest.report.sections.comparisons import comparison_section, piece_section, why_wide
from bodytest.report.sections.firings import firing_table, firings_message
from bodytest.report.sections.loads import batch_section, load_section
from bodytest.report.sections.method import method_section
from bodytest.report.sections.next_steps import next_steps
from bodytest.report.sections.quantities import quantity_table
from bodytest.report.sections.response import response_absent, response_section
from bodytest.report.sections.sizes import SizeHelper, size_helper
from bodytest.report.sections.stages import stage_section
from bodytest.report.sections.timeline import timeline_section
from bodytest.report.tested import body_name, is_fired
from bodytest.report.wording import Voice
from bodytest.results import Decision, QuantityResult, Results


def summary_line(voice: Voice, part: BodyPart) -> str:
    """Return ``118 bars · 4 programmes · 6 loads · 3 batches · last fired 2026-02-10``."""
    programmes = {one.firing for one in part.programmes if is_fired(one)}
    loads = {group.firing for group in part.groups if is_fired(group)}
    parts = [voice.count("bar", len(part.bars))]
    parts += [voice.count("programme", len(programmes))] if programmes else []
    parts += [voice.count("load", len(loads))] if loads else []
    parts += [voice.count("batch", len(part.batches))] if part.batches else []
    parts += [voice.say("page.last_fired", date=part.last_fired)] if part.last_fired else []
    return " · ".join(parts)


@dataclass(frozen=True)
class BodyPage:
    """The page of one body, which is compared with those of others."""

    part: BodyPart
    """Its part of the results."""
    body: str
    """Name of the body."""
    file_name: str
    """Name of the page's file."""
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
    pieces_note: str
    """Why a factor from real pieces is known badly; ``""`` elsewhere."""
    response_absent: str
    """Why there is no response to firing, where there is none."""
    next_steps: tuple[str, ...]
    """What to do next."""
    sections: dict[str, object]
    """All that its own template alone shows, by name."""

    def measured(self, key: str) -> QuantityResult | None:
        """Return a quantity of the bars that answer for it, None where it has no mean."""
        found = self.part.choice.group.quantities.get(key)
        return found if found and found.mean is not None else None

    @property
    def decision(self) -> Decision | None:
        """Whether its absorption meets the limit; None without a limit."""
        absorbed = self.measured("absorption")
        return absorbed.decision if absorbed else None

    @property
    def celsius(self) -> float | None:
        """Temperature of the firing that answers for it, °C."""
        return celsius_of(self.part.choice.group)


def body_page(voice: Voice, results: Results, part: BodyPart, *, file_name: str, today: date) -> BodyPage:
    """Put together the page of one body."""
    choice, level = part.choice, results.confidence
    pieces = tuple(piece for piece in results.pieces if piece.body == part.body)
    steps = next_steps(voice, choice, part.tested, part.responses, results.findings)
    sections: dict[str, object] = {
        "summary_line": summary_line(voice, part),
        "helper_absent": voice.say("helper.doubted" if choice.doubt else "helper.absent"),
        "response": response_section(voice, part, level),
        "firings_message": firings_message(voice, part.tested),
        "firings": firing_table(voice, part.tested, level),
        "loads": load_section(voice, results, part),
        "stages": stage_section(voice, choice, part.before_firing),
        "batches": batch_section(voice, part.tested, choice, level),
        "timeline": timeline_section(voice, results, choice.group),
        "comparisons": comparison_section(voice, results, choice.group),
        "pieces": piece_section(voice, pieces),
        "bars": bar_section(voice, part),
        "certainty": certainty_section(voice, choice, steps),
    }
    return BodyPage(
        part=part,
        body=body_name(voice, part.body),
        file_name=file_name,
        workshop=results.lab.workshop or "",
        number=report_number(results, part.body),
        date=today.isoformat(),
        answer=answer(voice, choice, pieces, level),
        helper=size_helper(voice, part.planned, choice, pieces, level),
        pieces_note=why_wide(voice, pieces),
        response_absent=response_absent(voice, part.tested),
        next_steps=steps,
        sections=sections | _for_whoever_digs(voice, results, part, today),
    )


def _for_whoever_digs(voice: Voice, results: Results, part: BodyPart, today: date) -> dict[str, object]:
    title = (voice.say("page.kind"), voice.say("page.number", number=report_number(results, part.body)))
    method = method_section(voice, results, part.tested, part.choice.group)
    departs = bool(method["deviations"])
    return {
        "quantities": quantity_table(voice, part.tested, part.before_firing, results.confidence),
        "method": method,
        "audit": audit_section(voice, results, part.groups, today, title, departs=departs),
    }
