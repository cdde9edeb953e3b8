"""Where it all comes from, and what ISO/IEC 17025:2017 §7.8.2 and §7.8.6 ask of a report: given or not given."""

from collections.abc import Iterator
from datetime import date

import pandas as pd

from bodytest.conformity import SpecVerdict
from bodytest.files.writing import sha256_of
from bodytest.findings import Finding
from bodytest.quantities import DATES, QUANTITY_BY_KEY
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import body_name, firing_dates, firing_details
from bodytest.report.wording import VerdictMark, Voice
from bodytest.results import Group, Results
from bodytest.units import degrees


def audit_section(
    voice: Voice,
    results: Results,
    groups: tuple[Group, ...],
    today: date,
    title: tuple[str, str],
    *,
    departs: bool,
) -> dict[str, object]:
    """Return the audit part for one body: findings, sources with their hashes, and what the standard asks for.

    ``title`` is what kind of paper it is, and its number; ``departs`` says whether anything departs from the standards.
    """
    return {
        "findings": finding_table(voice, results.findings),
        "others": len({group.body for group in results.groups}) > 1,
        "firings": _firings(voice, results, groups),
        "instruments": _instruments(voice, results),
        "sources": _sources(voice, results),
        "software": voice.say("audit.software", software=results.software, date=today.isoformat()),
        "checklist": _checklist(voice, _given(voice, results, groups, today, title, departs=departs)),
    }


def report_number(results: Results, body: str) -> str:
    """Return a number that stays the same as long as the sheets do: from their hashes and the body's name."""
    text = "\n".join([body, *(source.sha256 for source in results.sheets)])
    return sha256_of(text.encode("utf-8"))[:10]


def finding_table(voice: Voice, findings: tuple[Finding, ...]) -> Table | None:
    """Return the findings; None when there are none."""
    if not findings:
        return None
    columns = columns_of(voice, "audit", ("level", "place", "sentence", "remedy"))
    rows: list[list[Cell | str]] = [
        [voice.say(f"audit.level_{found.level}"), found.place, Cell(found.sentence, small=found.code), found.remedy]
        for found in findings[:_MOST_LISTED]
    ]
    cut = len(findings) > _MOST_LISTED
    note = voice.say("audit.findings_cut", shown=_MOST_LISTED, all=len(findings)) if cut else ""
    return table(voice.say("audit.findings_caption"), columns, rows, note=note, key="findings")


_MOST_LISTED = 500
"""Findings listed on a page."""


_FIRING_NUMBERS = ("set_temperature_c", "temperature_expanded_c", "hold_min", "heating_rate_c_per_h")


def _firings(voice: Voice, results: Results, groups: tuple[Group, ...]) -> Table | None:
    first = {group.firing: group for group in reversed(groups) if group.firing}
    firing_of = {firing.firing: firing for firing in reversed(results.firings)}
    if not first:
        return None
    columns = columns_of(voice, "audit", ("firing", "date", "kiln", "purpose", *_FIRING_NUMBERS, "notes"))
    rows: list[list[Cell | str]] = []
    for code, group in reversed(first.items()):
        found = firing_of.get(code)
        numbers = [_firing_number(voice, name, getattr(found, name, None)) for name in _FIRING_NUMBERS]
        texts = [getattr(found, name, "") for name in ("kiln", "purpose")]
        notes = getattr(found, "notes", "")
        rows.append([Cell(code, small=firing_details(voice, group)), group.date or "", *texts, *numbers, notes])
    return table(voice.say("audit.firings_caption"), columns, rows, key="firing-log")


def _firing_number(voice: Voice, name: str, value: float | None) -> str:
    if value is None:
        return ""
    if name == "hold_min":
        return voice.plain(round(value, 1), "min")
    if name == "set_temperature_c":
        return voice.plain(round(degrees(value, voice.temperature_unit), 1), voice.temperature_unit)
    difference = degrees(value, voice.temperature_unit) - degrees(0.0, voice.temperature_unit)
    per = "/h" if name.endswith("_per_h") else ""
    return voice.plain(round(difference, 1), f"{voice.temperature_unit}{per}")


def _sources(voice: Voice, results: Results) -> Table:
    columns = columns_of(voice, "audit", ("sheet", "sha256", "measured_by", "workshop"))
    rows: list[list[Cell | str]] = [
        [s.name, s.sha256, *(name or voice.say("audit.absent") for name in (s.lab.measured_by, s.lab.workshop))]
        for s in results.sheets
    ]
    return table(voice.say("audit.sources_caption"), columns, rows, key="sources")


_INSTRUMENTS = ("length_instrument", "balance", "thermometer")


def _instruments(voice: Voice, results: Results) -> Table | None:
    """Return each instrument with its certificate, the oven, and who measured which stage, workbook by workbook."""
    rows: list[list[Cell | str]] = []
    for source in results.sheets:
        lab, small = source.lab, source.name if len(results.sheets) > 1 else ""
        for name in _INSTRUMENTS:
            told = [getattr(lab, f"{name}{end}") or "" for end in ("", "_certificate", "_certified")]
            if any(told):
                rows.append([Cell(voice.say(f"audit.{name}"), small=small), *told])
        oven = voice.plain(lab.oven_temperature_c, "°C") if lab.oven_temperature_c is not None else ""
        for name, value in (("oven", oven), ("measured_stages", lab.measured_stages)):
            if value:
                rows.append([Cell(voice.say(f"audit.{name}"), small=small), value, "", ""])
    columns = columns_of(voice, "audit", ("instrument", "stated", "certificate", "certified"))
    caption = voice.say("audit.instruments_caption")
    return table(caption, columns, rows, key="instruments") if rows else None


