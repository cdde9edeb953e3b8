"""Results → a folder of pages: page, bench sheet and certificate of each body, an index, and bodies side by side."""

from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import date

from bodytest.analysis.release import release_of_body
from bodytest.files.writing import safe_file_name
from bodytest.findings import Finding, finding
from bodytest.quantities import DATES
from bodytest.report.bench_sheet import OwnSize, bench_sheet
from bodytest.report.body_page import BodyPage, body_page
from bodytest.report.body_part import body_parts, findings_by_body
from bodytest.report.certificate import Numbered, certificate_html, certificate_number
from bodytest.report.file_names import BENCH_ENDING, CERTIFICATE_ENDING, INDEX, SIDE_BY_SIDE, beside
from bodytest.report.overview import index_page, side_by_side_page
from bodytest.report.render import css_string, render, script_json
from bodytest.report.sections.sizes import SizeHelper
from bodytest.report.tested import is_fired
from bodytest.report.told import told
from bodytest.report.wording import Voice, english
from bodytest.results import Results
from bodytest.units import LENGTH_DECIMALS


def report_pages(results: Results, today: date, decimal_sign: str = ".", own: Sequence[OwnSize] = ()) -> dict[str, str]:
    """Return the pages by file name, the index first; ``own`` are sizes that bench sheets give besides the usual."""
    results = told(replace(results, findings=(*results.findings, *early_date(results, today))))
    voice = Voice(english(), decimal_sign, results.length_unit, results.temperature_unit)
    found, names = findings_by_body(results), page_names(results)
    compared = tuple(
        body_page(voice, replace(results, findings=found[part.body]), part, file_name=names[part.body], today=today)
        for part in body_parts(results)
    )
    shared = {"software": results.software, "date": today.isoformat()}
    overview = {
        INDEX: render(
            "index.html", voice, page=index_page(voice, results, compared), **shared,
            footer_css=css_string(f"{voice.say('index.title')} · {today}"), side_by_side=SIDE_BY_SIDE,
        ),
        SIDE_BY_SIDE: render(
            "side_by_side.html", voice, page=side_by_side_page(voice, results, compared), **shared,
            footer_css=css_string(f"{voice.say('side.title')} · {today}"), index=INDEX,
        ),
    }  # fmt: skip
    for one in compared:
        certificate = _certificate(results, one, today, decimal_sign)
        overview[one.file_name] = _body_html(voice, one, results.software, next(iter(certificate), ""))
        overview[beside(one.file_name, BENCH_ENDING)] = _bench_html(voice, one, own, results.software)
        overview |= certificate
    return overview


def early_date(results: Results, today: date) -> list[Finding]:
    """Return what is told of a report that is dated before one of its firings, or before bars were measured."""
    day = today.isoformat()
    last = max(results.firings, key=lambda one: (one.date, one.firing), default=None)
    told = [last] if last is not None and last.date > day else []
    found = [finding("report-before-firing", value=day, firing=one.firing, fired=one.date) for one in told]
    measured = max((results.bars[one.key].max() for one in DATES if one.key in results.bars), default="")
    return found + ([finding("report-before-measuring", value=day, measured=measured)] if measured > day else [])


def _certificate(results: Results, one: BodyPage, today: date, decimal_sign: str) -> dict[str, str]:
    """Return the certificate of a body by its file name; none where no limit is stated for it, or no bar was fired."""
    found = release_of_body(results, one.part.body)
    if found is None or not any(map(is_fired, one.part.tested)):
        return {}
    return {
        beside(one.file_name, CERTIFICATE_ENDING): certificate_html(
            found, Numbered(certificate_number(found), "", today), decimal_sign
        )
    }


def page_names(results: Results) -> dict[str, str]:
    """Return the bodies, in their order, each with the file name of its page."""
    taken = {INDEX.removesuffix(".html"), SIDE_BY_SIDE.removesuffix(".html")}
    names = {}
    for body in dict.fromkeys(group.body for group in results.groups):
        name = safe_file_name(body, taken)
        while not taken.isdisjoint(others := {name + BENCH_ENDING, name + CERTIFICATE_ENDING}):
            taken.add(name)
            name = safe_file_name(body, taken)
        taken |= {name, *others}
        names[body] = f"{name}.html"
    return names


def _body_html(voice: Voice, page: BodyPage, software: str, certificate: str) -> str:
    footer = voice.say("page.footer", body=page.body, number=page.number, date=page.date)
    return render(
        "body.html", voice, page=page, sections=page.sections, helper_data=_helper_json(voice, page.helper),
        software=software, footer=footer, footer_css=css_string(footer), bench=beside(page.file_name, BENCH_ENDING),
        certificate=certificate,
    )  # fmt: skip


def _helper_json(voice: Voice, helper: SizeHelper | None) -> str | None:
    """Return what the size helper's script reads."""
    if helper is None:
        return None
    told = {"firings": [asdict(firing) for firing in helper.firings], "sentences": helper.sentences}
    return script_json(told | {"decimals": LENGTH_DECIMALS, "decimal_sign": voice.decimal_sign})


def _bench_html(voice: Voice, head: BodyPage, own: Sequence[OwnSize], software: str) -> str:
    page = bench_sheet(voice, head, own)
    footer = voice.say("page.footer", body=page["title"], number=head.number, date=head.date)
    return render(
        "bench.html", voice, page=page, head=head, software=software, footer_css=css_string(footer),
        data=script_json(page["script"]),
    )  # fmt: skip
