"""The certificate of a batch: one page to print and sign, as finished strings."""

from dataclasses import dataclass, replace
from datetime import date

from bodytest.analysis.release import Release, ReleaseRow
from bodytest.budget import CertaintyShare
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.report.render import css_string, render
from bodytest.report.sections.audit import audit_section, report_number
from bodytest.report.sections.certainty import WORTH_SHOWING
from bodytest.report.sections.method import method_section
from bodytest.report.table import Cell, Table, columns_of, table
from bodytest.report.tested import body_name
from bodytest.report.told import told_of
from bodytest.report.wording import Voice, english, mean_decimals, short_verdict_mark
from bodytest.results import QuantityResult
from bodytest.rounding import column_decimals
from bodytest.tables import Lab
from bodytest.units import INSTRUMENTS


@dataclass(frozen=True)
class Numbered:
    """What a certificate is known by."""

    number: str
    """Its own number."""
    replaces: str
    """Number of the certificate that it amends; ``""`` where it is the first."""
    issued: date
    """Date of issue."""


def certificate_number(release: Release) -> str:
    """Return a number that stays the same as long as sheets, body, batch and load do."""
    return report_number(release.results, "\n".join((release.body, release.batch or "", release.load or "")))


def certificate_html(release: Release, numbered: Numbered, decimal_sign: str = ".") -> str:
    """Return the page of a certificate."""
    voice = Voice(english(), decimal_sign, release.results.length_unit, release.results.temperature_unit)
    told_rows = (replace(row, result=row.result and told_of(row.verdict.quantity, row.result)) for row in release.rows)
    release = replace(release, rows=tuple(told_rows))
    groups = release.results.groups
    method = method_section(voice, release.results, groups, groups[0])
    title = (voice.say("certificate.kind"), voice.say("certificate.number", number=numbered.number))
    departs = bool(method["deviations"])
    page = {
        "release": release,
        "numbered": numbered,
        "title": _title(voice, release),
        "limits": _limits(voice, release),
        "budget": _budget(voice, release.rows, release.results.lab),
        "others": _others(voice, release),
        "method": method,
        "audit": audit_section(voice, release.results, groups, numbered.issued, title, departs=departs),
    }
    footer = voice.say("certificate.footer", number=numbered.number, date=numbered.issued.isoformat())
    return render(
        "certificate.html", voice, page=page, mark=short_verdict_mark(voice, release.verdict),
        software=release.results.software, footer=footer, footer_css=css_string(footer),
    )  # fmt: skip


def _title(voice: Voice, release: Release) -> str:
    body = body_name(voice, release.body)
    if release.batch is None:
        return voice.say("certificate.title_all", body=body)
    return voice.say("certificate.title", body=body, batch=release.batch)


def _subject(row: ReleaseRow) -> Cell:
    where = ", ".join(part for part in (row.fired, row.direction) if part)
    return Cell(QUANTITY_BY_KEY[row.verdict.quantity].name, small=f"{row.purpose}: {where}" if where else row.purpose)


def _limits(voice: Voice, release: Release) -> Table:
    rows = release.rows
    columns = columns_of(voice, "certificate", _COLUMNS)
    cells: list[list[Cell | str]] = []
    precise, absent = _precisions(rows), voice.say("audit.absent")
    for row in rows:
        one, unit = row.verdict, QUANTITY_BY_KEY[row.verdict.quantity].unit
        applies = f"{voice.plain(one.share, '%')} of bars" if one.share is not None else one.applies_to
        risk = absent if one.risk is None else voice.percent(one.risk)
        ends = [voice.plain(end, unit) if end is not None else "" for end in (one.lowest, one.highest)]
        mark = Cell("", mark=short_verdict_mark(voice, one.verdict))
        bars = "" if row.result is None else str(row.result.n)
        small = voice.say("quantities.stated") if row.result is not None and row.result.stated else ""
        mean = Cell(voice.mean_to(precise[one.quantity], row.result, unit), small=small)
        judged = Cell(applies, small=one.rule or absent)
        cells.append([_subject(row), judged, *ends, bars, mean, one.source or absent, risk, mark])
    note = voice.say("certificate.limits_note", level=voice.percent(release.results.confidence))
    return table(voice.say("certificate.limits"), columns, cells, note=note, key="limits")


_COLUMNS = ("quantity", "applies_to", "lowest", "highest", "bars", "mean", "source", "risk", "verdict")


def _precisions(rows: tuple[ReleaseRow, ...]) -> dict[str, int]:
    """Return the decimals of the means of each quantity."""
    results = {
        row.verdict.quantity: [r.result for r in rows if r.verdict.quantity == row.verdict.quantity] for row in rows
    }
    return {key: mean_decimals(some, QUANTITY_BY_KEY[key].digits) for key, some in results.items()}


def _measured(rows: tuple[ReleaseRow, ...]) -> dict[tuple[str, str, str], tuple[ReleaseRow, QuantityResult]]:
    """Return each mean once, however many limits speak of it."""
    return {(r.verdict.quantity, r.fired, r.direction): (r, r.result) for r in rows if r.result is not None}


_STATED = {"length": ("length_instrument", "length_instrument_certificate"), "mass": ("balance", "balance_certificate")}


def _from(voice: Voice, share: CertaintyShare, lab: Lab) -> Cell:
    """Return where a share comes from, with the instrument and its certificate as the Lab table states them."""
    name = voice.say(f"source.{share.source.replace(' ', '_')}")
    if share.instrument is None:
        return Cell(name)
    stated = filter(None, (getattr(lab, field) for field in _STATED.get(share.instrument, ())))
    return Cell(
        voice.say("certificate.of", what=name, tool=INSTRUMENTS[share.instrument].tool), small=", ".join(stated)
    )


def _budget(voice: Voice, rows: tuple[ReleaseRow, ...], lab: Lab) -> Table | None:
    cells: list[list[Cell | str]] = []
    for row, result in _measured(rows).values():
        all_shares = result.certainty.shares if result.certainty else ()
        shares = [one for one in all_shares if one.share >= WORTH_SHOWING or one.instrument]
        decimals = column_decimals([one.standard_uncertainty for one in shares if one.share >= WORTH_SHOWING])
        for share in shares:
            unknown = share.source == "calibration" and lab.calibration(share.instrument or "length") is None
            uncertainty = voice.uncertainty(share.standard_uncertainty, decimals, result.unit)
            shown = (uncertainty, voice.number(100 * share.share, 0, "%"))
            cells.append(
                [_subject(row), _from(voice, share, lab), *((voice.say("audit.absent"), "") if unknown else shown)]
            )
    numeric = ("uncertainty", "share")
    columns = columns_of(voice, "certificate", ("quantity", "contribution", *numeric), numeric)
    return table(voice.say("certificate.budget"), columns, cells, key="budget") if cells else None


def _others(voice: Voice, release: Release) -> Table | None:
    cells: list[list[Cell | str]] = []
    precise = _precisions(release.rows)
    for row, result in _measured(release.rows).values():
        digits = precise[row.verdict.quantity]
        for one in row.others:
            own = voice.number(result.mean, digits, result.unit)
            cells.append([_subject(row), one.batch, str(one.bars), voice.number(one.mean, digits, result.unit), own])
    caption, whole = ("others", "this_batch") if release.batch else ("each_batch", "all_batches")
    numeric = ("bars", "mean", whole)
    columns = columns_of(voice, "certificate", ("quantity", "batch", *numeric), numeric)
    return table(voice.say(f"certificate.{caption}"), columns, cells, key="others") if cells else None