def _checklist(voice: Voice, given: dict[str, str]) -> Table:
    columns = columns_of(voice, "audit", ("asked", "given", "where"))
    rows: list[list[Cell | str]] = []
    asked = [key.removeprefix("iso17025.") for key in voice.wording if key.startswith("iso17025.")]
    for name, value in ((name, given[name]) for name in asked):
        key = "given_yes" if value else "given_no"
        mark = VerdictMark(voice.say(f"audit.{key}"), "yes" if value else "open")
        here = value or voice.say(f"iso17025_missing.{name}")
        rows.append([voice.say(f"iso17025.{name}"), Cell("", mark=mark), here])
    note = voice.say("audit.checklist_note")
    return table(voice.say("audit.checklist_caption"), columns, rows, note=note, key="checklist")


def _given(
    voice: Voice, results: Results, groups: tuple[Group, ...], today: date, title: tuple[str, str], *, departs: bool
) -> dict[str, str]:
    """Return each thing asked for with what stands here for it, ``""`` where nothing does."""
    programmes = [one for one in results.programmes if one.body == groups[0].body]
    lab = {field: _of_all(results, field) for field in _STATED}
    batches = ", ".join(sorted({batch for group in groups for batch in group.batches if batch}))
    return {
        "title": title[0],
        "laboratory": _say(voice, "laboratory", workshop=lab["workshop"], address=lab["address"]),
        "location": lab["place_of_work"],
        "number": _say(voice, "number", number=title[1]),
        "customer": lab["customer"],
        "item": _say(voice, "item", body=body_name(voice, groups[0].body), batches=batches),
        "received": lab["received_on"],
        "issued": today.isoformat(),
        "sampling": lab["sampling"],
        "only_items": _say(voice, "only_items"),
        "authoriser": lab["authorised_by"],
        "external": lab["outside_providers"],
        **_work(voice, results, groups, lab, departs=departs),
        **_conformity(voice, [verdict for one in programmes for verdict in one.verdicts]),
    }


def _work(
    voice: Voice, results: Results, groups: tuple[Group, ...], lab: dict[str, str], *, departs: bool
) -> dict[str, str]:
    """Return what stands here of method, days, conditions, deviations, results and their uncertainty."""
    found = [result for group in groups for result in group.quantities.values()]
    dates = [
        _say(voice, "fired", dates=", ".join(firing_dates(groups))),
        _say(voice, "boiled", dates=lab["boiled_on"]),
        _say(voice, "measured", stages=", ".join(_measured(voice, results.bars, groups[0].body))),
    ]
    conditions = [lab["absorption_method"]]
    for name in ("water", "oven"):
        degrees = getattr(results.lab, f"{name}_temperature_c")
        if degrees is not None:
            conditions.append(voice.say(f"iso17025_given.{name}", at=voice.plain(degrees, "°C")))
    soaked = any("absorption" in group.quantities for group in groups)
    method = _say(voice, "method") if lab["absorption_method"] or not soaked else ""
    return {
        "method": method,
        "performed": "; ".join(filter(None, dates)),
        "conditions": ", ".join(filter(None, conditions)),
        "deviations": _say(voice, "deviations") if departs else method and _say(voice, "no_deviations"),
        "results": _say(voice, "results"),
        "uncertainty": _say(voice, "uncertainty") if any(result.low is not None for result in found) else "",
    }


def _measured(voice: Voice, bars: pd.DataFrame, body: str) -> Iterator[str]:
    """Yield each stage with the first and the last day on which bars of a body that count were measured."""
    counted = bars[(bars["body"] == body) & (bars["left_out"] == "")]
    for one in (one for one in DATES if one.key in counted):
        days = sorted(day for day in counted[one.key] if day)
        if days:
            name = "one_day" if days[0] == days[-1] else "days"
            yield voice.say(f"iso17025_given.{name}", stage=one.stage, first=days[0], last=days[-1])


def _say(voice: Voice, name: str, **words: str) -> str:
    """Return what is given, nothing where one of the words is missing."""
    return voice.say(f"iso17025_given.{name}", **words) if all(words.values()) else ""


_STATED = (
    "workshop", "address", "place_of_work", "customer", "received_on", "sampling", "authorised_by",
    "outside_providers", "absorption_method", "boiled_on",
)  # fmt: skip


def _of_all(results: Results, field: str) -> str:
    """Return what the Lab tables of all workbooks state, ``""`` where one of them states nothing."""
    said = [getattr(source.lab, field) or "" for source in results.sheets]
    return "; ".join(dict.fromkeys(said)) if all(said) else ""


def _conformity(voice: Voice, verdicts: list[SpecVerdict]) -> dict[str, str]:
    """Return what §7.8.6 asks of a statement of conformity, as far as one is made."""
    made = [verdict for verdict in verdicts if verdict.verdict != "not tested"]
    told: dict[str, list[str | None]] = {
        "conformity_results": [QUANTITY_BY_KEY[one.quantity].name for one in made],
        "conformity_specification": [one.source for one in made],
        "conformity_verdict": [one.verdict for one in made],
        "conformity_rule": [one.rule for one in made],
        "conformity_risk": [voice.percent(one.risk) if one.risk is not None else None for one in made],
    }
    whole = {name: "; ".join(dict.fromkeys(map(str, said))) if all(said) else "" for name, said in told.items()}
    risk = whole["conformity_risk"]
    return whole | {"conformity_risk": risk and voice.say("iso17025_given.conformity_risk", said=risk)}
