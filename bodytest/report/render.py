"""Page data → HTML: the templates loop and ask, style and scripts are put inside the page."""

import json
import re
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import BaseLoader, Environment, StrictUndefined
from jinja2.exceptions import TemplateNotFound
from markupsafe import Markup  # noqa: TID251 (files of the package, and what is escaped here)

from bodytest.files.own_files import IN_HTML, sealed_text
from bodytest.report.wording import Voice
from bodytest.shown import clipped, visible

_REPORT = "bodytest.report"


class _PackageTemplates(BaseLoader):
    """Templates from a package, or from the report where it has none of that name; also when it is zipped."""

    def __init__(self, package: str) -> None:
        self._packages = dict.fromkeys((package, _REPORT))

    def get_source(self, environment: Environment, template: str) -> tuple[str, str | None, None]:
        for package in self._packages:
            path = files(package).joinpath("templates", template)
            if path.is_file():
                return path.read_text(encoding="utf-8"), None, None
        raise TemplateNotFound(template)


@cache
def _environment(package: str) -> Environment:
    return Environment(
        loader=_PackageTemplates(package), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, finalize=_in_line,
    )  # fmt: skip


def _seen(value: object) -> object:
    """Return what stands in a page: unseen signs written out, and words from right to left kept from turning others."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return _FROM_THE_RIGHT.sub("\u2068\\g<0>\u2069", visible(value))


def _in_line(value: object) -> object:
    """Return what stands in a page, with no line ending between a number and its % or °C, nor behind ±."""
    seen = _seen(value)
    return _TOGETHER.sub("\N{NO-BREAK SPACE}", seen) if isinstance(seen, str) and not isinstance(seen, Markup) else seen


_TOGETHER = re.compile(r"(?<=\d) (?=%|°C)|(?<=±) (?=\d)")


_RIGHT = r"[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]"
_FROM_THE_RIGHT = re.compile(rf"{_RIGHT}(?:[^\nA-Za-z]*{_RIGHT})?")
"""Letters of scripts that are written from right to left, with what stands between them."""


def brief(text: str, most: int = 80) -> str | Markup:
    """Return a text for a table; beginning and end, which open to the whole, where it or a word in it is too long.

    >>> brief("Marl Red")
    'Marl Red'
    >>> print(brief("averylongname", 9))
    <details><summary><span class="short">aver…name</span><span class="whole">averylongname</span></summary></details>
    """
    if len(text) <= most or (len(text) <= 3 * most and max(map(len, text.split()), default=0) <= most):
        return text
    both = '<span class="short">{}</span><span class="whole">{}</span>'
    return Markup(f"<details><summary>{both}</summary></details>").format(visible(clipped(text, most)), visible(text))


def render(template: str, voice: Voice, **page: object) -> str:
    """Fill a template of the report; every string is escaped unless it is marked as markup already."""
    return sealed_text(filled(_REPORT, template, voice, style=part("page.css"), part=part, **page), IN_HTML)


def filled(package: str, template: str, voice: Voice, **page: object) -> str:
    """Fill a template of a package, which may build upon those of the report; see `render`."""
    page_text: str = (
        _environment(package)
        .get_template(template)
        .render(
            say=voice.say,
            count=voice.count,
            brief=brief,
            whole=whole,
            clipped=clipped,
            script_json=script_json,
            **page,
        )
    )
    return page_text


def whole(text: str, most: int) -> Markup:
    """Return the title of an element in which a text of more than so many signs is clipped: the whole text.

    >>> whole("a very long name", 9)
    Markup(' title="a very long name"')
    """
    return Markup(' title="{}"').format(visible(text)) if len(text) > most else Markup("")


@cache
def part(name: str) -> Markup:
    """Return a style sheet or script of the package, to stand inside a page."""
    return Markup(files("bodytest.report").joinpath("templates", name).read_text(encoding="utf-8"))


def script_json(content: object) -> Markup:
    r"""Return JSON that cannot end the script element it stands in.

    >>> script_json({"a": "</script>"})
    Markup('{"a":"\\u003c/script\\u003e"}')
    """
    text = json.dumps(_all_seen(content), ensure_ascii=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)


def _all_seen(content: Any) -> Any:
    if isinstance(content, dict):
        return {_seen(key): _all_seen(item) for key, item in content.items()}
    if isinstance(content, list | tuple):
        return [_all_seen(item) for item in content]
    return _seen(content)


def css_string(text: str) -> Markup:
    r"""Return text as the inside of a CSS string that cannot end it or the style element.

    >>> css_string("Marl </style>")
    Markup('Marl \\3c \\2f style\\3e ')
    """
    shown = "".join(sign if sign.isalnum() or sign in " .-·" else f"\\{ord(sign):x} " for sign in visible(text))
    return Markup(shown)
