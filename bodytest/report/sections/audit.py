"""Where it all comes from, and what ISO/IEC 17025:2017 §7.8.2 asks of a report: given or not given."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from bodytest.analysis.deviations import deviations
from bodytest.files.writing import sha256_of
from bodytest.findings import Finding
from bodytest.report.fired import firing_dates
from bodytest.report.naming import body_name, firing_details
from bodytest.report.table import Cell, Column, Table, table, without_empty_columns
from bodytest.report.wording import VerdictMark, Voice
from bodytest.results import Group, Results
from bodytest.tables import Lab

if TYPE_CHECKING:
    from bodytest.tables import CheckedSheets


@dataclass(frozen=True)
class AuditSection:
    """Findings, sources and the checklist."""

    findings: Table | None
    """What was found in the sheets; None when nothing was."""
    firings: Table | None
    """The firings as written down; None when no firing is."""
    sources: Table
    """The workbooks with their hashes."""
    software: str
    """Program and version."""
    checklist: Table
    """What the standard asks for."""


def audit_section(
    voice: Voice, results: Results, sheets: "CheckedSheets", groups: tuple[Group, ...], today: date
) -> AuditSection:
    """Return the audit part for one body."""
    return AuditSection(
        finding_table(voice, results.findings),
        _firings(voice, sheets, groups),
        _sources(voice, results),
        voice.say("audit.software", software=results.software, date=today.isoformat()),
        _checklist(voice, results, groups, today),
    )


def report_number(results: Results, body: str) -> str:
    """Return a number that stays the same as long as the sheets do: from their hashes and the body's name."""
    text = "\n".join([body, *(source.sha256 for source in results.sheets)])
    return sha256_of(text.encode("utf-8"))[:10]


def finding_table(voice: Voice, findings: tuple[Finding, ...]) -> Table | None:
    """Return the findings; None when there are none."""
    if not findings:
        return None
    columns = [Column(voice.say(f"audit.{name}")) for name in ("level", "place", "sentence", "remedy")]
    rows: list[list[Cell | str]] = [
        [voice.say(f"audit.level_{found.level}"), found.place, Cell(found.sentence, small=found.code), found.remedy]
        for found in findings
    ]
    return without_empty_columns(table(voice.say("audit.findings_caption"), columns, rows, key="findings"))


def _firings(voice: Voice, sheets: "CheckedSheets", groups: tuple[Group, ...]) -> Table | None:
    first = {group.firing: group for group in reversed(groups) if group.firing}
    rows_of = {str(row["firing"]): row for _, row in sheets.firings.drop_duplicates("firing").iterrows()}
    if not first:
        return None
    columns = [
        Column(voice.say(f"audit.{name}"))
        for name in ("firing", "date", "kiln", "purpose", "hold", "heating_rate", "notes")
    ]
    rows: list[list[Cell | str]] = []
    for code, group in reversed(first.items()):
        row = rows_of.get(code)
        numbers = [
            "" if row is None or not row[name] >= 0 else voice.plain(float(row[name]), unit)
            for name, unit in (("hold_min", "min"), ("heating_rate_c_per_h", "°C/h"))
        ]
        texts = ["" if row is None else str(row[name]) for name in ("kiln", "purpose")]
        notes = "" if row is None else str(row["notes"])
        rows.append([Cell(code, small=firing_details(voice, group)), group.date or "", *texts, *numbers, notes])
    return without_empty_columns(table(voice.say("audit.firings_caption"), columns, rows, key="firing-log"))


def _sources(voice: Voice, results: Results) -> Table:
    columns = [Column(voice.say(f"audit.{name}")) for name in ("sheet", "sha256", "measured_by", "workshop")]
    rows: list[list[Cell | str]] = [
        [s.name, s.sha256, *(name or voice.say("audit.absent") for name in (s.lab.measured_by, s.lab.workshop))]
        for s in results.sheets
    ]
    return table(voice.say("audit.sources_caption"), columns, rows, key="sources")


def _checklist(voice: Voice, results: Results, groups: tuple[Group, ...], today: date) -> Table:
    given = _given(voice, results, groups, today)
    columns = [Column(voice.say(f"audit.{name}")) for name in ("asked", "given", "where")]
    rows: list[list[Cell | str]] = []
    for name, value in given.items():
        key = "given_yes" if value else "given_no"
        mark = VerdictMark(voice.say(f"audit.{key}"), "yes" if value else "open")
        here = value or voice.say(f"iso17025_missing.{name}")
        rows.append([voice.say(f"iso17025.{name}"), Cell("", mark=mark), here])
    note = voice.say("audit.checklist_note")
    return table(voice.say("audit.checklist_caption"), columns, rows, note=note, key="checklist")


def _given(voice: Voice, results: Results, groups: tuple[Group, ...], today: date) -> dict[str, str]:
    """Return each thing asked for with what stands here for it, ``""`` where nothing does."""
    lab = results.lab
    body, name = groups[0].body, body_name(voice, groups[0].body)
    dates = firing_dates(groups)
    limits = any(r.decision for group in groups for r in group.quantities.values())
    intervals = any(r.low is not None for group in groups for r in group.quantities.values())
    departs = deviations(results, [one for one in results.programmes if one.body == body])
    water = voice.plain(lab.water_temperature_c, "°C") if lab.water_temperature_c is not None else ""
    conditions = ", ".join(part for part in (lab.absorption_method, water) if part)
    batches = sorted({batch for group in groups for batch in group.batches if batch})
    return {
        "title": voice.say("page.kind"),
        "laboratory": _laboratory(voice, lab),
        "location": "",
        "number": voice.say("iso17025_given.number", number=report_number(results, body)),
        "customer": "",
        "method": voice.say("iso17025_given.method"),
        "item": voice.say("iso17025_given.item", body=name, batches=", ".join(batches)) if batches else "",
        "received": "",
        "performed": voice.say("iso17025_given.performed", dates=", ".join(dates)) if dates else "",
        "issued": today.isoformat(),
        "sampling": "",
        "only_items": voice.say("iso17025_given.only_items"),
        "results": voice.say("iso17025_given.results"),
        "deviations": voice.say("iso17025_given.deviations") if departs else "",
        "authoriser": "",
        "external": "",
        "conditions": voice.say("iso17025_given.conditions", conditions=conditions) if conditions else "",
        "uncertainty": voice.say("iso17025_given.uncertainty") if intervals else "",
        "conformity": voice.say("iso17025_given.conformity") if limits else "",
    }


def _laboratory(voice: Voice, lab: Lab) -> str:
    """Return workshop and address where the Lab table gives both, else nothing."""
    if not (lab.workshop and lab.address):
        return ""
    return voice.say("iso17025_given.laboratory", workshop=lab.workshop, address=lab.address)
