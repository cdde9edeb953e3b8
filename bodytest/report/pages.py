"""Results → a folder of pages: one for each body, an index, and one that sets bodies side by side."""

from datetime import date
from typing import TYPE_CHECKING

from bodytest.files.writing import safe_file_name
from bodytest.report.body_page import BodyPage, body_page
from bodytest.report.body_part import body_parts
from bodytest.report.file_names import INDEX, SIDE_BY_SIDE
from bodytest.report.index_page import Compared, index_page
from bodytest.report.render import css_string, helper_json, render
from bodytest.report.side_by_side import side_by_side_page
from bodytest.report.wording import Voice, english
from bodytest.results import Results

if TYPE_CHECKING:
    pass


def report_pages(results: Results, today: date, decimal_sign: str = ".") -> dict[str, str]:
    """Return the pages by file name, the index first."""
    voice = Voice(english(), decimal_sign)
    parts = body_parts(results)
    names = page_names(results)
    compared = tuple(
        Compared(part, body_page(voice, results, part, file_name=name, today=today))
        for part, name in zip(parts, names, strict=True)
    )
    shared = {"software": results.software, "date": today.isoformat()}
    overview = {
        INDEX: render(
            "index.html", voice, page=index_page(voice, results, compared), **shared,
            footer_css=css_string(f"{voice.say('index.title')} · {today}"), side_by_side=SIDE_BY_SIDE,
        ),
        SIDE_BY_SIDE: render(
            "side_by_side.html", voice, page=side_by_side_page(voice, compared), **shared,
            footer_css=css_string(f"{voice.say('side.title')} · {today}"), index=INDEX,
        ),
    }  # fmt: skip
    return overview | {one.page.head.file_name: _body_html(voice, one.page, results.software) for one in compared}


def page_names(results: Results) -> list[str]:
    """Return the file name of each body's page, in the order of the bodies."""
    taken = {INDEX.removesuffix(".html"), SIDE_BY_SIDE.removesuffix(".html")}
    names = []
    for body in dict.fromkeys(group.body for group in results.groups):
        name = safe_file_name(body, taken)
        taken.add(name)
        names.append(f"{name}.html")
    return names


def _body_html(voice: Voice, page: BodyPage, software: str) -> str:
    footer = voice.say("page.footer", body=page.head.body, number=page.head.number, date=page.head.date)
    helper = helper_json(page.helper) if page.helper else None
    return render(
        "body.html", voice, page=page, helper_data=helper, software=software,
        footer=footer, footer_css=css_string(footer),
    )  # fmt: skip
