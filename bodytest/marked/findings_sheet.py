"""The Findings sheet that stands in front of a marked copy, as XML: every text in it is text, never a formula."""

import math
from collections.abc import Sequence

from bodytest.findings import Finding, Level
from bodytest.marked.styles import LEVEL_WORDS, StyleBook
from bodytest.marked.xml_splice import xml_text

_NAMESPACE = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_HEADINGS = ("level", "where", "what stands there", "what is wrong", "how to mend it", "code")
_WIDTHS = (11, 16, 20, 68, 60, 25)
_LINE_HEIGHT = 15
_MOST_LINKS = 60_000
"""A worksheet takes 65 530 links at most."""


def findings_worksheet(
    findings: Sequence[tuple[Finding, str | None]], words: Sequence[str], styles: StyleBook
) -> bytes:
    """Return the worksheet: a few lines of words, then one row for each finding with the address that it links to."""
    title, plain, heading, link = styles.title(), styles.text(wrap=False), styles.heading(), styles.link()
    wrapped = styles.text()
    levels: dict[Level, int] = {level: styles.text(level) for level in LEVEL_WORDS}
    rows = [_row(number, [(text, title if number == 1 else plain)]) for number, text in enumerate(words, start=1)]
    top = len(words) + 2
    rows.append(_row(top, [(text, heading) for text in _HEADINGS]))
    links: list[str] = []
    for number, (found, target) in enumerate(findings, start=top + 1):
        place = found.cell or found.sheet or ""
        texts = [LEVEL_WORDS[found.level], place, found.value or "", found.sentence, found.remedy, found.code]
        looks = [levels[found.level], link if target else wrapped, *[wrapped] * 4]
        rows.append(_row(number, list(zip(texts, looks, strict=True))))
        if target and len(links) < _MOST_LINKS:
            links.append(f'<hyperlink ref="B{number}" location="{xml_text(target)}" display="{xml_text(place)}"/>')
    return _worksheet(rows, links, top).encode()


def _worksheet(rows: list[str], links: list[str], top: int) -> str:
    columns = "".join(
        f'<col min="{place}" max="{place}" width="{width}" customWidth="1"/>'
        for place, width in enumerate(_WIDTHS, start=1)
    )
    hyperlinks = f"<hyperlinks>{''.join(links)}</hyperlinks>" if links else ""
    return (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<worksheet xmlns="{_NAMESPACE}">'
        '<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr><sheetViews><sheetView tabSelected="1" workbookViewId="0">'
        f'<pane ySplit="{top}" topLeftCell="A{top + 1}" activePane="bottomLeft" state="frozen"/>'
        "</sheetView></sheetViews>"
        f"<cols>{columns}</cols><sheetData>{''.join(rows)}</sheetData>{hyperlinks}"
        '<pageMargins left="0.4" right="0.4" top="0.5" bottom="0.5" header="0.3" footer="0.3"/>'
        '<pageSetup orientation="landscape" fitToHeight="0"/></worksheet>'
    )


def _row(number: int, cells: list[tuple[str, int]]) -> str:
    written = "".join(
        f'<c r="{letter}{number}" s="{style}" t="inlineStr"><is><t xml:space="preserve">{xml_text(text)}</t></is></c>'
        for letter, (text, style) in zip("ABCDEF", cells, strict=False)
    )
    lines = (
        max(_lines(text, width) for (text, _), width in zip(cells, _WIDTHS, strict=False)) if len(cells) > 1 else 1.4
    )
    return f'<row r="{number}" ht="{lines * _LINE_HEIGHT + 3:g}" customHeight="1">{written}</row>'


def _lines(text: str, width: int) -> int:
    return max(1, math.ceil(len(text) * 1.06 / width))
